"""Lets schemathesis send a body of lines: the text as it is."""

from __future__ import annotations

import json
from typing import Any

import schemathesis


@schemathesis.serializer("application/x-ndjson")
def lines(_: Any, value: Any) -> bytes:
    """Write a body of lines; what is no text, as one line."""
    if isinstance(value, bytes):
        return value
    return value.encode("utf-8", "replace") if isinstance(value, str) else json.dumps(value, default=str).encode()
