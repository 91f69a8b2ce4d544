"""The case: what the caller states, checked and frozen, and the facts that follow for one lesion.

A case is read from plain JSON data against a shape made from the vocabulary: strict types, ranges, allowed codes,
nothing unknown. What is not stated is absent, never false. Facts are stated, ticked off on a check list (which is
stating them), derived from those, or presumed where the vocabulary says so. An input that is left open is neither
ticked nor presumed: something speaks of it, and its value is not known. A fact stated by itself beats both.
"""

from __future__ import annotations

import datetime
import functools
from collections.abc import Mapping
from typing import Any, NamedTuple

from pydantic import ValidationError

from decision.case_faults import case_faults, repeated_names
from decision.case_shape import PARTS, case_reader, case_shape
from decision.derived import derive
from decision.errors import CaseError
from decision.public_holidays import PublicHolidays
from decision.record import case_bytes, sha256_of
from decision.vocabulary import Input, Value, Vocabulary

__all__ = ["PARTS", "Case", "Facts", "Lesion", "case_shape", "facts_of", "read_case", "stated_in"]


class Lesion(NamedTuple):
    """One lesion: what is stated about it, and which of its inputs are left open."""

    lesion_id: str
    stated: Mapping[str, Value]
    left_open: frozenset[str] = frozenset()


class Case(NamedTuple):
    """A case as stated. `plain` is the same as JSON data, for the digest and the record."""

    moment: str
    as_of: datetime.date
    rule_book_version: str | None
    holidays: PublicHolidays
    stated: Mapping[str, Value]
    sizes_at_hand: Mapping[str, tuple[float, ...]]
    lesions: tuple[Lesion, ...]
    plain: Mapping[str, Any]
    left_open: frozenset[str] = frozenset()

    @property
    def digest(self) -> str:
        """SHA-256 over the RFC 8785 bytes of the case."""
        return sha256_of(case_bytes(self.plain))


class Facts(NamedTuple):
    """What is known of one lesion: with the presumptions, without them, and which were made."""

    known: dict[str, Value]
    without_presumptions: dict[str, Value]
    presumed: tuple[str, ...]


def read_case(data: object, vocabulary: Vocabulary, *, today: datetime.date, moment: str = "before") -> Case:
    """Read a case from JSON data.

    Args:
        data: `{as_of?, rule_book_version?, region?, patient, lesions, equipment?, operator?}` as plain data; during
            and after the freeze one `lesion`, and `cycle` or `healing`.
        vocabulary: The inputs of the rule book.
        today: The date that a missing `as_of` is filled with; it is part of the case from then on.
        moment: "before", "during" or "after".

    Returns:
        The case.

    Raises:
        CaseError: With every fault, each at its JSON Pointer. No value is repeated in a message.
    """
    try:
        plain = case_reader(vocabulary, moment).validate_python(data)
    except ValidationError as error:
        raise CaseError(case_faults(error, vocabulary)) from None
    if faults := repeated_names(plain.get("lesions", ())):
        raise CaseError(faults)
    as_of = plain.setdefault("as_of", today.isoformat())
    shared: dict[str, Any] = {}
    for part in PARTS[moment]:
        if part != "lesion":
            shared.update(stated_in(plain.get(part, {}), vocabulary))
    sizes = {name: tuple(shared.pop(name)) for name in _sizes(vocabulary) if name in shared}
    lesions = plain["lesions"] if moment == "before" else [{"lesion_id": "lesion", **plain["lesion"]}]
    return Case(
        moment=moment,
        as_of=datetime.date.fromisoformat(as_of),
        rule_book_version=plain.get("rule_book_version"),
        holidays=PublicHolidays(plain.get("region")),
        stated=shared,
        sizes_at_hand=sizes,
        lesions=tuple(Lesion(one["lesion_id"], stated_in(one, vocabulary), _left_open(one)) for one in lesions),
        plain=plain,
        left_open=_left_open(plain["patient"]),
    )


def facts_of(case: Case, lesion: Lesion, vocabulary: Vocabulary) -> Facts:
    """Put together what is known of one lesion."""
    stated = {**case.stated, **lesion.stated}
    left_open = case.left_open | lesion.left_open
    presumed = {
        one.name: _presumed_value(one, case, lesion)
        for one in _presumptions(vocabulary, case.moment)
        if one.name not in left_open and one.presumed_beside(stated, case.moment)
    }
    with_presumptions = {**stated, **presumed}
    derived = derive({**with_presumptions, **case.sizes_at_hand})
    return Facts(
        known={**with_presumptions, **derived},
        without_presumptions={**stated, **_unpresumed(derived, presumed, stated, case, vocabulary)},
        presumed=tuple(presumed),
    )


def _unpresumed(
    derived: Mapping[str, Value],
    presumed: Mapping[str, Value],
    stated: Mapping[str, Value],
    case: Case,
    vocabulary: Vocabulary,
) -> Mapping[str, Value]:
    """The derived quantities without the presumptions: the same ones, unless a presumption is a parent of one."""
    if presumed.keys().isdisjoint(_parents(vocabulary)):
        return derived
    return derive({**stated, **case.sizes_at_hand})


@functools.lru_cache(maxsize=24)
def _parents(vocabulary: Vocabulary) -> frozenset[str]:
    return frozenset(parent for one in vocabulary.inputs.values() for parent in one.parents)


def stated_in(part: Mapping[str, Any], vocabulary: Vocabulary) -> dict[str, Any]:
    """What one part of the case states, ticked check lists included. A fact stated by itself beats the tick."""
    stated: dict[str, Any] = {}
    for group in part.get("ruled_out", ()):
        stated.update(_absent(vocabulary)[group])
    for name in part.get("left_open", ()):
        stated.pop(name, None)
    stated.update({name: value for name, value in part.items() if name in vocabulary.inputs})
    return stated


def _left_open(part: Mapping[str, Any]) -> frozenset[str]:
    """The inputs of one part of the case that are neither ticked nor presumed."""
    return frozenset(part.get("left_open", ()))


@functools.lru_cache(maxsize=24)
def _absent(vocabulary: Vocabulary) -> dict[str, dict[str, Value | None]]:
    """By check list, what its tick states."""
    return {group: {one.name: one.absent for one in vocabulary.in_group(group)} for group in vocabulary.groups}


@functools.lru_cache(maxsize=24)
def _sizes(vocabulary: Vocabulary) -> tuple[str, ...]:
    return tuple(name for name, one in vocabulary.inputs.items() if one.type == "numbers")


@functools.lru_cache(maxsize=24)
def _presumptions(vocabulary: Vocabulary, moment: str) -> tuple[Input, ...]:
    inputs = [one for one in vocabulary.inputs.values() if one.about in PARTS[moment]]
    return tuple(one for one in inputs if one.presumed_at(moment) is not None)


def _presumed_value(about: Input, case: Case, lesion: Lesion) -> Value:
    """What is presumed of an input: the vocabulary's value, or as many lesions as are charted and may be like this."""
    presumed = about.presumed_at(case.moment)
    assert presumed is not None
    if not about.charted_alike:
        return presumed
    look = lesion.stated.get(about.charted_alike)
    others = [one.stated.get(about.charted_alike) for one in case.lesions if one.lesion_id != lesion.lesion_id]
    alike = sum(look is None or other in (None, look) for other in others)
    return min(float(presumed) + alike, about.high)
