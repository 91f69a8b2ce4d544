"""Write one line of JSON for what was asked, with nothing of a person in it: names and digests only."""

from __future__ import annotations

import datetime
import logging
from typing import Any

import orjson
from starlette.requests import Request

__all__ = ["audit"]

log = logging.getLogger("thawline.audit")


def audit(request: Request, operation: str, **said: Any) -> None:
    """Log one line.

    Args:
        request: The request, which is named by its id.
        operation: What was asked.
        said: What to tell of it: codes, counts, digests and UUIDs, never text that somebody wrote.
    """
    line = {
        "timestamp": datetime.datetime.now(tz=datetime.UTC).isoformat(timespec="milliseconds"),
        "request_id": request.state.request_id,
        "operation": operation,
        **said,
    }
    log.info(orjson.dumps(line).decode())
