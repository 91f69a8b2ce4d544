"""What can go wrong when a service is called, as a tree, told by what the service answered.

CallError
  Unreachable        no answer came
  Refused            the service refused the request: its problem, by status
    NeedsKey           401: the key is missing or unknown
    NotThere           404: nothing is at this address, or this rule book is not loaded
    Unusable           400, 406, 412, 413, 415, 422: the request cannot be used; `errors` says where
    TooMany            429: more than was agreed; `retry_after_s` says when to ask again
  Failed             500 or above: the service failed; decide without it
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

__all__ = ["CallError", "Failed", "NeedsKey", "NotThere", "Refused", "TooMany", "Unreachable", "Unusable", "refusal_of"]


class CallError(Exception):
    """A call that brought no answer.

    Attributes:
        retry_after_s: Seconds after which it may be sent again; None where nothing says that it may.
    """

    retry_after_s: float | None = None


class Unreachable(CallError):
    """No answer came: the service is not there, or was too slow."""

    def __init__(self, said: str, retry_after_s: float | None) -> None:
        """Keep what happened, and when to try again where nothing was sent."""
        super().__init__(said)
        self.retry_after_s = retry_after_s


class _Told(CallError):
    """A call that was answered, but not as was wished.

    Attributes:
        status: The HTTP status.
        kind: The kind of the problem, for instance `unusable-case`; empty for an OperationOutcome.
        document: The problem document, or the OperationOutcome; empty when it is neither.
        errors: Every fault found, each with its JSON Pointer or parameter, a code and what is allowed.
        request_id: Names the request, here and in the log of the service.
    """

    def __init__(self, status: int, document: Mapping[str, Any], headers: Mapping[str, str]) -> None:
        """Keep what the service said."""
        self.status = status
        self.document = document
        self.kind = str(document.get("type", "")).rpartition("/")[2]
        self.errors: list[dict[str, str]] = list(document.get("errors", ()))
        self.request_id = headers.get("x-request-id", "")
        self.retry_after_s = _seconds(headers.get("retry-after", ""))
        super().__init__(f"{status}: {_words(document)} (request {self.request_id})")


class Refused(_Told):
    """The service refused the request."""


class NeedsKey(Refused):
    """The key is missing or unknown."""


class NotThere(Refused):
    """Nothing is at this address, or this rule book is not loaded."""


class Unusable(Refused):
    """The request cannot be used; `errors` says where and what is allowed."""


class TooMany(Refused):
    """More requests than were agreed; `retry_after_s` says when to ask again."""


class Failed(_Told):
    """The service failed. No answer was given."""


_BY_STATUS = {401: NeedsKey, 404: NotThere, 429: TooMany}
_UNUSABLE = (400, 406, 412, 413, 415, 422)


def refusal_of(status: int, body: bytes, headers: Mapping[str, str]) -> Refused | Failed:
    """The error for an answer that is no success.

    Args:
        status: Its HTTP status.
        body: Its body; one that is no JSON object says nothing.
        headers: Its headers, by lower-case name.
    """
    try:
        document = json.loads(body)
    except ValueError:
        document = {}
    if not isinstance(document, dict):
        document = {}
    if status >= 500:
        return Failed(status, document, headers)
    kind = Unusable if status in _UNUSABLE else _BY_STATUS.get(status, Refused)
    return kind(status, document, headers)


def _words(document: Mapping[str, Any]) -> str:
    """What is said of it, by a problem document or by an OperationOutcome."""
    places = [f"{one.get('pointer') or one.get('parameter')}: {one['detail']}" for one in document.get("errors", ())]
    issues = [one.get("diagnostics") or one["details"]["text"] for one in document.get("issue", ())]
    return "; ".join([*places, *issues]) or str(document.get("detail", "no reason was given"))


def _seconds(written: str) -> int | None:
    return int(written) if written.isascii() and written.isdigit() else None
