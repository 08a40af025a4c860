"""The answer of a search as a plan."""
