"""Everything written in a rule folder in the form that is digested and kept, in which an order cannot be lost.

RFC 8785 sorts the keys of an object, and some orders speak: the answers of a ladder run from permissive to cautious,
inputs are asked in the order of the vocabulary, tests are told in the order in which a rule asks them. So below the
top of a file an object with another order stands as a list: each name, and after it what it names. The parts at the top
of a file have names and no order.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

__all__ = ["as_written", "keeping_order"]

TAG = "in_order"


def keeping_order(written: Mapping[str, Any]) -> dict[str, Any]:
    """The files of a folder, by name, with every order below the top kept in lists.

    >>> keeping_order({"suitability/decision.yaml": {"answers": {"suitable": "freeze", "refer": "refer"}}})
    {'suitability/decision.yaml': {'answers': {'in_order': ['suitable', 'freeze', 'refer', 'refer']}}}
    """
    return {file: {part: _listed(one) for part, one in parts.items()} for file, parts in written.items()}


def as_written(kept: Mapping[str, Any]) -> dict[str, Any]:
    """The files as they were written: the opposite of `keeping_order`.

    Raises:
        AttributeError, TypeError, ValueError: It is no folder in that form.

    >>> as_written({"suitability/decision.yaml": {"answers": {"in_order": ["suitable", "freeze"]}}})
    {'suitability/decision.yaml': {'answers': {'suitable': 'freeze'}}}
    """
    return {file: {part: _unlisted(one) for part, one in parts.items()} for file, parts in kept.items()}


def _listed(data: Any) -> Any:
    if isinstance(data, dict):
        if list(data) == sorted(data):
            return {name: _listed(one) for name, one in data.items()}
        return {TAG: [part for name, one in data.items() for part in (name, _listed(one))]}
    return [_listed(one) for one in data] if isinstance(data, list) else data


def _unlisted(data: Any) -> Any:
    if isinstance(data, dict):
        if data.keys() == {TAG}:
            return {name: _unlisted(one) for name, one in zip(data[TAG][::2], data[TAG][1::2], strict=True)}
        return {name: _unlisted(data[name]) for name in sorted(data)}
    return [_unlisted(one) for one in data] if isinstance(data, list) else data
