"""What a Python program calls, and what it gets back; the package itself makes it public."""
