"""Pages for a screen beside the cutting table: one file each, which asks nothing of a network."""
