"""What a replay counted, as plain data: parts can be counted anywhere and added in any order."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from typing_extensions import TypedDict

__all__ = ["DIRECTIONS", "KEPT", "Example", "ReplayTally", "added", "empty_tally"]

DIRECTIONS = ("less cautious", "no longer answered", "other answers", "now answered", "more cautious")
KEPT = 3  # examples of each change of verdict


class Example(TypedDict):
    """A case whose answer changes: its place in the file, what it states, and the rules behind both answers."""

    place: int
    lesion_id: str
    rules_before: list[str]
    rules_after: list[str]
    case: dict[str, Any]


class ReplayTally(TypedDict):
    """Counts over cases answered by two rule books. Changes of verdict are named `was -> now`."""

    rule_books: list[str]
    cases: int
    unusable: int
    lesions: int
    same: int
    other_statements_only: int
    directions: dict[str, int]
    verdicts: dict[str, int]
    rules: dict[str, dict[str, int]]
    statements: dict[str, int]
    unusable_places: list[int]
    examples: dict[str, list[Example]]


def empty_tally(digests: Iterable[str]) -> ReplayTally:
    """A tally of no case, for two rule books by their digests."""
    return {
        "rule_books": list(digests),
        "cases": 0,
        "unusable": 0,
        "lesions": 0,
        "same": 0,
        "other_statements_only": 0,
        "directions": {},
        "verdicts": {},
        "rules": {},
        "statements": {},
        "unusable_places": [],
        "examples": {},
    }


def added(parts: Iterable[ReplayTally]) -> ReplayTally:
    """Add tallies. The sum is the same in whatever order they come.

    Raises:
        ValueError: Some part was answered by other rule books.
    """
    listed = list(parts)
    whole = empty_tally(listed[0]["rule_books"])
    for part in listed:
        if part["rule_books"] != whole["rule_books"]:
            raise ValueError("a part was answered by other rule books; replay again with the same rules everywhere.")
        for name in ("cases", "unusable", "lesions", "same", "other_statements_only"):
            whole[name] += part[name]
        for counts, more in ((whole[name], part[name]) for name in ("directions", "verdicts", "statements")):
            _add(counts, more)
        for rule, more in part["rules"].items():
            _add(whole["rules"].setdefault(rule, {}), more)
        whole["unusable_places"] += part["unusable_places"]
        for change, examples in part["examples"].items():
            whole["examples"].setdefault(change, []).extend(examples)
    return _ordered(whole)


def _add(counts: dict[str, int], more: dict[str, int]) -> None:
    for name, count in more.items():
        counts[name] = counts.get(name, 0) + count


def _ordered(whole: ReplayTally) -> ReplayTally:
    """The same tally, the greatest counts first, the first examples kept."""
    for name in ("directions", "verdicts", "statements"):
        whole[name] = dict(sorted(whole[name].items(), key=lambda one: (-one[1], one[0])))
    by_count = sorted(whole["rules"].items(), key=lambda one: (-sum(one[1].values()), one[0]))
    whole["rules"] = {rule: dict(sorted(counts.items())) for rule, counts in by_count}
    whole["unusable_places"] = sorted(whole["unusable_places"])[:KEPT]
    whole["examples"] = {
        change: sorted(found, key=lambda one: (one["place"], one["lesion_id"]))[:KEPT]
        for change, found in sorted(whole["examples"].items())
    }
    return whole
