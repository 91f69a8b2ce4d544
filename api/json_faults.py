"""Find the places in a JSON text that the strict reader refused.

The text is read a second time, keeping what an ordinary reader loses: every key of an object, and where a number was
that JSON or a double does not hold. Runs for refused bodies alone.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from api.problems import Place
from decision.case_faults import pointer_to

__all__ = ["MOST_DIGITS", "half_characters", "place", "places_of_faults"]

MOST_DIGITS = 15  # every whole number up to here is kept exactly

Steps = tuple[str | int, ...]


def place(steps: Steps, code: str, detail: str) -> Place:
    """One fault at a JSON Pointer. A key that no UTF-8 can hold is shown with question marks."""
    return {"pointer": pointer_to(steps), "code": code, "detail": detail}


def places_of_faults(text: str) -> list[Place]:
    """The places of a text that the strict reader refused.

    >>> [one["pointer"] for one in places_of_faults('{"a": {"b": NaN, "c": 1, "c": 2}}')]
    ['#/a/c', '#/a/b']
    """
    try:
        return list(_found(_FINDING.decode(text), ()))
    except (json.JSONDecodeError, RecursionError):
        return [place((), "malformed", "the body is not JSON.")]


def half_characters(data: object, steps: Steps) -> Iterable[Place]:
    """The places of texts with half of a surrogate pair, which no UTF-8 can hold."""
    said = "holds half of a surrogate pair, which is no character."
    if isinstance(data, str) and _half(data):
        yield place(steps, "half_character", said)
    elif isinstance(data, dict):
        for name, value in data.items():
            if _half(name):
                yield place(steps, "half_character", f"a key here {said}")
            else:
                yield from half_characters(value, (*steps, name))
    elif isinstance(data, list):
        for i, value in enumerate(data):
            yield from half_characters(value, (*steps, i))


@dataclass(frozen=True, slots=True)
class _Object:
    """An object with all its keys, repeated ones too."""

    pairs: list[tuple[str, Any]]


@dataclass(frozen=True, slots=True)
class _Number:
    """A number that is refused."""

    code: str
    detail: str


_NOT_FINITE = _Number("not_finite", "must be a finite number; NaN and Infinity are not JSON.")
_TOO_MANY_DIGITS = _Number("too_many_digits", f"a whole number may have at most {MOST_DIGITS} digits.")

_FINDING = json.JSONDecoder(
    object_pairs_hook=_Object,
    parse_constant=lambda _: _NOT_FINITE,
    parse_int=lambda written: _TOO_MANY_DIGITS if len(written.lstrip("-")) > MOST_DIGITS else 0,
    parse_float=lambda written: _NOT_FINITE if math.isinf(float(written)) else 0.0,
)


def _found(data: object, steps: Steps) -> Iterable[Place]:
    if isinstance(data, _Number):
        yield place(steps, data.code, data.detail)
    elif isinstance(data, _Object):
        for name, times in Counter(name for name, _ in data.pairs).items():
            if times > 1:
                yield place((*steps, name), "repeated_key", "this key stands more than once in its object.")
        for name, value in data.pairs:
            yield from _found(value, (*steps, name))
    elif isinstance(data, list):
        for i, value in enumerate(data):
            yield from _found(value, (*steps, i))


def _half(text: str) -> bool:
    return any("\ud800" <= character <= "\udfff" for character in text)
