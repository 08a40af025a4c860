"""What every page for a screen is put into: one file, with a policy that lets nothing else in.

The policy (Content Security Policy Level 3, W3C) names the page's own scripts and styles by their
hashes and allows nothing besides: no network, no picture, no frame, no handler in an attribute, and
no text that is read as markup. A job's words come as data, or escaped.
"""

from __future__ import annotations

import json
import re
from base64 import b64encode
from collections.abc import Mapping, Sequence
from hashlib import sha256
from html import escape
from pathlib import Path

_HERE = Path(__file__).parent
_BLANK = re.compile(r"\{\{(\w+)\}\}")


def part(name: str) -> str:
    """A file that pages are made of, with line ends as a browser reads them."""
    return (_HERE / name).read_text(encoding="utf-8")


def page(
    template: str,
    title: str,
    *,
    scripts: Sequence[str] = (),
    markup: Mapping[str, str],
) -> str:
    """A page: its template with styles, scripts and markup put in.

    Args:
        template: name of its file; what stands there in double braces is filled in.
        scripts: names of the files that run in it.
        markup: what else is filled in, escaped where it quotes anybody's words.
    """
    style, code = part("page.css"), [part(name) for name in scripts]
    blanks = {
        "policy": policy(code, [style]),
        "title": escape(title),
        "style": f"<style>{style}</style>",
        "scripts": "\n".join(f"<script>{each}</script>" for each in code),
        **markup,
    }
    # In one pass, so that braces in what is filled in stay what they are.
    return _BLANK.sub(lambda blank: blanks[blank[1]], part(template))


def policy(scripts: Sequence[str], styles: Sequence[str]) -> str:
    """What a page may do: run these scripts, look as these styles say, and nothing else."""
    rules = {
        "default-src": ["'none'"],
        "script-src": [*map(_hash, scripts)] or ["'none'"],
        "style-src": [*map(_hash, styles)],
        "base-uri": ["'none'"],
        "form-action": ["'none'"],
        "require-trusted-types-for": ["'script'"],
        "trusted-types": ["'none'"],
    }
    return "; ".join(f"{name} {' '.join(allowed)}" for name, allowed in rules.items())


def _hash(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode('utf-8')).digest()).decode('ascii')}'"


def embedded(data: object) -> str:
    """Data as JSON that can stand in a script element, whatever its texts say.

    Signs that could end the element, begin a comment in it or end a line of script are written by
    their numbers, which JSON reads as the same signs.
    """
    text = json.dumps(data, ensure_ascii=True, separators=(",", ":"))
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def save(path: Path, text: str) -> None:
    """Write a page.

    Raises:
        OSError: it cannot be written.
    """
    path.write_text(text, encoding="utf-8", newline="\n")
