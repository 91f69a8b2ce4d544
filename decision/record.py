"""Canonical bytes and digests, so that an answer can be proved to be the same answer.

Bytes are those of RFC 8785: 10 and 10.0 are one number. Any data can go through the library of that name; a case, which
is digested on every request, and a rule folder, on every load, go a shorter road that gives the same bytes for them.
"""

from __future__ import annotations

import hashlib
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


def case_bytes(case: Any) -> bytes:
    """RFC 8785 bytes of a case, of a rule folder, or of what was found of a case: ASCII keys, whole numbers as whole.

    Numbers too small or too large for plain decimals are written by the library: there the writers differ.

    >>> case_bytes({"patient": {"age_years": 2.0, "species": "dog"}})
    b'{"patient":{"age_years":2,"species":"dog"}}'
    """
    return orjson.dumps(_whole(case), option=orjson.OPT_SORT_KEYS)


_AS_THEY_ARE = frozenset({str, bool, int})  # most of a case


def _whole(data: Any) -> Any:
    """Copy data with whole floats as integers, and with numbers that have no plain decimal form as they are written."""
    if isinstance(data, dict):
        return {key: value if type(value) in _AS_THEY_ARE else _whole(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [value if type(value) in _AS_THEY_ARE else _whole(value) for value in data]
    return _number(data) if isinstance(data, float) else data


def _number(number: float) -> Any:
    if number.is_integer() and abs(number) < 1e15:
        return int(number)
    if 1e-4 <= abs(number) < 1e15:
        return number
    return orjson.Fragment(canonical_bytes(number))
