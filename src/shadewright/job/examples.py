"""The example jobs that come with the package, by name."""

from __future__ import annotations

from pathlib import Path


def example_names() -> list[str]:
    """``attic``, ``fit/attic`` and so on."""
    folder = _folder()
    return sorted(
        file.relative_to(folder).with_suffix("").as_posix() for file in folder.rglob("*.toml")
    )


def example_text(name: str) -> str:
    """An example as TOML.

    Raises:
        KeyError: there is none of this name.
    """
    if name not in example_names():
        raise KeyError(name)
    return (_folder() / f"{name}.toml").read_text(encoding="utf-8")


def _folder() -> Path:
    """Where they lie: in the package once it is installed, and beside its source where it is run
    from there."""
    package = Path(__file__).parents[1]
    installed = package / "examples"
    return installed if installed.is_dir() else package.parents[1] / "examples"
