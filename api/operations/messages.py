"""What the service answers beside a recommendation, field by field. The types make the OpenAPI document.

The recommendation itself is described in decision/recommendation.py, the case by the vocabulary of the rule book.
"""

from __future__ import annotations

from typing import Any, Literal

from typing_extensions import TypedDict

from decision.recommendation import BookReference, Evidence

__all__ = [
    "ANSWERS",
    "Alive",
    "DecisionLine",
    "GroupLine",
    "InputLine",
    "ProblemPage",
    "Ready",
    "RefusedRules",
    "RuleBookPage",
    "RuleLine",
    "RuleList",
    "RulePage",
    "SourceList",
    "TestLine",
    "VersionPage",
    "VocabularyPage",
]


class DecisionLine(TypedDict):
    """One decision of the rule book: a question, and what may be answered to it."""

    decision: str
    question: str
    hit_policy: Literal["priority", "collect", "unique"]
    concludes: str | None
    answers: dict[str, str]
    requires: list[str]
    rules: int


class RuleBookPage(TypedDict):
    """The rule book as a whole. Answers of a ladder go from the most permissive to the most cautious."""

    version: str
    digest: str
    answer_contract: int
    engine_version: str
    notice: str
    decisions: list[DecisionLine]


class RuleLine(TypedDict):
    """One rule in a list."""

    rule: str
    decision: str
    name: str
    title: str
    certainty: str
    strength: str
    validation: str


class RuleList(TypedDict):
    """The rules of the rule book, or of one decision."""

    rule_book: BookReference
    rules: list[RuleLine]


class TestLine(TypedDict):
    """One test of a rule, as its author wrote it and in words."""

    input: str
    written: Any
    in_words: str


class RulePage(TypedDict):
    """One rule in full: it holds when every test of `when` is met, unless every test of `unless` is met too."""

    rule_book: BookReference
    rule: str
    decision: str
    name: str
    title: str
    purpose: str
    explanation: str
    when: list[TestLine]
    unless: list[TestLine]
    conclude: dict[str, Any]
    evidence: Evidence
    maintenance: dict[str, Any]
    examples: list[dict[str, Any]]


class SourceList(TypedDict):
    """Every publication that rules cite, by key."""

    rule_book: BookReference
    sources: dict[str, dict[str, str | int | list[str] | None]]


class GroupLine(TypedDict):
    """A check list: one tick (`ruled_out`) states each of its inputs as absent."""

    group: str
    about: str
    question: str
    inputs: list[str]


class InputLine(TypedDict):
    """One thing that a case may state, or that is computed from stated things."""

    input: str
    about: str
    type: Literal["code", "boolean", "number", "numbers"]
    question: str
    unit: str | None
    range: list[float] | None
    allowed: dict[str, str] | None
    group: str | None
    absent: bool | float | str | None
    presumed: bool | float | str | None
    presumed_because: str | None
    presumed_unless: dict[str, list[bool | float | str]]
    risk: str | list[str | list[str]]
    changes: Literal["never", "time", "can"]
    derived_from: list[str]


class ContradictionLine(TypedDict):
    """Facts that cannot be together: a case that states them is refused (`unusable-case`) with this sentence."""

    contradiction: str
    inputs: list[str]
    says: str


class VocabularyPage(TypedDict):
    """Everything that a case may state, the check lists, and what cannot be stated together."""

    rule_book: BookReference
    groups: list[GroupLine]
    inputs: list[InputLine]
    contradictions: list[ContradictionLine]


class ProblemPage(TypedDict):
    """What one kind of problem means, and what to do about it."""

    name: str
    status: int
    title: str
    meaning: str
    remedy: str


class VersionPage(TypedDict):
    """Which versions answer. Each is counted for itself."""

    service: str
    http_contract: str
    engine_version: str
    answer_contract: int
    rule_book: BookReference


class Alive(TypedDict):
    """The process answers."""

    status: Literal["alive"]


class RefusedRules(TypedDict):
    """A changed rule folder that was refused: when, and every place in it that has a fault."""

    at: str
    places: list[str]


class Ready(TypedDict):
    """The rule book is loaded and has answered a case by both means of matching.

    What was refused stands here until a change is taken; the rule book named answers meanwhile.
    """

    status: Literal["ready"]
    rule_book: BookReference
    refused: RefusedRules | None


ANSWERS: tuple[Any, ...] = (
    RuleBookPage,
    RuleList,
    RulePage,
    SourceList,
    VocabularyPage,
    ProblemPage,
    VersionPage,
    Alive,
    Ready,
)
