"""Pictures and printed pages."""
