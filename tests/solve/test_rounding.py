"""First plans of large jobs, rounded from a linear programme: all that is asked for is cut."""

from __future__ import annotations

import pytest
from test_neighbourhoods import COUNTED, JOBS, begun, check, porch

from shadewright.cloth.stretches import Stretch
from shadewright.solve.packing.lay import lay_out
from shadewright.solve.run import Clock
from shadewright.solve.search.bounds import lengths_at_least, worths_of
from shadewright.solve.search.candidate import score
from shadewright.solve.search.formulate import formulate, templates_of
from shadewright.solve.search.rounding import DIVES, rounded

MORE = {
    "on a table": porch(20, 60, 'runs = "up the bolt"') + "\n[make]\ntable = 70",
    "without a price": porch(20, 60, 'runs = "up the bolt"').replace("price = 20\n", ""),
    "copies alike": porch(12, 60, 'runs = "up the bolt"').replace("height", "copies = 3\nheight"),
    "copies of their own": porch(12, 60, 'runs = "up the bolt"').replace(
        "height", "copies = 3\nalike = false\nheight"
    ),
    "lined": porch(12, 60, 'runs = "up the bolt"').replace("height", 'cloth = "a"\nheight')
    + '\n[make]\nlining = "b"\n[cloth.b]\nwidth = 50\nprice = 3\nruns = "up the bolt"',
}


@pytest.mark.parametrize("name", [*JOBS, *MORE])
def test_what_is_rounded_is_whole(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(JOBS, name, {**JOBS, **MORE}[name])
    asked, supply, first = begun(name)
    clock = Clock(60, COUNTED)
    templates = templates_of(asked, formulate(asked, clock)[0], clock)
    found = list(rounded(asked, supply, templates, Clock(60, COUNTED)))
    assert 0 < len(found) <= len(DIVES)
    least = sum(lengths_at_least(asked, supply, worths_of(asked, Clock(60, COUNTED))).values())
    for candidate in found:
        check(asked, candidate)
        assert score(asked, supply, candidate)["used"] >= least
        for part in candidate.parts:
            assert isinstance(part.stretch, Stretch)
            table = part.roll.table
            for laid in lay_out(part.roll, part.drops):
                assert table is None or laid.end - laid.start <= table
    again = list(rounded(asked, supply, templates, Clock(60, COUNTED)))
    assert again == found
    if name in ("plain", "side by side"):
        # The reason why there are such plans at all.
        assert (
            min(score(asked, supply, k)["used"] for k in found)
            < score(asked, supply, first)["used"]
        )


def test_without_time_there_are_none() -> None:
    asked, supply, _ = begun("plain")
    assert list(rounded(asked, supply, {"a": []}, Clock(0, COUNTED))) == []
