"""What options that are taken together must agree on.

Rows of a railroaded print that all openings share, the one way that plain cloth lies, one division
for all copies of an opening, one number of shades for openings that are tied: each is a *topic*
with a value. Options that speak of a topic must say the same; others agree with all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import islice, product

from shadewright.solve.problem.kinds import Divisions, Kind, Option, Topic, Value

LAY = "lay"
"""What kind of thing the topic is that says which way a cloth lies."""
ROWS = "rows"
"""The same of the topic that says where rows begin across a railroaded print."""
_MOST_TRIES = 10_000
"""To find something that all agree on."""


def agrees(option: Option | Divisions, settled: Mapping[Topic, Value]) -> bool:
    """Whether an option says nothing else than what is settled."""
    return all(settled.get(topic, value) == value for topic, value in option.agreed)


def common_topics(kinds: Iterable[Kind]) -> dict[Topic, dict[Value, None]]:
    """Topics that several kinds speak of, each with the values that go with all of them: a kind
    with an option that says nothing of a topic can do with any."""
    found: dict[Topic, list[tuple[dict[Value, None], bool]]] = {}
    for kind in kinds:
        here: dict[Topic, dict[Value, None]] = {}
        speaking: Counter[Topic] = Counter()
        for option in kind.options:
            for topic, value in option.agreed:
                here.setdefault(topic, {})[value] = None
                speaking[topic] += 1
        for topic, values in here.items():
            found.setdefault(topic, []).append((values, speaking[topic] == len(kind.options)))
    common = {}
    for topic, said in found.items():
        if len(said) > 1:
            asked = [values for values, always in said if always]
            every = dict.fromkeys(value for values, _ in said for value in values)
            common[topic] = {v: None for v in every if all(v in values for values in asked)}
    return common


def with_common_values(kinds: Sequence[Kind]) -> list[Kind]:
    """The kinds without options that some other kind has nothing to agree with, until each that is
    left has something: what one topic rules out may be all that another had."""
    while common := common_topics(kinds):

        def kept(option: Option, common: Mapping[Topic, Mapping[Value, None]] = common) -> bool:
            return all(value in common.get(topic, {value: None}) for topic, value in option.agreed)

        fewer = [
            replace(
                kind,
                options=tuple(filter(kept, kind.options)),
                floors=tuple(filter(kept, kind.floors)),
            )
            for kind in kinds
        ]
        same = all(len(a.options) == len(b.options) for a, b in zip(kinds, fewer, strict=True))
        if same or not all(kind.options for kind in fewer):
            return fewer
        kinds = fewer
    return list(kinds)


def can_agree(kinds: Sequence[Kind], without: Collection[str] = ()) -> bool:
    """Whether every kind can take an option so that all agree. Taken to be so where that is not
    seen after many tries.

    Args:
        without: topics, by what kind of thing they are, that need not be agreed on.
    """
    common = {topic for topic in common_topics(kinds) if topic[0] not in without}
    asked: dict[frozenset[frozenset[tuple[Topic, Value]]], None] = {}
    for kind in kinds:
        said = {frozenset(one for one in o.agreed if one[0] in common) for o in kind.options}
        if frozenset() not in said:
            asked[frozenset(said)] = None
    # Those with little choice first, and of what they say those that are said of least.
    each = [sorted(said, key=lambda one: (len(one), repr(sorted(one)))) for said in asked]
    each.sort(key=len)
    settled: list[dict[Topic, Value]] = [{}]
    left = [iter(said) for said in each[:1]]
    for _ in range(_MOST_TRIES):
        # (A loop of its own: there may be more kinds than calls can go deep.)
        if len(settled) > len(each) or not left:
            break
        here = settled[-1]
        fits = (
            one for one in left[-1] if all(here.get(topic, value) == value for topic, value in one)
        )
        taken = next(fits, None)
        if taken is None:
            left.pop()
            settled.pop()
            continue
        settled.append({**here, **dict(taken)})
        left += map(iter, each[len(settled) - 1 : len(settled)])
    return bool(settled)


def settlements(kinds: Sequence[Kind], most: int) -> Iterator[dict[Topic, Value]]:
    """Values for all topics that several kinds speak of, under which each kind has an option; the
    first few of them."""
    common = common_topics(kinds)
    tried = product(*common.values())
    every = (dict(zip(common, values, strict=True)) for values in islice(tried, 4 * most))
    possible = (
        settled
        for settled in every
        if all(any(agrees(option, settled) for option in kind.options) for kind in kinds)
    )
    return islice(possible, most)


def lays(kinds: Iterable[Kind]) -> list[dict[Topic, Value]]:
    """Every way that cloth may lie which lies one way throughout; one empty one if there is none.

    Plans of one lay have nothing of another, so that each can be bounded by itself.
    """
    found: dict[Topic, dict[Value, None]] = {}
    for kind in kinds:
        for option in kind.options:
            for topic, value in option.agreed:
                if topic[0] == LAY:
                    found.setdefault(topic, {})[value] = None
    return [dict(zip(found, values, strict=True)) for values in product(*found.values())]


def in_lay(kinds: Iterable[Kind], settled: Mapping[Topic, Value]) -> tuple[Kind, ...]:
    """The kinds with those of their options that agree."""
    return tuple(
        replace(
            kind,
            options=tuple(o for o in kind.options if agrees(o, settled)),
            floors=tuple(o for o in kind.floors if agrees(o, settled)),
            families=tuple(f for f in kind.families if agrees(f, settled)),
        )
        for kind in kinds
    )
