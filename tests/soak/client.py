"""One client: asks random cases over one connection, and checks every answer with a rule book of its own."""

from __future__ import annotations

import http.client
from collections import Counter
from urllib.parse import urlsplit

import orjson

from decision import load_rule_book
from tests.soak.cases import soak_cases
from tests.soak.checks import Checks

__all__ = ["asked"]

PATH = "/v1/recommendations?trace=full"
JSON = {"Content-Type": "application/json"}
PATIENCE_S = 120  # longer than any answer takes, on however busy a machine


def asked(url: str, cases: int, seed: int) -> tuple[Counter[str], list[str]]:
    """Ask so many cases over one connection: what came of them, and everything that was not as it must be."""
    book = load_rule_book()
    checks = Checks(book)
    counts: Counter[str] = Counter()
    broken: list[str] = []
    address = urlsplit(url)
    connection = http.client.HTTPConnection(address.hostname or "", address.port, timeout=PATIENCE_S)
    for one in soak_cases(book, cases, seed):
        connection.request("POST", PATH, orjson.dumps(one.data), JSON)
        answer = connection.getresponse()
        body = answer.read()
        counts.update((one.kind, f"answered {answer.status}"))
        found = checks.broken(one, answer.status, body)
        broken += [f"{fault}: {orjson.dumps(one.data).decode()}" for fault in found]
        if answer.status == 200:
            counts.update(_verdicts(body))
    connection.close()
    book.close()
    return counts, broken


def _verdicts(body: bytes) -> list[str]:
    lesions = orjson.loads(body)["lesions"]
    plans = ["with a plan" for one in lesions if one["plan"] is not None]
    return [*plans, *(f"verdict {one['suitability']['verdict']}" for one in lesions)]
