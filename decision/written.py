"""Parts of answers that many answers share, written as JSON once.

Who sends an answer as JSON takes them as they are written; for everybody else they stay data.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

import orjson

__all__ = ["Keep", "as_data", "as_json"]

Part = TypeVar("Part")
Keep = Callable[[Part], Part]


def as_data(part: Part) -> Part:
    """The part as it is."""
    return part


def as_json(part: Part) -> Part:
    """The part as JSON text, which only orjson reads; it stands where the part would stand.

    >>> orjson.dumps({"reasons": [as_json({"rule": "suitability/one"})]})
    b'{"reasons":[{"rule":"suitability/one"}]}'
    """
    return cast("Part", orjson.Fragment(orjson.dumps(part)))
