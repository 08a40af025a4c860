"""Boards and rods from stock lengths."""
