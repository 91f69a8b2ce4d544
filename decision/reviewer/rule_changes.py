"""Which rules differ between two rule folders, and in what: tests, conclusion, evidence, words, examples."""

from __future__ import annotations

from dataclasses import dataclass

from decision.record import canonical_bytes
from decision.rule import Rule
from decision.rule_folder import RuleFolder

__all__ = ["ChangedRule", "RuleChanges", "rule_changes"]

PARTS = {
    "tests": ("when", "unless"),
    "conclusion": ("conclude",),
    "evidence": ("evidence",),
    "words": ("title", "purpose", "explanation", "topics"),
    "maintenance": ("maintenance",),
    "examples": ("examples",),
}


@dataclass(frozen=True, slots=True)
class ChangedRule:
    """A rule that stands in both folders and is not the same."""

    rule: str
    title: str
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RuleChanges:
    """What became of the rules from one folder to the next. Rules are named by their ids."""

    added: tuple[str, ...]
    withdrawn: tuple[str, ...]
    changed: tuple[ChangedRule, ...]
    beside_rules: tuple[str, ...]  # other files of the folder that differ: vocabulary, sources, decisions

    @property
    def decisions(self) -> list[str]:
        """The decisions of which some rule asks or says something else, or is there in one folder only."""
        answering = [one.rule for one in self.changed if {"tests", "conclusion"} & set(one.changed)]
        return sorted({rule.partition("/")[0] for rule in (*self.added, *self.withdrawn, *answering)})

    @property
    def none(self) -> bool:
        """Whether the folders say the same."""
        return not (self.added or self.withdrawn or self.changed or self.beside_rules)


def rule_changes(before: RuleFolder, after: RuleFolder) -> RuleChanges:
    """Tell what became of the rules from one folder to the next."""
    was, now = _by_id(before), _by_id(after)
    both = sorted(was.keys() & now.keys())
    differing = [(now[name], _differing(was[name], now[name])) for name in both]
    files = sorted({*before.written, *after.written} - {f"{name}.yaml" for name in (*was, *now)})
    return RuleChanges(
        added=tuple(sorted(now.keys() - was.keys())),
        withdrawn=tuple(sorted(was.keys() - now.keys())),
        changed=tuple(ChangedRule(rule.id, rule.title, parts) for rule, parts in differing if parts),
        beside_rules=tuple(name for name in files if not _same(before.written.get(name), after.written.get(name))),
    )


def _by_id(folder: RuleFolder) -> dict[str, Rule]:
    return {rule.id: rule for rules in folder.rules.values() for rule in rules}


def _differing(was: Rule, now: Rule) -> tuple[str, ...]:
    return tuple(
        part
        for part, fields in PARTS.items()
        if any(not _same(was.written.get(field), now.written.get(field)) for field in fields)
    )


def _same(one: object, other: object) -> bool:
    """Whether two parts are written the same, order of keys and form of numbers aside."""
    return canonical_bytes(one) == canonical_bytes(other)
