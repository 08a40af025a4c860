"""One model and one search over it."""
