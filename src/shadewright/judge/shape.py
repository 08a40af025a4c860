"""Whether a plan file has the shape of one, and is for the job.

What passes `plan_in` has numbers that can be reckoned with; every other rule may rely on that.
"""

from __future__ import annotations

from collections.abc import Iterable

from pydantic import ValidationError

from shadewright.cloth.plan import Plan
from shadewright.judge import saying as say
from shadewright.judge.trial import Faults, Trial

_AT_ONCE = 100  # items of each list of a plan whose shape is looked at together
_LARGEST = 10**12  # no number of a plan is larger; as ticks it is 3000 km of cloth

_Path = tuple[int | str, ...]


def plan_in(data: object) -> Plan | list[str]:
    """The plan that a file's JSON says, or what is wrong with its shape; no value raises."""
    read = _read(data)
    if not isinstance(read, Plan):
        return read
    return [*_unstated(read), *_unreal(read)] or read


def _read(data: object) -> Plan | list[str]:
    """The plan, whatever it does not state and however large its numbers; or what is wrong.

    Long lists are read some items at a time, and only as far as there is a fault: each item of
    another shape has as many as a part of a plan has keys.
    """
    start = 0
    try:
        if not isinstance(data, dict):
            return Plan.model_validate(data)
        lists = {key: value for key, value in data.items() if isinstance(value, list)}
        parts = []
        for start in range(0, max([1, *map(len, lists.values())]), _AT_ONCE):
            some = {key: value[start : start + _AT_ONCE] for key, value in lists.items()}
            parts.append(Plan.model_validate(data | some))
    except ValidationError as why:
        return _misshapen(why, start)
    joined = {key: [item for part in parts for item in getattr(part, key)] for key in lists}
    return parts[0].model_copy(update=joined)


def _misshapen(why: ValidationError, start: int) -> list[str]:
    """One line for each place where the file has another shape than a plan's.

    Args:
        start: the place in the plan's lists that was looked at from.
    """
    faults: dict[str, str] = {}
    for error in why.errors(include_url=False, include_context=False, include_input=False):
        at = error["loc"]
        if len(at) > 1 and isinstance(at[1], int):
            at = (at[0], at[1] + start, *at[2:])
        if error["type"] == "extra_forbidden":
            faults[_words(at)] = "is no part of a plan"
        elif error["type"] == "missing":
            faults[_words(at)] = "is missing"
        elif error["type"] in ("model_type", "dict_type"):
            faults[_words(at)] = "should be an object, names with values"
        else:
            # A number that need not be whole is refused twice, once as each kind of number.
            at = at[:-1] if at and at[-1] in ("int", "float") else at
            faults[_words(at)] = error["msg"].replace("Input should", "should", 1)
    return [f"plan file{where}: {what}" for where, what in faults.items()]


def _words(at: _Path) -> str:
    return "".join(f" {key + 1}" if isinstance(key, int) else f" {say.name(key)}" for key in at)


def _unstated(read: Plan) -> Faults:
    """What a plan made in memory need not state, but a plan file must."""
    for key, field in type(read).model_fields.items():
        if key not in read.model_fields_set and field.default_factory is None:
            yield f"plan file {key}: is missing"


def _unreal(read: Plan) -> Faults:
    """Numbers that no cloth has and nothing can be reckoned with."""
    if not _sensible(read):
        for at in _too_large(read.model_dump(by_alias=True)):
            yield f"plan file{_words(at)}: should be a number of a sensible size"


def _sensible(part: object) -> bool:
    """Whether a plan, or a part of one, has no such number."""
    if isinstance(part, (int, float)):
        return abs(part) <= _LARGEST  # which NaN is not
    if isinstance(part, list):
        return all(map(_sensible, part))
    if isinstance(part, dict):
        return all(map(_sensible, part.values()))
    return isinstance(part, str) or all(map(_sensible, vars(part).values()))


def _too_large(value: object) -> list[_Path]:
    """Where in a plan's data such numbers stand."""
    inside: Iterable[tuple[int | str, object]] = ()
    if isinstance(value, dict):
        inside = value.items()
    elif isinstance(value, list):
        inside = enumerate(value)
    elif not _sensible(value):
        return [()]
    return [(key, *at) for key, inner in inside for at in _too_large(inner)]


def title_is_the_jobs(trial: Trial) -> Faults:
    """The plan is for this job."""
    found, wanted = trial.plan.job, trial.job.title
    if found != wanted:
        yield f'the plan is for the job "{say.name(found)}", not for "{say.name(wanted)}"'
