"""Name each request: its request id and its place in a trace (W3C Trace Context).

An id that a caller sends is taken only when it matches a strict pattern, so that nothing can be written into a log
through it; any other is replaced.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["Identity", "identify"]

_REQUEST_ID = re.compile(rb"[A-Za-z0-9][A-Za-z0-9._-]{7,63}")
_TRACEPARENT = re.compile(rb"(?!ff)[0-9a-f]{2}-(?!0{32})([0-9a-f]{32})-(?!0{16})[0-9a-f]{16}-([0-9a-f]{2})")
_LENGTH = 55  # of version 00; what follows it in a later version is not read


@dataclass(frozen=True, slots=True)
class Identity:
    """What a request is called, in answers and in the log."""

    request_id: bytes
    traceparent: bytes


def identify(headers: Iterable[tuple[bytes, bytes]]) -> Identity:
    """Take the names that a caller gave, or make new ones.

    >>> identify([(b"x-request-id", b"visit-2026-0117")]).request_id
    b'visit-2026-0117'
    >>> len(identify([(b"x-request-id", b"two lines")]).request_id)
    32
    """
    fresh = os.urandom(40).hex().encode()
    request_id, trace, flags = fresh[:32], fresh[32:64], b"00"
    for name, value in headers:
        if name == b"x-request-id" and _REQUEST_ID.fullmatch(value):
            request_id = value
        elif name == b"traceparent" and (found := _traced(value)):
            trace, flags = found[1], found[2]
    return Identity(request_id, b"00-%b-%b-%b" % (trace, fresh[64:80], flags))


def _traced(value: bytes) -> re.Match[bytes] | None:
    whole = len(value) == _LENGTH or (value[:2] != b"00" and value[_LENGTH : _LENGTH + 1] == b"-")
    return _TRACEPARENT.fullmatch(value[:_LENGTH]) if whole else None
