"""The record of an answer, standing alone: the case, the answer, and where it came from, in words of W3C PROV.

The keys are those of PROV-JSON. No clock is read: `as_of` is part of the case, and a record made twice is the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from typing_extensions import TypedDict

from decision.case import Case
from decision.record import digest_of
from decision.reviewer.released import rule_digests
from decision.rule_book import RuleBook

__all__ = ["AnswerRecord", "answered", "record_of"]

RECORD = "thawline-record-1"
PREFIX = {"prov": "http://www.w3.org/ns/prov#", "thawline": "urn:thawline:"}


class AnswerRecord(TypedDict):
    """A record: everything that it takes to give the same answer again, or to say why another one comes."""

    record: str
    moment: str
    case: dict[str, Any]
    answer: dict[str, Any]
    rules: dict[str, str]
    provenance: dict[str, Any]


def answered(book: RuleBook, case: Case) -> dict[str, Any]:
    """Answer a case at its moment.

    Raises:
        UnknownVersion: It asks for another version of the rule book.
        MatcherFault: The two means of matching differ; no answer is given.
    """
    ask: Mapping[str, Any] = {"before": book.recommend, "during": book.review_cycle, "after": book.review_healing}
    return dict(ask[case.moment](case))


def record_of(book: RuleBook, case: Case) -> AnswerRecord:
    """Answer a case and record it. Raises as `answered`."""
    answer = answered(book, case)
    return {
        "record": RECORD,
        "moment": case.moment,
        "case": dict(case.plain),
        "answer": answer,
        "rules": rule_digests(book.folder),
        "provenance": _provenance(case, answer),
    }


def _provenance(case: Case, answer: Mapping[str, Any]) -> dict[str, Any]:
    table, book = answer["freeze_table"], answer["rule_book"]
    entities = {
        "case": {"thawline:digest": case.digest},
        "rule-book": {"thawline:version": book["version"], "thawline:digest": book["digest"]},
        "freeze-table": {"thawline:version": table["version"], "thawline:digest": table["digest"]},
        "answer": {"thawline:digest": digest_of(answer), "thawline:conclusion": answer["conclusion_digest"]},
    }
    activity, agent = "thawline:answering", "thawline:engine"
    return {
        "prefix": PREFIX,
        "entity": {f"thawline:{name}": one for name, one in entities.items()},
        "activity": {activity: {"prov:type": case.moment, "thawline:answer_contract": answer["answer_contract"]}},
        "agent": {agent: {"prov:type": "prov:SoftwareAgent", "thawline:version": answer["engine_version"]}},
        "used": {
            f"_:used-{name}": {"prov:activity": activity, "prov:entity": f"thawline:{name}"}
            for name in ("case", "rule-book", "freeze-table")
        },
        "wasGeneratedBy": {"_:generated": {"prov:entity": "thawline:answer", "prov:activity": activity}},
        "wasAssociatedWith": {"_:associated": {"prov:activity": activity, "prov:agent": agent}},
    }
