"""What must be true of every answer, and where one is not.

An answer with a full trace is held against the evaluator, asked by itself, decision by decision, and against what the
service promises in whatever it says. Some are also held against the naive judge, and against the whole answer that is
given in this process.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import orjson

from decision.case import Case, Lesion, facts_of
from decision.errors import CaseError
from decision.evaluator import Outcome, compile_rules
from decision.rule import Rule
from decision.rule_book import RuleBook
from decision.vocabulary import Value
from tests import kleene
from tests.soak.cases import SoakCase

__all__ = ["Checks"]

DAY = datetime.date(2026, 11, 24)
PERMISSIONS = ("suitable", "suitable_with_care")
STATUSES = ("success", "data-requested", "data-required")  # the better first
URGENCIES = ("critical", "warning", "info")
STATEMENTS = ("cautions", "alternatives", "preparation", "precautions", "aftercare", "calendar")
WITH_PERMISSION = ("method", "plan", "estimate")
# One case in so many is also judged by tests/kleene.py, or answered here in whole: both are slow.
JUDGED_EACH, ANSWERED_EACH = 53, 11

Found = Mapping[str, Mapping[str, str]]  # decision -> rule -> what becomes of it
Faults = Iterator[str]


class Checks:
    """Holds answers against one rule book."""

    def __init__(self, book: RuleBook) -> None:
        """Compile every decision before the freeze for the evaluator alone."""
        self._book = book
        self._nodes = [node for node in book.folder.decisions if "before" in node.moments]
        self._ladder = next(node for node in self._nodes if node.name == "suitability")
        self._rules = {node.name: book.folder.rules[node.name] for node in self._nodes}
        self._evaluate = {name: compile_rules(rules) for name, rules in self._rules.items()}
        self._presumed = self._ever_asked()
        self._seen = 0
        self._stated: Mapping[str, Any] = {}

    def broken(self, asked: SoakCase, status: int, body: bytes) -> list[str]:
        """Everything that is not as it must be in the answer to a case."""
        self._seen += 1
        try:
            answer = orjson.loads(body)
            case = self._book.read(asked.data, today=DAY)
        except orjson.JSONDecodeError:
            return [f"{status}: the answer is not JSON"]
        except CaseError as refused:
            return list(_refusal(refused, status, answer))
        if asked.kind == "unusable" or status != 200:
            return [f"{status} for a case of the kind {asked.kind}: {answer.get('detail')}"]
        return list(self._answered(asked, case, body))

    def _answered(self, asked: SoakCase, case: Case, body: bytes) -> Faults:
        answer = orjson.loads(body)
        if answer["case_digest"] != case.digest:
            yield "the answer is that to another case"
        if self._seen % ANSWERED_EACH == 0 and orjson.dumps(self._book.recommend(case, trace=True)) != body:
            yield "the answer is not the one given here"
        if answer["status"] != max((one["status"] for one in answer["lesions"]), key=STATUSES.index):
            yield "the status is not the worst of the lesions"
        for lesion, said in zip(case.lesions, answer["lesions"], strict=True):
            found = self._evaluated(case, lesion, said)
            for fault in (
                *self._rules_told(found, said),
                *_verdict(said),
                *self._range(found, said),
                *_reasoned(said, answer["sources"]),
                *self._presumptions(case, lesion, said),
                *_ordered(said),
            ):
                yield f"{said['lesion_id']}: {fault}"
        found = answer["lesions"][0]["suitability"]
        if asked.kind == "stated":
            self._stated = found
        if asked.kind == "partial" and not self._within(found["without_presumptions"]):
            yield "what more facts settle lies outside the range"

    def _evaluated(self, case: Case, lesion: Lesion, said: Mapping[str, Any]) -> Found:
        """What becomes of every rule that is asked, by the evaluator and the ladder answers that were given."""
        known: dict[str, Value] = dict(facts_of(case, lesion, self._book.vocabulary).known)
        given = {"suitability": said["suitability"]["verdict"], "method": (said["method"] or {}).get("applicator")}
        found: dict[str, dict[str, str]] = {}
        for node in self._nodes:
            if any(known.get(name) not in codes for name, codes in node.given.items()):
                continue
            rules = self._rules[node.name]
            words = [Outcome(one).word for one in self._evaluate[node.name](known)]
            if self._seen % JUDGED_EACH == 0:
                assert words == kleene.outcomes([rule.written for rule in rules], known), "the judge differs"
            found[node.name] = dict(zip((rule.id for rule in rules), words, strict=True))
            if given.get(node.name) is not None:
                known[node.name] = given[node.name]
            for rule in rules if node.hit_policy == "unique" else ():
                if found[node.name][rule.id] == "holds":
                    known |= {name: float(rule.conclude[name]) for name in node.as_inputs() if name in rule.conclude}
        return found

    def _rules_told(self, found: Found, said: Mapping[str, Any]) -> Faults:
        """Every rule asked is told of as what it is, and those that hold stand behind what is said."""
        for part, outcome in (("did_not_apply", "fails"), ("still_open", "unknown")):
            if _rules_in(said[part]) != _having(found, outcome):
                yield f"{part} is not what the evaluator says {outcome}"
        if _rules_in(said["not_told"]) != self._silent(found, said):
            yield "not_told is not what holds and only matters for a freeze that is given"
        for part in STATEMENTS:
            asked = ("alternatives", "other_ways") if part == "alternatives" else (part,)
            holding = _having({name: found.get(name, {}) for name in asked}, "holds") - _rules_in(said["not_told"])
            if {rule for one in _statements(said, part) for rule in _rules_in(one["reasons"])} != holding:
                yield f"{part} does not tell the rules that hold"
        brings = {rule.id: rule.conclude["verdict"] for rule in self._rules["suitability"]}
        brings |= {
            rule.id: rule.conclude["raises_to"] for rule in self._rules["cautions"] if "raises_to" in rule.conclude
        }
        held = _having({name: found[name] for name in ("suitability", "cautions")}, "holds") & brings.keys()
        beside = {brings[rule] for rule in held}
        silenced = {answer for answer, others in self._ladder.no_reason_beside.items() if beside & set(others)}
        if _rules_in(said["suitability"]["reasons"]) != {rule for rule in held if brings[rule] not in silenced}:
            yield "the verdict does not tell the rules that are its reasons"
        if said["suitability"]["verdict"] not in (None, *PERMISSIONS):
            yield from _asked_for_a_freeze(said, self._rules["cautions"])

    def _silent(self, found: Found, said: Mapping[str, Any]) -> set[str]:
        """What holds and is not told: cautions beside a less cautious verdict alone, and a freeze that cannot be."""
        rank, verdict = self._ladder.rank, said["suitability"]["verdict"]
        lasts = {rule.id: one for rule in self._rules["cautions"] if (one := rule.conclude.get("told_up_to"))}
        holding = _having({"cautions": found["cautions"]}, "holds")
        untold = _untold(said["method"])
        limited = holding & lasts.keys()
        of_a_freeze = verdict and "precautions" in untold
        cautions = {rule for rule in limited if of_a_freeze or (verdict and rank(lasts[rule]) < rank(verdict))}
        return cautions | _having({name: found.get(name, {}) for name in untold}, "holds")

    def _range(self, found: Found, said: Mapping[str, Any]) -> Faults:
        """The range begins with what holds, and reaches no further than what is open."""
        rank, verdict = self._ladder.rank, said["suitability"]
        own = {rule.id: rule.conclude["verdict"] for rule in self._rules["suitability"]}
        raised = {rule.id: one for rule in self._rules["cautions"] if (one := rule.conclude.get("raises_to"))}
        brings = [(rank(answer), found["suitability"][rule]) for rule, answer in own.items()]
        brings += [(rank(answer), found["cautions"][rule]) for rule, answer in raised.items()]
        least = max((one for one, word in brings if word == "holds"), default=-1)
        most = max((one for one, word in brings if word != "fails"), default=-1)
        alone = least < rank(self._ladder.stands_unsettled_from) and not _having(
            {"suitability": found["suitability"]}, "holds"
        )
        if rank(verdict["at_least"]) != (-1 if alone else least):
            yield "at_least is not the most cautious answer that holds"
        if not rank(verdict["at_least"]) <= rank(verdict["could_become"]) <= most:
            yield "could_become is outside what holds or is open"

    def _presumptions(self, case: Case, lesion: Lesion, said: Mapping[str, Any]) -> Faults:
        """Whatever was presumed and is asked by a rule is listed, and nothing else."""
        stated = {**case.stated, **lesion.stated}
        inputs = self._book.vocabulary.inputs
        made = {name for name in self._presumed if inputs[name].presumed_beside(stated)}
        if {one["input"] for one in said["presumed"]} != made:
            yield "what is listed as presumed is not what was presumed"

    def _within(self, before: Mapping[str, Any]) -> bool:
        """Whether the range of the stated case lies in the one given for the part of it that was asked after it."""
        rank = self._ladder.rank
        low, least, most, high = (
            rank(one[end])
            for one, end in (
                (before, "at_least"),
                (self._stated, "at_least"),
                (self._stated, "could_become"),
                (before, "could_become"),
            )
        )
        return low <= least <= most <= high

    def _ever_asked(self) -> set[str]:
        """The inputs with a presumption that some rule asks for, by itself or through a quantity computed from it."""
        inputs = self._book.vocabulary.inputs
        asked = {test.input for rules in self._rules.values() for rule in rules for test in rule.tests}
        asked |= {parent for name in asked if name in inputs for parent in inputs[name].parents}
        return {name for name in asked if name in inputs and inputs[name].presumed is not None}


def _refusal(refused: CaseError, status: int, answer: Mapping[str, Any]) -> Faults:
    """A case that cannot be used is a 422 that names the same places."""
    places = {one.get("pointer") for one in answer.get("errors", ())}
    if status != 422 or places != {fault.pointer for fault in refused.faults}:
        yield f"{status} at {places} for a case that is refused at {[one.pointer for one in refused.faults]}"


def _verdict(said: Mapping[str, Any]) -> Faults:
    """Status, verdict and range fit together; without a permission nothing tells how to freeze."""
    found = said["suitability"]
    verdict, ends = found["verdict"], (found["at_least"], found["could_become"])
    if said["status"] not in STATUSES or (said["status"] == "data-required") != (verdict is None):
        yield f"the status is {said['status']} with the verdict {verdict}"
    if verdict not in (None, found["at_least"]):
        yield "the verdict is not what holds at least"
    if found["settled"] != (ends[0] is not None and ends[0] == ends[1]):
        yield "settled, and the ends of the range differ; or the other way round"
    if verdict in PERMISSIONS and not found["settled"]:
        yield "a permission that is not settled"
    if verdict not in PERMISSIONS and any(said[name] is not None for name in WITH_PERMISSION):
        yield "how to freeze is told without a permission"
    if said["plan"] is not None and said["method"] is None:
        yield "a plan without a method"
    if verdict is None and not said["ask_next"]:
        yield "no verdict, and nothing is asked"


def _reasoned(said: Mapping[str, Any], sources: Mapping[str, Any]) -> Faults:
    """Everything said has its reasons, each with its tests, explanation and evidence, and every source is given."""
    shown = [said[name] for name in ("method", "plan") if said[name] is not None]
    verdict = [said["suitability"]] if said["suitability"]["at_least"] is not None else []
    for statement in (*verdict, *shown, *(one for part in STATEMENTS for one in _statements(said, part))):
        if not statement["reasons"]:
            yield "a statement without a reason"
        for reason in statement["reasons"]:
            evidence = reason["evidence"]
            if not (reason["because"] and reason["explanation"] and evidence["certainty"] and evidence["limits"]):
                yield f"{reason['rule']} is told without test, explanation or evidence"
            if not set(evidence["citations"]) <= sources.keys():
                yield f"{reason['rule']} cites what is not among the sources"


def _untold(method: Mapping[str, Any] | None) -> tuple[str, ...]:
    """The decisions about a freeze of which nothing may be told: days while the method is open, all where none fits."""
    if method is None:
        return ("calendar",)
    return ("plan", "preparation", "precautions", "aftercare", "calendar") if method["available"] is False else ()


def _asked_for_a_freeze(said: Mapping[str, Any], cautions: Sequence[Rule]) -> Faults:
    """Where nothing is frozen, no question is asked for a caution that only matters for a freeze."""
    silent = {rule.title for rule in cautions if rule.conclude.get("told_up_to") in PERMISSIONS}
    for one in said["ask_next"]:
        if one["decision"] == "cautions" and one["why"] in silent:
            yield f"{one['input']} is asked for a caution that is not told"


def _ordered(said: Mapping[str, Any]) -> Faults:
    """The most urgent caution comes first."""
    urgencies = [URGENCIES.index(one["urgency"]) for one in said["cautions"]]
    if urgencies != sorted(urgencies):
        yield "cautions are not in the order of their urgency"


def _having(found: Found, outcome: str) -> set[str]:
    return {rule for rules in found.values() for rule, word in rules.items() if word == outcome}


def _rules_in(told: Sequence[Mapping[str, Any]]) -> set[str]:
    return {one["rule"] for one in told}


def _statements(said: Mapping[str, Any], part: str) -> list[Mapping[str, Any]]:
    """What is said in a part; in the calendar each figure stands for itself."""
    if part == "calendar":
        return [figure for milestone in said[part] for figure in milestone["figures"]]
    return list(said[part])
