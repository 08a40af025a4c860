"""Shadewright: cutting plans for roll-up fabric shades, with a proof of how good they are."""

from importlib.metadata import version

__version__ = version("shadewright")
