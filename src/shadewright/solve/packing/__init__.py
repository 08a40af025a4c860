"""What may be cut side by side and one after the other from one stretch of cloth."""
