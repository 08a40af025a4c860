"""Run as ``python -m shadewright``."""

from shadewright.cli import main

main()
