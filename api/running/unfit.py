"""Say what is wrong with a request that never reaches the service: the head breaks a rule of HTTP, or is too long.

The answer is a problem document like every other, with a request id of its own. The connection is closed behind it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import httptools
import orjson

from api.frame import NO_STORE, SECURITY
from api.identity import identify
from api.problem_kinds import HEAD_KINDS, KINDS, Kind
from api.problems import MEDIA_TYPE, document_of

__all__ = ["Unfit", "kind_of_fault", "refuse_host", "refused"]

Header = tuple[bytes, bytes]

# A name or an address, with a port or without one (RFC 9110, 7.2); none where the target has none.
HOST = re.compile(rb"(\[[0-9A-Fa-f:.]+\]|[A-Za-z0-9._~%!$&'()*+,;=-]*)(:[0-9]{0,5})?")
REASONS = {400: b"Bad Request", 431: b"Request Header Fields Too Large", 501: b"Not Implemented"}


class Unfit(Exception):
    """A head that is refused before the service sees it."""

    def __init__(self, kind: Kind) -> None:
        """Keep what the answer will say."""
        super().__init__(kind.name)
        self.kind = kind


def refuse_host(version: str, headers: Iterable[Header]) -> None:
    """Refuse a head that does not name one host (RFC 9112, 3.2).

    Args:
        version: Of HTTP: what is older than 1.1 may name none.
        headers: By lower-case name.

    Raises:
        Unfit: There is none, there are several, or it is none.
    """
    hosts = [value for name, value in headers if name == b"host"]
    if len(hosts) > 1 or (not hosts and version == "1.1") or not all(HOST.fullmatch(one) for one in hosts):
        raise Unfit(KINDS["bad-request"])


def kind_of_fault(fault: BaseException | None) -> Kind:
    """The kind of problem for what a parser found."""
    if isinstance(fault, Unfit):
        return fault.kind
    cause = None if fault is None else fault.__context__
    if isinstance(cause, Unfit):
        return cause.kind
    if isinstance(fault, httptools.HttpParserInvalidMethodError):
        return HEAD_KINDS["unknown-method"]
    return KINDS["bad-request"]


def refused(kind: Kind, headers: Iterable[Header], docs_url: str) -> bytes:
    """The whole answer to a request that is refused here.

    Args:
        kind: What is wrong.
        headers: What was read of its head, for the request id that a caller may have given.
        docs_url: Where the pages about problems are found; empty for this service itself.
    """
    identity = identify(headers)
    request_id = identity.request_id.decode()
    body = orjson.dumps(document_of(kind, kind.meaning, request_id=request_id, docs_url=docs_url))
    written = [
        (b"content-type", MEDIA_TYPE.encode()),
        (b"content-length", b"%d" % len(body)),
        (b"x-request-id", identity.request_id),
        (b"traceparent", identity.traceparent),
        NO_STORE,
        *SECURITY,
        (b"connection", b"close"),
    ]
    head = b"".join(b"%b: %b\r\n" % one for one in written)
    return b"HTTP/1.1 %d %b\r\n%b\r\n%b" % (kind.status, REASONS[kind.status], head, body)
