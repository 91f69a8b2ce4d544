"""The reader of FHIR records: `api.fhir` and what `api.cds` does before it, over the shipped rules.

An input is the body of a CDS Hooks call: the hook, its context, and what was prefetched.
"""

from __future__ import annotations

import datetime
import json
import random
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import orjson

from api.cds.advice import BESIDE, read_call
from api.cds.call_faults import bounded, read_shape
from api.cds.calls import CALL
from api.cds.names import HOOKS, REQUEST
from api.code_lists import code_lists_of
from api.fhir.bundles import resources_in, supplied
from api.fhir.chart import KINDS_OF, Sent, read_chart
from api.fhir.elements import Element
from api.fhir.writing import written_order, written_record
from api.mapping import shipped_code_map
from api.problems import Problem
from api.strict_json import read_json
from decision import load_rule_book
from tests.fuzz.harness import Harness, mutated_tree
from tests.fuzz.whole_cases import whole_cases

__all__ = ["HARNESS"]

EXAMPLE = Path(__file__).parents[2] / "openapi" / "examples" / "order_select_request.json"
DAY = datetime.date(2026, 11, 24)
BOOK = load_rule_book()
LISTS = code_lists_of(BOOK.folder)
CODE_MAP = shipped_code_map(LISTS)
KINDS = ("unreadable-json", "unusable-call", "missing-prefetch", "unknown-rule-book-version")

UUID = "d1577c69-dfbe-44ad-ba6d-3e05e953b2ea"
LONGEST_SUMMARY = 140  # of CDS Hooks: a summary has fewer characters


def seeds() -> Iterable[bytes]:
    """The shipped example, and whole patients as records, under every hook."""
    example = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    yield from (orjson.dumps({**example, "hook": hook}) for hook in HOOKS)
    for number, case in enumerate(whole_cases(24)):
        yield orjson.dumps(_call(case, HOOKS[number % len(HOOKS)]))


def hold(data: bytes) -> None:
    """A call is refused by a documented problem, or answered; and the case in it reads the same when written."""
    try:
        written = read_shape(CALL, bounded(read_json(data, nesting_limit=32)))
        call = read_call(written, BOOK, LISTS, CODE_MAP, DAY)
    except Problem as refused:
        assert refused.kind.name in KINDS, refused.kind.name
        assert orjson.dumps([refused.detail, refused.errors])
        return
    cards = call.answered(BOOK, LISTS, CODE_MAP, "https://thawline.test")
    assert orjson.loads(orjson.dumps(cards)) == cards
    assert all(0 < len(card["summary"]) < LONGEST_SUMMARY for card in cards["cards"])
    if call.case is not None:
        _same_when_written(call.case.plain)


def _same_when_written(case: Mapping[str, Any]) -> None:
    """What was read, written as our own record of its day, is read again."""
    record = Element(written_record(case, LISTS, "p"), ("prefetch",))
    supply = {key: supplied(record, key, kind) for key, kind in KINDS_OF.items()}
    orders = {"entry": [{"resource": written_order(one["lesion_id"], LISTS, "p")} for one in case["lesions"]]}
    as_of = datetime.date.fromisoformat(case["as_of"])
    drafts = list(resources_in(Element(orders, ("context", "draftOrders"))))
    chart = read_chart(Sent(as_of, "Patient/p", supply, drafts), LISTS, CODE_MAP)
    assert _plain(chart.patient) == _plain(case["patient"])
    assert [_plain(one.stated) for one in chart.lesions] == [_plain(one) for one in case["lesions"]]


def _plain(part: Mapping[str, Any]) -> dict[str, Any]:
    return {name: sorted(value) if name == "ruled_out" else value for name, value in part.items()}


def _call(case: Mapping[str, Any], hook: str) -> dict[str, Any]:
    """A case as a call that orders the freezing of its lesions."""
    orders = [written_order(one["lesion_id"], LISTS, "p") for one in case["lesions"]]
    record = written_record(case, LISTS, "p")
    context = {
        "userId": "Practitioner/1",
        "patientId": "p",
        "selections": [f"ServiceRequest/{one['id']}" for one in orders],
        "draftOrders": {"resourceType": "Bundle", "entry": [{"resource": one} for one in orders]},
        "lesions": record["conditions"],
    }
    beside = {name: case[name] for name in BESIDE if name in case}
    extension = {REQUEST: beside}
    return {"hook": hook, "hookInstance": UUID, "context": context, "prefetch": record, "extension": extension}


def _mutated(data: bytes, chance: random.Random) -> bytes:
    try:
        return json.dumps(mutated_tree(json.loads(data), chance)).encode()
    except (ValueError, RecursionError):
        return data


HARNESS = Harness(seeds, hold, _mutated)
