"""The constraint model: which divisions, which drops, and a proof."""
