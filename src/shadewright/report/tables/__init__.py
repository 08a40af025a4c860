"""A plan's account as tables for a program."""
