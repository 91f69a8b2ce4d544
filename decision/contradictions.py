"""Facts that cannot be together: a lesion older than its patient, a cat of 400 kg. A case that states them is refused.

Read from rules/contradictions.yaml by contradictions_file.py. Only what is stated, ticks included, can contradict
itself; what is presumed never does. An answer to a case that cannot be would be an answer to another animal's case.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from decision.case import Case, Lesion
from decision.case_faults import MOST_FAULTS, pointer_to
from decision.errors import CaseFault
from decision.unary_test import Among, Truth, UnaryTest, met
from decision.vocabulary import Input, Value, Vocabulary

__all__ = ["COMPUTED", "CONTRADICTION", "Contradiction", "Contradictions", "contradiction_faults"]

CONTRADICTION = "contradiction"
WEEKS_IN_A_YEAR = 52.18
ROUNDED_UNDER_ONE, ROUNDED = 0.5, 1.0  # by how many years an age may have been rounded down


@dataclass(frozen=True, slots=True)
class Contradiction:
    """What cannot be stated together.

    Attributes:
        name: Its name in the file.
        tests: Met together by what is stated.
        stated: Inputs that are stated as well, whatever their value.
        says: What does not fit, and what to check. It repeats no value.
    """

    name: str
    tests: tuple[UnaryTest, ...]
    stated: tuple[str, ...]
    says: str

    @property
    def inputs(self) -> tuple[str, ...]:
        """The inputs that it is about, as they can be stated."""
        read = [test.input for test in self.tests]
        return (*(one for name in read for one in _statable(name)), *self.stated)


@dataclass(frozen=True, slots=True)
class Computed:
    """A quantity that only contradictions ask for: no rule reads it, and no answer tells it."""

    about: Input
    compute: Callable[[float, float], float]

    @property
    def parents(self) -> tuple[str, ...]:
        """What it is computed from, in the order of the arguments."""
        return tuple(self.about.parents)


class Contradictions:
    """All contradictions of a rule folder, ready to be looked for in many cases."""

    def __init__(self, listed: Iterable[Contradiction] = ()) -> None:
        """Sort them by a code or truth value that each cannot do without, so that few are looked at for a case."""
        self.listed = tuple(listed)
        self._by_value: dict[str, dict[Value, list[Contradiction]]] = {}
        self._others: list[Contradiction] = []
        for one in self.listed:
            key = next((test for test in one.tests if _values(test)), None)
            if key is None:
                self._others.append(one)
                continue
            by_value = self._by_value.setdefault(key.input, {})
            for value in _values(key):
                by_value.setdefault(value, []).append(one)
        read = {test.input for one in self.listed for test in one.tests}
        self._computed = [one for name, one in COMPUTED.items() if name in read]

    def among(self, stated: Mapping[str, Value]) -> list[Contradiction]:
        """The contradictions that stated facts meet, in the order of the file.

        Args:
            stated: What is stated of the patient, one lesion and the rest, ticks included; nothing presumed.
        """
        if not self.listed:
            return []
        known = stated
        for one in self._computed:
            if all(name in stated for name in one.parents):
                first, second = (float(stated[name]) for name in one.parents)
                known = {**known, one.about.name: one.compute(first, second)}
        found = [one for one in self._worth_a_look(stated) if _met(one, known)]
        return sorted(found, key=self.listed.index) if len(found) > 1 else found

    def _worth_a_look(self, stated: Mapping[str, Value]) -> Iterator[Contradiction]:
        yield from self._others
        for name, by_value in self._by_value.items():
            value = stated.get(name)
            if value is not None:
                yield from by_value.get(value, ())


def contradiction_faults(case: Case, contradictions: Contradictions, vocabulary: Vocabulary) -> list[CaseFault]:
    """State each contradiction in a case at every field that it is about, the first fifty of them."""
    found: dict[tuple[str, str], CaseFault] = {}
    for place, lesion in enumerate(case.lesions):
        for one in contradictions.among({**case.stated, **lesion.stated}):
            for pointer in _pointers(one, case, lesion, place, vocabulary):
                found.setdefault((pointer, one.name), CaseFault(pointer, CONTRADICTION, one.says))
    return list(found.values())[:MOST_FAULTS]


def weeks_before_birth(weeks_present: float, age_years: float) -> float:
    """By how many weeks a lesion is stated to be older than its patient; negative where it is younger.

    An age is often rounded down, so the patient may be half a year older than stated when under one year, and a year
    older from then on. Source: common practice, no source.

    >>> weeks_before_birth(60, 0.25) > 0, weeks_before_birth(100, 1) > 0
    (True, False)
    """
    rounded = ROUNDED_UNDER_ONE if age_years < 1 else ROUNDED
    return weeks_present - (age_years + rounded) * WEEKS_IN_A_YEAR


COMPUTED = {
    "weeks_before_birth": Computed(
        Input(
            "weeks_before_birth",
            "derived",
            "number",
            "By how many weeks is the lesion stated to be older than the patient?",
            "weeks",
            -7000,
            2000,
            parents={"weeks_present": "rises", "age_years": "falls"},
        ),
        weeks_before_birth,
    )
}


def _statable(name: str) -> Sequence[str]:
    return COMPUTED[name].parents if name in COMPUTED else (name,)


def _values(test: UnaryTest) -> Sequence[Value]:
    """The values that meet a test where they are listed in it; none where they are not."""
    if isinstance(test, Truth):
        return (test.value,)
    return test.codes if isinstance(test, Among) and test.inside else ()


def _met(one: Contradiction, known: Mapping[str, Value]) -> bool:
    for test in one.tests:
        if test.input not in known or not met(test, known[test.input]):
            return False
    return all(name in known for name in one.stated)


def _pointers(one: Contradiction, case: Case, lesion: Lesion, place: int, vocabulary: Vocabulary) -> Iterator[str]:
    """The fields of a case that a contradiction is about; of a fact that only a check list states, that list."""
    for name in one.inputs:
        about = vocabulary.inputs[name].about
        steps: tuple[str | int, ...] = (about,)
        part: Any = case.plain.get(about, {})
        if about == "lesion" and case.moment == "before":
            steps, part = ("lesions", place), case.plain["lesions"][place]
        yield pointer_to((*steps, name if name in part else "ruled_out"))
