"""A job in, an answer as data out."""
