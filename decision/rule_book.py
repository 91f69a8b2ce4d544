"""A rule book that answers: the rule folder, compiled for both means of matching, with its words prepared.

    case as JSON data -> read -> facts -> decisions -> answer

What one file cannot show is checked here before the book answers anything: that examples come out as their authors
wrote, that no two rules of a `unique` decision can hold together, and that the matcher can tell all names apart.
"""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Iterable
from typing import Any

from decision.case import Case, facts_of, read_case
from decision.decisions import Decisions
from decision.derived import derive
from decision.engine import ENGINE_VERSION
from decision.errors import Fault, RuleBookError, UnknownVersion
from decision.evaluator import Outcome, compile_rules
from decision.freeze.lookup import load_freeze_table
from decision.lesion_answer import LesionAnswers
from decision.matcher import name_faults
from decision.overlap import common_case
from decision.recommendation import ApplicatorEstimate, LesionAnswer, Recommendation
from decision.record import case_bytes, sha256_of
from decision.rule import Rule
from decision.rule_folder import RuleFolder, readable_inputs
from decision.vocabulary import Input, Vocabulary, nearest

__all__ = ["RuleBook", "folder_faults"]

_TEXTS = ("reasons", "thaw_note")


class RuleBook:
    """A loaded rule book."""

    def __init__(self, folder: RuleFolder) -> None:
        """Check the folder as a whole and compile it.

        Raises:
            RuleBookError: With every fault that only shows when files are taken together.
        """
        faults = list(folder_faults(folder))
        if faults:
            raise RuleBookError(faults)
        self.folder = folder
        self.vocabulary: Vocabulary = folder.vocabulary
        self._decisions = Decisions(folder)
        self._table = load_freeze_table()
        self._answers = LesionAnswers(self._decisions, self._table)
        self._cited = {key: _citation(one) for key, one in folder.sources.items()}

    @property
    def version(self) -> str:
        """Calendar version of the rule book."""
        return self.folder.version

    @property
    def digest(self) -> str:
        """SHA-256 over the RFC 8785 bytes of the whole folder."""
        return self.folder.digest

    @property
    def answer_contract(self) -> int:
        """Number that a release raises when it alters conclusions under unchanged rules."""
        return self.folder.answer_contract

    def read(self, data: object, *, today: datetime.date) -> Case:
        """Read a case from JSON data; see `decision.case.read_case`.

        Raises:
            CaseError: With every fault of the case.
        """
        return read_case(data, self.vocabulary, today=today)

    def recommend(self, case: Case | dict[str, Any], *, trace: bool = False) -> Recommendation:
        """Recommend whether and how to freeze each lesion, with the reason for each statement.

        Args:
            case: A case, or one as JSON data (a missing date is then today's).
            trace: Also tell which rules did not apply and which are open.

        Raises:
            CaseError: The case cannot be used.
            UnknownVersion: It asks for another version of the rule book.
            MatcherFault: The two means of matching differ; no answer is given.
        """
        if not isinstance(case, Case):
            case = self.read(case, today=datetime.datetime.now(tz=datetime.UTC).date())
        if case.rule_book_version not in (None, self.version):
            raise UnknownVersion(f"the rule book loaded is {self.version}; no other version is at hand.")
        lesions, conclusions = [], []
        for lesion in case.lesions:
            run = self._decisions.run(facts_of(case, lesion, self.vocabulary))
            answer = self._answers.answer(lesion.lesion_id, run, case.sizes_at_hand, trace=trace)
            lesions.append(answer)
            outcomes = {name: list(hits.outcomes) for name, hits in run.hits.items()}
            conclusions.append([_concluded(answer), run.known, outcomes])
        return {
            "status": _worst(lesions),
            "rule_book": {"version": self.version, "digest": self.digest},
            "answer_contract": self.answer_contract,
            "engine_version": ENGINE_VERSION,
            "freeze_table": {"version": self._table.version, "digest": self._table.digest},
            "case_digest": case.digest,
            "conclusion_digest": sha256_of(case_bytes({"lesions": conclusions})),
            "as_of": case.as_of.isoformat(),
            "notice": self.folder.notice,
            "sources": self._sources_of(lesions),
            "lesions": lesions,
        }

    def close(self) -> None:
        """Give the matcher's memory back. The book cannot answer afterwards."""
        self._decisions.close()

    def _sources_of(self, lesions: Iterable[LesionAnswer]) -> dict[str, Any]:
        """The publications behind the reasons of an answer, by key."""
        keys: dict[str, None] = {}
        for lesion in lesions:
            parts: list[Any] = [lesion["suitability"], lesion["method"] or {}, lesion["plan"] or {}]
            parts += [*lesion["cautions"], *lesion["preparation"], *lesion["precautions"]]
            parts += lesion["alternatives"]
            for part in parts:
                for reason in part.get("reasons", ()):
                    keys.update(dict.fromkeys(reason["evidence"]["citations"]))
        return {key: self._cited[key] for key in keys}


