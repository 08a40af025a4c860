"""What the terminal says."""
