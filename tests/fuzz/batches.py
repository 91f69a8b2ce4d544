"""The reader of batches: `api.batches`, over the toy rules and with a short limit.

An input is the body of a batch. It is sent whole and in pieces, whose length follows from its own.
"""

from __future__ import annotations

import asyncio
import datetime
import json
import random
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import orjson

from api.app import create_app
from api.batches import NDJSON
from api.problems import Problem, refusal_of
from api.settings import Settings
from api.strict_json import read_json
from decision import load_rule_book
from decision.errors import DecisionError
from tests.fuzz.harness import STRANGE, Harness, mutated_tree

__all__ = ["HARNESS"]

SETTINGS = Settings(body_limit_bytes=2_000, nesting_limit=20)
BOOK = load_rule_book(Path(__file__).parents[1] / "toy_rules")
APP = create_app(BOOK, SETTINGS)
DAY = datetime.date(2026, 11, 24)
LESION = {"lesion_id": "flank", "longest_diameter_mm": 5, "ruled_out": ["checked"]}
CASE = {"as_of": DAY.isoformat(), "patient": {"species": "dog"}, "lesions": [LESION]}
LINES = (
    orjson.dumps(CASE),
    orjson.dumps({**CASE, "lesions": [LESION, {"lesion_id": "b", "weeks_present": 2000.0}]}),
    orjson.dumps({**CASE, "rule_book_version": "1999.01.0"}),
    orjson.dumps({"as_of": CASE["as_of"], "patient": {}, "lesions": [{"lesion_id": "x", "longest_diameter_mm": -1}]}),
    b"",
    b"  \t",
    b"{",
    b"\xff",
    b'{"patient": {}, "patient": {}}',
    b'"' + b"x" * SETTINGS.body_limit_bytes + b'"',
)


def seeds() -> Iterable[bytes]:
    """Each line alone, each pair, and all of them, with both ends of line."""
    yield from LINES
    yield from (b"\n".join((one, other)) for one in LINES for other in LINES)
    yield b"\r\n".join(LINES)
    yield b"\n".join(LINES) + b"\n"
    yield from (orjson.dumps({**CASE, "patient": one}) + b"\n" for one in STRANGE)


def hold(data: bytes) -> None:
    """Each line that is not empty has its answer in its place: that of the line alone, however the body was cut."""
    expected = [
        {"line": number, **_alone(line)}
        for number, line in enumerate(data.split(b"\n"), 1)
        if line.strip() or len(line) > SETTINGS.body_limit_bytes
    ]
    size = len(data) % 97 + 1
    assert _sent([data]) == expected
    assert _sent([data[start : start + size] for start in range(0, len(data), size)] or [b""]) == expected


def _alone(line: bytes) -> dict[str, Any]:
    """What one line is answered by itself: its digests, or what it is refused for."""
    try:
        if len(line) > SETTINGS.body_limit_bytes:
            return {"refused": "body-too-large"}
        case = BOOK.read(read_json(line, nesting_limit=SETTINGS.nesting_limit), today=DAY)
        return {"answer": BOOK.recommend(case)["conclusion_digest"]}
    except (Problem, DecisionError) as refused:
        return {"refused": refusal_of(refused)[0].name}


def _sent(parts: list[bytes]) -> list[dict[str, Any]]:
    """Send a body in parts; of each line of the answer what `_alone` says of one."""
    waiting, written = list(parts), []
    scope = {
        "type": "http",
        "method": "POST",
        "path": "/v1/batches",
        "raw_path": b"/v1/batches",
        "query_string": b"",
        "headers": [(b"content-type", NDJSON.encode())],
        "scheme": "http",
        "http_version": "1.1",
        "asgi": {"version": "3.0"},
    }

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": waiting.pop(0), "more_body": bool(waiting)}

    async def send(message: Any) -> None:
        assert message.get("status", 200) == 200
        written.append(message.get("body", b""))

    asyncio.run(APP(scope, receive, send))
    return [_told(orjson.loads(line)) for line in b"".join(written).splitlines()]


def _told(line: dict[str, Any]) -> dict[str, Any]:
    if "answer" in line:
        return {"line": line["line"], "answer": line["answer"]["conclusion_digest"]}
    assert line["problem"]["status"] < 500, line["problem"]
    return {"line": line["line"], "refused": line["problem"]["type"].rpartition("/")[2]}


def _mutated(data: bytes, chance: random.Random) -> bytes:
    """Change one line as data."""
    lines = data.split(b"\n")
    place = chance.randrange(len(lines))
    try:
        lines[place] = json.dumps(mutated_tree(json.loads(lines[place]), chance)).encode()
    except (ValueError, RecursionError):
        lines.insert(place, chance.choice(LINES))
    return b"\n".join(lines)


HARNESS = Harness(seeds, hold, _mutated)