def folder_faults(folder: RuleFolder) -> Iterable[Fault]:
    """State every fault that shows only when the files of a folder are taken together."""
    nodes = {node.name: node for node in folder.decisions}
    inputs = {**folder.vocabulary.inputs, **{n: d.as_input() for n, d in nodes.items() if d.answers}}
    yield from name_faults(inputs, "vocabulary.yaml")
    for name in nodes.keys() & folder.vocabulary.inputs.keys():
        yield Fault("vocabulary.yaml", 0, name, "a decision has this name; choose another.")
    for node in folder.decisions:
        rules = folder.rules[node.name]
        readable = readable_inputs(node, folder.vocabulary, nodes)
        for rule in rules:
            yield from _example_faults(rule, readable)
        if node.hit_policy == "unique":
            yield from _conflicts(rules, inputs)


def _example_faults(rule: Rule, readable: dict[str, Input]) -> Iterable[Fault]:
    file = f"rules/{rule.id}.yaml"
    evaluate = compile_rules([rule])
    for i, example in enumerate(rule.examples):
        path = f"examples[{i}]"
        unreadable = [name for name in example.case if name not in readable or readable[name].derived]
        if unreadable:
            said = f"{unreadable[0]} cannot be stated in an example of this rule."
            statable = [name for name, one in readable.items() if not one.derived]
            yield Fault(file, 0, f"{path}.case", said + nearest(unreadable[0], statable))
            continue
        wrong = [name for name, value in example.case.items() if not _possible(value, readable[name])]
        if wrong:
            yield Fault(file, 0, f"{path}.case.{wrong[0]}", "the value is not one that this input can have.")
            continue
        known = {name: float(v) if type(v) is int else v for name, v in example.case.items()}
        found = Outcome(evaluate({**known, **derive(known)})[0]).word
        if found != example.outcome:
            said = f'"{example.title}" says the rule {_says(example.outcome)}, but it {_says(found)}.'
            yield Fault(file, 0, path, said)


def _possible(value: Any, one: Input) -> bool:
    if one.type == "boolean":
        return isinstance(value, bool)
    if one.type == "code":
        return isinstance(value, str) and value in one.allowed
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return one.type == "number" and number and one.low <= value <= one.high


def _says(outcome: str) -> str:
    return "is unknown" if outcome == "unknown" else outcome


def _conflicts(rules: tuple[Rule, ...], inputs: dict[str, Input]) -> Iterable[Fault]:
    for one, other in itertools.combinations(rules, 2):
        for quantity in one.conclude.keys() & other.conclude.keys():
            if one.conclude[quantity] == other.conclude[quantity]:
                continue
            case = common_case(one, other, inputs)
            if case is not None:
                shown = ", ".join(f"{name} {value}" for name, value in case.items())
                said = (
                    f'{quantity}: "{one.name}" and "{other.name}" say different values for the same case: '
                    f'{shown}. A decision with hit policy "unique" allows one.'
                )
                yield Fault(f"rules/{one.id}.yaml", 0, f"conclude.{quantity}", said)


def _concluded(answer: LesionAnswer) -> list[Any]:
    """The verdicts and numbers of an answer, without its texts."""
    suitability, method, plan = answer["suitability"], answer["method"], answer["plan"]
    return [
        answer["lesion_id"],
        answer["status"],
        [suitability["verdict"] or "", suitability["at_least"] or "", suitability["could_become"] or ""],
        [] if method is None else [method["applicator"], method["contact_diameter_mm"] or 0.0],
        {} if plan is None else {k: v for k, v in plan.items() if k not in _TEXTS and v is not None},
        [] if answer["estimate"] is None else _numbers(answer["estimate"]["by_applicator"]),
    ]


def _numbers(applicators: list[ApplicatorEstimate]) -> list[Any]:
    """The numbers of an estimate; a zone that is not there counts as zero."""
    return [
        [
            cycle["ice_depth_mm"] or 0,
            cycle["depth_minus25_mm"] or 0,
            cycle["ice_past_edge_mm"] or 0,
            cycle["thaw_s"] or 0,
        ]
        for one in applicators
        for cycle in one["by_cycle"]
    ]


def _worst(lesions: list[LesionAnswer]) -> Any:
    statuses = {lesion["status"] for lesion in lesions}
    return next(one for one in ("data-required", "data-requested", "success") if one in statuses)


def _citation(source: Any) -> str:
    year = source["year"] or "no year at hand"
    doi = f" doi:{source['doi']}" if source["doi"] else ""
    return f"{source['authors']}. {source['title']}. {source['where']}, {year}.{doi}"
