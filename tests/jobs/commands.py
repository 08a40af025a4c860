"""The program as tests call it, in this process."""

from __future__ import annotations

from typer.testing import CliRunner, Result

from shadewright.cli.app import app


def run(*words: object) -> Result:
    """What a command line comes to."""
    return CliRunner().invoke(app, [str(word) for word in words])
