"""Log lines as JSON, one object a line: when, how bad, who says it, what, and for which request.

Of an exception its kind and its places are written and never its text, which may hold a value of a case.
"""

from __future__ import annotations

import datetime
import logging
import traceback
from typing import Any

import orjson

__all__ = ["LOGGING", "JsonLine"]


class JsonLine(logging.Formatter):
    """Writes a record as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """The line of a record."""
        at = datetime.datetime.fromtimestamp(record.created, tz=datetime.UTC)
        line: dict[str, Any] = {
            "timestamp": at.isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "process": record.process,
            "message": record.getMessage(),
        }
        if hasattr(record, "request_id"):
            line["request_id"] = record.request_id
        if record.exc_info and record.exc_info[0]:
            line["exception"] = record.exc_info[0].__name__
            line["places"] = places_of(record.exc_info[1])
        return orjson.dumps(line).decode()


def places_of(fault: BaseException | None) -> list[str]:
    """Where a fault went through, outermost first."""
    frames = traceback.extract_tb(fault.__traceback__ if fault else None)
    return [f"{one.filename}:{one.lineno} {one.name}" for one in frames]


# Requests are not logged by the server, which would write addresses as they were sent; see api/audit.py.
LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"json": {"()": "api.running.log_lines.JsonLine"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "json"}},
    "loggers": {
        "uvicorn": {"handlers": ["stderr"], "level": "INFO", "propagate": False},
        "thawline": {"handlers": ["stderr"], "level": "INFO", "propagate": False},
        "thawline.audit": {"level": "INFO", "propagate": False},
    },
}
