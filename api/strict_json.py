"""Read JSON strictly: what can be read in two ways is refused, with the place of each fault.

Refused are text that is not UTF-8, malformed JSON, a key that stands twice in an object, numbers that are not finite
or have more digits than a number keeps, half of a surrogate pair, and deep nesting. This pass only notices;
json_faults.py finds the places, for refused bodies alone. No value is repeated in a message.
"""

from __future__ import annotations

import json
import math
from typing import Any

from api.json_faults import MOST_DIGITS, half_characters, place, places_of_faults
from api.problem_kinds import KINDS
from api.problems import Place, Problem

__all__ = ["read_json"]

MOST_PLACES = 50


def read_json(body: bytes, *, nesting_limit: int) -> object:
    """Read one JSON text.

    Args:
        body: The bytes of the text.
        nesting_limit: How deep objects and lists may stand in each other.

    Returns:
        The data.

    Raises:
        Problem: `unreadable-json`, with every place that is at fault.

    >>> read_json(b'{"a": [1, 2.5]}', nesting_limit=8)
    {'a': [1, 2.5]}
    >>> read_json(b'{"a": 1, "a": 2}', nesting_limit=8)
    Traceback (most recent call last):
    api.problems.Problem: /a: this key stands more than once in its object.
    """
    text = _decoded(body)
    try:
        data = _STRICT.decode(text)
        deep = text.count("{") + text.count("[") > nesting_limit and _depth(data) > nesting_limit
    except _Refused:
        raise _unreadable(places_of_faults(text)) from None
    except json.JSONDecodeError as error:
        said = f"the body is not JSON from line {error.lineno}, column {error.colno} on."
        raise _unreadable([place((), "malformed", said)]) from None
    except RecursionError:
        deep = True
    if deep:
        said = f"objects and lists may stand at most {nesting_limit} deep in each other."
        raise _unreadable([place((), "nested_too_deep", said)])
    if "\\u" in text and (places := list(half_characters(data, ()))):
        raise _unreadable(places)
    return data


class _Refused(Exception):
    """Something in the text can be read in more than one way."""


def _decoded(body: bytes) -> str:
    try:
        return str(body, "utf-8")
    except UnicodeDecodeError as error:
        said = f"the body must be UTF-8; byte {error.start} is not."
        raise _unreadable([place((), "not_utf8", said)]) from None


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) != len(pairs):
        raise _Refused
    return made


def _constant(_: str) -> float:
    raise _Refused


def _whole(written: str) -> int:
    if len(written.lstrip("-")) > MOST_DIGITS:
        raise _Refused
    return int(written)


def _real(written: str) -> float:
    number = float(written)
    if math.isinf(number):
        raise _Refused
    return number


_STRICT = json.JSONDecoder(object_pairs_hook=_object, parse_constant=_constant, parse_int=_whole, parse_float=_real)


def _depth(data: object) -> int:
    if isinstance(data, dict):
        return 1 + max(map(_depth, data.values()), default=0)
    if isinstance(data, list):
        return 1 + max(map(_depth, data), default=0)
    return 0


def _unreadable(places: list[Place]) -> Problem:
    first = places[0]
    where = first.get("pointer", "").removeprefix("#") or "the body"
    return Problem(KINDS["unreadable-json"], f"{where}: {first['detail']}", places[:MOST_PLACES])
