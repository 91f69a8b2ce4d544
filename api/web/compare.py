"""Two answers side by side: what each says of a lesion, and which rules hold in only one of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from decision.recommendation import LesionAnswer, Reason, Recommendation

__all__ = ["Comparison", "Line", "comparison", "reasons_in"]

NOTHING = "none"


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that both answers say, or say differently."""

    name: str
    first: str
    second: str

    @property
    def same(self) -> bool:
        """Whether both say the same."""
        return self.first == self.second


@dataclass(frozen=True, slots=True)
class Comparison:
    """One lesion in two answers."""

    lesion_id: str
    lines: tuple[Line, ...]
    only_first: tuple[Reason, ...]
    only_second: tuple[Reason, ...]


def comparison(first: Recommendation, second: Recommendation) -> list[Comparison]:
    """Compare the lesions that both answers name; a lesion of one answer alone stands beside nothing."""
    left = {one["lesion_id"]: one for one in first["lesions"]}
    right = {one["lesion_id"]: one for one in second["lesions"]}
    return [_compared(name, left.get(name), right.get(name)) for name in dict.fromkeys((*left, *right))]


def _compared(name: str, first: LesionAnswer | None, second: LesionAnswer | None) -> Comparison:
    said = [dict(_lines(one)) if one else {} for one in (first, second)]
    names = dict.fromkeys((*said[0], *said[1]))
    lines = tuple(Line(one, said[0].get(one, NOTHING), said[1].get(one, NOTHING)) for one in names)
    rules = [{one["rule"]: one for one in reasons_in(lesion)} for lesion in (first, second)]
    return Comparison(
        name,
        lines,
        tuple(one for rule, one in rules[0].items() if rule not in rules[1]),
        tuple(one for rule, one in rules[1].items() if rule not in rules[0]),
    )


def _lines(lesion: LesionAnswer) -> Iterator[tuple[str, str]]:
    found = lesion["suitability"]
    for name in ("verdict", "at_least", "could_become", "settled"):
        yield name, _said(found[name])
    for part in ("method", "plan"):
        for name, value in (lesion[part] or {}).items():
            if name != "reasons":
                yield f"{part}: {name}", _said(value)
    yield "alternatives", "; ".join(one["in_words"] for one in lesion["alternatives"]) or NOTHING
    yield "open questions", _said(float(len(lesion["ask_next"])))


def reasons_in(data: Any) -> Iterable[Reason]:
    """Every reason in a part of an answer, wherever it stands.

    >>> [one["rule"] for one in reasons_in({"plan": {"reasons": [{"rule": "plan/two"}]}})]
    ['plan/two']
    """
    if isinstance(data, dict):
        for name, value in data.items():
            if name == "reasons":
                yield from value
            else:
                yield from reasons_in(value)
    elif isinstance(data, list):
        for one in data:
            yield from reasons_in(one)


def _said(value: Any) -> str:
    if value is None:
        return NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return " to ".join(dict.fromkeys(f"{one:g}" for one in value.values()))
    return f"{value:g}" if isinstance(value, int | float) else str(value).replace("_", " ")
