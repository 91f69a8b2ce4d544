"""Write lines of JSON for what was asked, with nothing of a person in them: names, counts, UUIDs and codes only.

Feedback on cards leaves a line in any case. A line for each request is written where the operator asks for it. An
address is written as its operation, never as it was sent.
"""

from __future__ import annotations

import datetime
import logging
import sys
from typing import Any

import orjson
from starlette.requests import Request
from starlette.types import Scope

from api.settings import Settings, UnusableSetting

__all__ = ["audit", "audit_request", "open_audit_log"]

log = logging.getLogger("thawline.audit")

STANDARD_ERROR = "-"


def open_audit_log(settings: Settings) -> None:
    """Let the lines go where the operator says, or to standard error.

    Raises:
        UnusableSetting: The file cannot be opened.
    """
    for handler in log.handlers[:]:
        log.removeHandler(handler)
        handler.close()
    try:
        to_file = settings.audit_log not in ("", STANDARD_ERROR)
        made: logging.Handler = logging.FileHandler(settings.audit_log) if to_file else _StandardError()
    except OSError:
        raise UnusableSetting("THAWLINE_AUDIT_LOG must name a file that can be written, or be -.") from None
    made.setFormatter(logging.Formatter("%(message)s"))
    log.addHandler(made)
    log.setLevel(logging.INFO)


def audit(request: Request, operation: str, **said: Any) -> None:
    """Log one line.

    Args:
        request: The request, which is named by its id.
        operation: What was asked.
        said: What to tell of it: codes, counts and UUIDs, never text that somebody wrote.
    """
    _write(request.scope, operation=operation, **said)


def audit_request(scope: Scope, operation: str, status: int, took_s: float) -> None:
    """Log one line for a request that was answered."""
    _write(scope, operation=operation, method=scope["method"], status=status, duration_ms=round(1_000 * took_s, 2))


class _StandardError(logging.Handler):
    """Standard error as it is at the moment of writing."""

    def emit(self, record: logging.LogRecord) -> None:
        sys.stderr.write(f"{self.format(record)}\n")


def _write(scope: Scope, **said: Any) -> None:
    state = scope["state"]
    line = {
        "timestamp": datetime.datetime.now(tz=datetime.UTC).isoformat(timespec="milliseconds"),
        "request_id": state["request_id"],
        "trace_id": state["traceparent"].split("-")[1],
        **state.get("caller", {}),  # the name of a key, or issuer and tenant: all of them names that the operator knows
        **said,
    }
    log.info(orjson.dumps(line).decode())
