"""What the rule book rests on: how much of it on what certainty, and what falls with a source."""

from __future__ import annotations

import dataclasses
from collections import Counter
from dataclasses import dataclass

from decision.reviewer.comparison import Comparison, compare
from decision.rule import Rule
from decision.rule_book import RuleBook
from decision.rule_folder import RuleFolder

__all__ = [
    "CERTAINTIES",
    "DecisionEvidence",
    "Fall",
    "SourceUse",
    "UnknownSource",
    "evidence_of",
    "fall_of",
    "source_uses",
]

CERTAINTIES = ("high", "moderate", "low", "very_low")


class UnknownSource(Exception):
    """No source has this key."""


@dataclass(frozen=True, slots=True)
class DecisionEvidence:
    """How many rules of a decision rest on what. `unsourced` ones are among those of their certainty too.

    `sourced` are those of each certainty that cite a source.
    """

    decision: str
    rules: int
    by_certainty: dict[str, int]
    sourced: dict[str, int]
    unsourced: int

    @property
    def parts(self) -> list[int]:
        """The rules in parts that share none: sourced ones from high to very low certainty, then those unsourced."""
        return [*(self.sourced[one] for one in CERTAINTIES), self.unsourced]


@dataclass(frozen=True, slots=True)
class SourceUse:
    """A source with the rules that cite it, and those that cite nothing else."""

    source: str
    level: str
    read: str
    rules: tuple[str, ...]
    alone: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fall:
    """What falls when a source is retracted.

    `fallen` rules rest on nothing else; `weakened` ones on the sources named beside them. `without` tells what the
    ladders would answer if the fallen rules went: None where one of their decisions cannot do without them.
    """

    source: str
    fallen: tuple[Rule, ...]
    weakened: dict[str, tuple[str, ...]]
    without: Comparison | None


def evidence_of(folder: RuleFolder) -> list[DecisionEvidence]:
    """Count what the rules of each decision rest on, in the order of the decisions."""
    found = []
    for node in folder.decisions:
        rules = folder.rules[node.name]
        counted = Counter(rule.evidence.certainty for rule in rules)
        sourced = Counter(rule.evidence.certainty for rule in rules if rule.evidence.citations)
        by_certainty, with_source = ({one: counts[one] for one in CERTAINTIES} for counts in (counted, sourced))
        found.append(DecisionEvidence(node.name, len(rules), by_certainty, with_source, len(rules) - sourced.total()))
    return found


def source_uses(folder: RuleFolder) -> list[SourceUse]:
    """Which rules rest on each source, the most used first."""
    uses = []
    for key, source in folder.sources.items():
        citing = _citing(folder, key)
        alone = tuple(rule.id for rule in citing if rule.evidence.citations == (key,))
        uses.append(SourceUse(key, source["level"], source["read"], tuple(rule.id for rule in citing), alone))
    return sorted(uses, key=lambda use: (-len(use.rules), use.source))


def fall_of(book: RuleBook, source: str) -> Fall:
    """What falls when a source is retracted.

    Raises:
        UnknownSource: The rule book has no such source.
    """
    if source not in book.folder.sources:
        raise UnknownSource(source)
    citing = _citing(book.folder, source)
    fallen = tuple(rule for rule in citing if rule.evidence.citations == (source,))
    weakened = {
        rule.id: tuple(key for key in rule.evidence.citations if key != source) for rule in citing if rule not in fallen
    }
    return Fall(source, fallen, weakened, _without(book, fallen) if fallen else None)


def _citing(folder: RuleFolder, source: str) -> list[Rule]:
    return [rule for rules in folder.rules.values() for rule in rules if source in rule.evidence.citations]


def _without(book: RuleBook, fallen: tuple[Rule, ...]) -> Comparison | None:
    gone = {rule.id for rule in fallen}
    rules = {name: tuple(rule for rule in listed if rule.id not in gone) for name, listed in book.folder.rules.items()}
    if not all(rules.values()):
        return None
    left = RuleBook(dataclasses.replace(book.folder, rules=rules, written=_written_without(book.folder, gone)))
    try:
        return compare(book, left)
    finally:
        left.close()


def _written_without(folder: RuleFolder, gone: set[str]) -> dict[str, object]:
    return {name: data for name, data in folder.written.items() if name.removesuffix(".yaml") not in gone}
