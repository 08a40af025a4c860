"""Pages as a parser sees them, and a job whose words try to be more than words."""

from __future__ import annotations

import json
from html.parser import HTMLParser
from typing import Any

import samples
from shadewright.cloth.numbering import panel_numbers
from shadewright.cloth.plan import PanelNumber, Plan
from shadewright.job.model import Job

HOSTILE = (
    "</script><script>alert(1)</script><!-- \u2028 <b onclick='x'>&amp; {{style}} "
    '"><img src=x onerror=alert(2)>'
)


class Seen(HTMLParser):
    """The elements of a page with their attributes, and the text inside each script and style."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.inside: list[tuple[str, dict[str, str], str]] = []
        self._open: tuple[str, dict[str, str]] | None = None
        self._held: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {key: value or "" for key, value in attrs}
        self.elements.append((tag, found))
        if tag in ("script", "style"):
            self._open, self._held = (tag, found), []

    def handle_data(self, data: str) -> None:
        if self._open:
            self._held.append(data)

    def handle_endtag(self, tag: str) -> None:
        if self._open and tag == self._open[0]:
            self.inside.append((*self._open, "".join(self._held)))
            self._open = None

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attributes for name, attributes in self.elements if name == tag]

    @property
    def policy(self) -> dict[str, list[str]]:
        (said,) = [
            meta["content"]
            for meta in self.all("meta")
            if meta.get("http-equiv") == "Content-Security-Policy"
        ]
        return {rule.split()[0]: rule.split()[1:] for rule in said.split(";")}

    @property
    def data(self) -> dict[str, Any]:
        (text,) = [text for tag, attributes, text in self.inside if attributes.get("id") == "data"]
        found: dict[str, Any] = json.loads(text)
        return found


def hostile() -> tuple[Job, Plan]:
    """A job whose every name tries to be something else."""
    job, plan = samples.three_shades()
    name = HOSTILE
    openings = tuple(o.model_copy(update={"name": name}) for o in job.openings)
    job = job.model_copy(update={"title": name, "openings": openings})
    ids = {shade.id: shade.id.replace(shade.opening, name) for shade in plan.shades}
    return job, plan.model_copy(
        update={
            "job": name,
            "shades": [
                s.model_copy(update={"id": ids[s.id], "opening": name}) for s in plan.shades
            ],
            "panels": [p.model_copy(update={"shade": ids[p.shade]}) for p in plan.panels],
            "making": [m.model_copy(update={"shade": ids[m.shade]}) for m in plan.making],
        }
    )


def other_numbers(plan: Plan) -> list[PanelNumber]:
    """Numbers that a plan could remember of one before: in no order of work, and with gaps."""
    found = panel_numbers(plan)
    highest = 3 * len(found)
    return [
        PanelNumber(shade=shade, part=part, number=highest - 2 * place)
        for place, (shade, part) in enumerate(found)
    ]
