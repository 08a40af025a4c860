"""The judge: a plan cut once more on an imaginary roll, by code of its own."""
