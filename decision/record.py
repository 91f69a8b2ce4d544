"""Canonical bytes and digests, so that an answer can be proved to be the same answer.

Bytes are those of RFC 8785: 10 and 10.0 are one number. Any data can go through the library of that name; a case, which
is digested on every request, and a rule folder, on every load, go a shorter road that gives the same bytes for them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

import orjson
import rfc8785

__all__ = ["canonical_bytes", "case_bytes", "digest_of", "sha256_of"]


def canonical_bytes(data: Any) -> bytes:
    """RFC 8785 bytes of any JSON data.

    >>> canonical_bytes({"b": 10.0, "a": [1e-7]})
    b'{"a":[1e-7],"b":10}'
    """
    return rfc8785.dumps(data)


def digest_of(data: Any) -> str:
    """SHA-256 over the canonical bytes, as hexadecimal text with its name before it."""
    return sha256_of(canonical_bytes(data))


def sha256_of(data: bytes) -> str:
    """SHA-256 of bytes, as `sha-256:` and 64 hexadecimal digits."""
    return f"sha-256:{hashlib.sha256(data).hexdigest()}"


def case_bytes(case: Mapping[str, Any]) -> bytes:
    """RFC 8785 bytes of a case, or of a rule folder: keys in ASCII, numbers that are whole written as whole.

    Numbers too small or too large for plain decimals take the long road, since only there do the two writers differ.

    >>> case_bytes({"patient": {"age_years": 2.0, "species": "dog"}})
    b'{"patient":{"age_years":2,"species":"dog"}}'
    """
    plain = _whole(case)
    return canonical_bytes(case) if plain is _LONG_ROAD else orjson.dumps(plain, option=orjson.OPT_SORT_KEYS)


_AS_THEY_ARE = (str, int, bool, type(None))
_LONG_ROAD = object()


def _whole(data: Any) -> Any:
    """Copy data with whole floats as integers; not at all when a number has no plain decimal form."""
    kind = type(data)
    if kind in _AS_THEY_ARE:
        return data
    if kind is float:
        if data.is_integer() and abs(data) < 1e15:
            return int(data)
        return data if 1e-4 <= abs(data) < 1e15 else _LONG_ROAD
    if isinstance(data, dict):
        copied = {}
        for key, value in data.items():
            plain = value if type(value) in _AS_THEY_ARE else _whole(value)
            if plain is _LONG_ROAD:
                return _LONG_ROAD
            copied[key] = plain
        return copied
    if isinstance(data, list | tuple):
        listed = [_whole(value) for value in data]
        return _LONG_ROAD if any(value is _LONG_ROAD for value in listed) else listed
    return data
