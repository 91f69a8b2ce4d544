"""Everything that is the same until the next start, as bytes made once: the rule book, and what problems mean."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from api.cds.kinds import CDS_KINDS
from api.operations.messages import (
    ContradictionLine,
    DecisionLine,
    GroupLine,
    InputLine,
    ProblemPage,
    RuleBookPage,
    RuleLine,
    RuleList,
    RulePage,
    SourceList,
    TestLine,
    VersionPage,
    VocabularyPage,
)
from api.problem_kinds import HEAD_KINDS, KINDS, Kind
from api.resource import Resource, resource_of
from decision.engine import ENGINE_VERSION
from decision.recommendation import BookReference
from decision.rule import Rule
from decision.rule_book import RuleBook
from decision.rule_folder import all_inputs
from decision.unary_test import UnaryTest, in_words
from decision.vocabulary import Input

__all__ = ["HTTP_CONTRACT", "reference_pages"]

HTTP_CONTRACT = "0.3.0"


def reference_pages(book: RuleBook) -> dict[str, Resource]:
    """Every page of a rule book and of the kinds of problems, by path (and query)."""
    folder = book.folder
    rules = [rule for node in folder.decisions for rule in folder.rules[node.name]]
    content: dict[str, Any] = {
        "/v1/rule-book": _rule_book(book),
        "/v1/rules": _rule_list(book, rules),
        "/v1/sources": SourceList(rule_book=_reference(book), sources=_plain(folder.sources)),
        "/v1/vocabulary": _vocabulary(book),
        "/version": _version(book),
    }
    for node in folder.decisions:
        content[f"/v1/rules?decision={node.name}"] = _rule_list(book, folder.rules[node.name])
    inputs = all_inputs(folder)
    for rule in rules:
        content[f"/v1/rules/{rule.id}"] = _rule(book, rule, inputs)
    for kind in (*KINDS.values(), *HEAD_KINDS.values(), *CDS_KINDS):
        content[f"/problems/{kind.name}"] = _problem(kind)
    return {path: resource_of(data) for path, data in content.items()}


def _reference(book: RuleBook) -> BookReference:
    return {"version": book.version, "digest": book.digest}


def _rule_book(book: RuleBook) -> RuleBookPage:
    decisions: list[DecisionLine] = [
        {
            "decision": node.name,
            "question": node.question,
            "hit_policy": node.hit_policy,
            "concludes": node.concludes or None,
            "answers": dict(node.answers),
            "requires": list(node.requires),
            "rules": len(book.folder.rules[node.name]),
        }
        for node in book.folder.decisions
    ]
    return {
        "version": book.version,
        "digest": book.digest,
        "answer_contract": book.answer_contract,
        "engine_version": ENGINE_VERSION,
        "notice": book.folder.notice,
        "decisions": decisions,
    }


def _rule_list(book: RuleBook, rules: Iterable[Rule]) -> RuleList:
    lines: list[RuleLine] = [
        {
            "rule": rule.id,
            "decision": rule.decision,
            "name": rule.name,
            "title": rule.title,
            "certainty": rule.evidence.certainty,
            "strength": rule.evidence.strength,
            "validation": rule.written["maintenance"]["validation"],
        }
        for rule in rules
    ]
    return {"rule_book": _reference(book), "rules": lines}


def _rule(book: RuleBook, rule: Rule, inputs: Mapping[str, Input]) -> RulePage:
    return {
        "rule_book": _reference(book),
        "rule": rule.id,
        "decision": rule.decision,
        "name": rule.name,
        "title": rule.title,
        "purpose": rule.purpose,
        "explanation": rule.explanation,
        "when": _tests(rule.when, rule.written["when"], inputs),
        "unless": _tests(rule.unless, rule.written.get("unless", {}), inputs),
        "conclude": dict(rule.conclude),
        "evidence": rule.evidence.as_data(),
        "maintenance": _plain(rule.written["maintenance"]),
        "examples": [_plain(example) for example in rule.written["examples"]],
    }


def _tests(tests: Iterable[UnaryTest], written: Mapping[str, Any], inputs: Mapping[str, Input]) -> list[TestLine]:
    return [
        {
            "input": test.input,
            "written": _plain(written[test.input]),
            "in_words": in_words(test, inputs[test.input]),
        }
        for test in tests
    ]


def _vocabulary(book: RuleBook) -> VocabularyPage:
    vocabulary = book.vocabulary
    groups: list[GroupLine] = [
        {
            "group": one.name,
            "about": one.about,
            "question": one.question,
            "inputs": [member.name for member in vocabulary.in_group(one.name)],
        }
        for one in vocabulary.groups.values()
    ]
    inputs = [_input(one) for one in vocabulary.inputs.values()]
    listed: list[ContradictionLine] = [
        {"contradiction": one.name, "inputs": list(one.inputs), "says": one.says}
        for one in book.folder.contradictions.listed
    ]
    return {"rule_book": _reference(book), "groups": groups, "inputs": inputs, "contradictions": listed}


def _input(one: Input) -> InputLine:
    measured = one.type in ("number", "numbers")
    return {
        "input": one.name,
        "about": one.about,
        "type": one.type,
        "question": one.question,
        "unit": one.unit,
        "range": [one.low, one.high] if measured else None,
        "allowed": dict(one.allowed) or None,
        "group": one.group,
        "absent": one.absent,
        "presumed": one.presumed,
        "presumed_because": one.presumed_because or None,
        "presumed_unless": {name: list(values) for name, values in one.presumed_unless.items()},
        "risk": _plain(one.risk),
        "changes": one.changes,
        "derived_from": list(one.parents),
    }


def _problem(kind: Kind) -> ProblemPage:
    return {
        "name": kind.name,
        "status": kind.status,
        "title": kind.title,
        "meaning": kind.meaning,
        "remedy": kind.remedy,
    }


def _version(book: RuleBook) -> VersionPage:
    return {
        "service": "thawline",
        "http_contract": HTTP_CONTRACT,
        "engine_version": ENGINE_VERSION,
        "answer_contract": book.answer_contract,
        "rule_book": _reference(book),
    }


def _plain(data: Any) -> Any:
    """Copy what a rule file says into plain lists and objects."""
    if isinstance(data, Mapping):
        return {str(key): _plain(value) for key, value in data.items()}
    return [_plain(one) for one in data] if isinstance(data, list | tuple) else data
