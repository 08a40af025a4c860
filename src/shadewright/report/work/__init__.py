"""What all pages tell of a plan, worked out once."""
