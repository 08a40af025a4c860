"""Shadewright: cutting plans for roll-up fabric shades, with a proof of how good they are."""
