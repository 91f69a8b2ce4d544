"""Gather what a record states, and settle it: the latest day counts, and where that disagrees, the more cautious value.

Which of two values is more cautious comes from the direction of risk in the vocabulary. Where it gives none, the input
is left unstated. Either way the disagreement is noted. What a record speaks of without a value that could be taken is
left open: it is neither presumed nor ticked off.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from api.fhir.elements import Element
from api.fhir.notes import Notes
from decision.vocabulary import Input, Value, Vocabulary

__all__ = ["Statements", "more_cautious"]


@dataclass(frozen=True, slots=True)
class _Statement:
    value: Value
    place: Element
    day: datetime.date | None


class Statements:
    """What is stated about one part of a case: the patient, or one lesion."""

    def __init__(self, about: str, vocabulary: Vocabulary, notes: Notes) -> None:
        """Begin with nothing stated."""
        self._inputs = {one.name: one for one in vocabulary.about(about)}
        self._groups = {one.name for one in vocabulary.groups.values() if one.about == about}
        self._notes = notes
        self._made: dict[str, list[_Statement]] = defaultdict(list)
        self._open: dict[str, datetime.date | None] = {}
        self._named: set[str] = set()
        self._hinted: set[str] = set()

    def takes(self, name: str) -> bool:
        """Whether this part of a case has an input or a check list of that name."""
        return name in self._inputs or name in self._groups

    def state(self, name: str, value: Value, place: Element, day: datetime.date | None = None) -> None:
        """State a value as of a day; without one it stands as of now. Of what the vocabulary does not have, nothing."""
        one = self._inputs.get(name)
        if one is not None and one.type == "number" and not one.low <= float(value) <= one.high:
            self._notes.add(place, "out_of_range", f"{one.label}: the number lies outside the range it can have.")
            self.leave_open(name, day)
        elif self.takes(name):
            self._made[name].append(_Statement(value, place, day))

    def leave_open(self, name: str, day: datetime.date | None = None) -> None:
        """Say that a record spoke of an input on a day, or as of now, without a value that could be taken."""
        if name in self._inputs:
            before = self._open.get(name, day)
            self._open[name] = None if day is None or before is None else max(day, before)

    def name_present(self, name: str) -> None:
        """Say that a record names an input as present, as of now, without its value: only its absence is ruled out."""
        if name in self._inputs:
            self._named.add(name)

    def hint_at(self, name: str) -> None:
        """Say that a record may speak of an input: whatever is stated of it by itself settles it."""
        if name in self._inputs:
            self._hinted.add(name)

    def states(self, name: str) -> bool:
        """Whether anything was stated of an input."""
        return name in self._made

    def place_of(self, name: str) -> Element:
        """Where an input or a check list was last stated."""
        return self._made[name][-1].place

    def settled(self) -> dict[str, Any]:
        """What stands, as a part of a case."""
        part: dict[str, Any] = {}
        for name, made in self._made.items():
            latest = _latest(made)
            if name in self._groups:
                if all(one.value is True for one in latest):
                    part.setdefault("ruled_out", []).append(name)
            elif (value := self._one_value(self._inputs[name], latest)) is not None and not self._undone(name, value):
                part[name] = value
        spoken_of = {*self._open, *self._named, *self._hinted, *self._made} & self._inputs.keys()
        left_open = sorted(name for name in spoken_of - part.keys() if _closes_by_itself(self._inputs[name]))
        return {**part, **({"left_open": left_open} if left_open else {})}

    def _undone(self, name: str, value: Value) -> bool:
        """Whether something else in the record takes a value back: it names the input as present, or it is newer."""
        about = self._inputs[name]
        if name in self._named and value == about.absent:
            return True
        day, days = self._open.get(name), [one.day for one in self._made[name]]
        newer = name in self._open and None not in days and (day is None or max(filter(None, days)) < day)
        return newer and not (about.values and value == more_cautious(about, about.values))

    def _one_value(self, about: Input, latest: Sequence[_Statement]) -> Value | None:
        values = list(dict.fromkeys(one.value for one in latest))
        if len(values) == 1:
            return values[0]
        value = more_cautious(about, values)
        done = "left unstated" if value is None else "the more cautious one was taken"
        self._notes.add(latest[-1].place, "codings_disagree", f"{about.label}: two statements disagree; {done}.")
        return value


def more_cautious(about: Input, values: Sequence[Value]) -> Value | None:
    """The value with the most risk; None where the vocabulary does not say.

    >>> width = Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300, risk="rises")
    >>> more_cautious(width, [6.0, 8.0])
    8.0
    """
    if about.risk in ("rises", "falls"):
        return max(values) if about.risk == "rises" else min(values)
    if about.risk == "none":
        return None
    steps = [step if isinstance(step, list) else [step] for step in about.risk]
    return max(values, key=lambda value: next(i for i, step in enumerate(steps) if value in step))


def _closes_by_itself(about: Input) -> bool:
    """Whether an input that is not stated would be taken as absent all the same: ticked off, or presumed."""
    return about.group is not None or about.presumed is not None


def _latest(made: Sequence[_Statement]) -> list[_Statement]:
    """Those of the latest day, and those that stand as of now."""
    last = max((one.day for one in made if one.day is not None), default=None)
    return [one for one in made if one.day is None or one.day == last]
