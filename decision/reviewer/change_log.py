"""Hold the changelog against what a change of the rules does: whoever reads it must find every verdict that changes.

The section is "Recommendations that change" under "Unreleased". For each rule by which a verdict changes, an item of it
names the rule by its path and says whether the answer is more or less cautious.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from decision.reviewer.comparison import ChangedBox, Comparison

__all__ = ["VerdictChange", "changelog_faults", "items_that_change", "verdict_changes"]

UNRELEASED, SECTION = "## Unreleased", "### Recommendations that change"


@dataclass(frozen=True, slots=True)
class VerdictChange:
    """One rule by which a ladder answers otherwise, in one direction. `example` is None where no real case shows it."""

    ladder: str
    rule: str
    direction: str
    example: ChangedBox | None


def verdict_changes(found: Comparison) -> list[VerdictChange]:
    """Every rule by which a verdict changes, in each direction, with one box in which it does."""
    return [change for ladder in found.ladders for change in _changes(ladder.ladder, ladder.boxes)]


def changelog_faults(found: Comparison, changelog: str) -> Iterator[str]:
    """State what the changelog should say and does not.

    A box that no real case was found in is no change; `thawline compare` shows it.
    """
    items = [item.lower() for item in items_that_change(changelog)]
    for change in verdict_changes(found):
        if change.example and not _names(items, change.rule, change.direction):
            yield (
                f'no item under "Recommendations that change" names {change.rule} and says "{change.direction}". '
                f"{_for_example(change.ladder, change.example)}"
            )
    for ladder in found.not_compared:
        if not _names(items, ladder):
            yield f'no item under "Recommendations that change" names {ladder}, whose answers are others.'


def items_that_change(changelog: str) -> list[str]:
    r"""The items under "Recommendations that change" of what is not released yet; none where there is no such section.

    >>> items_that_change("## Unreleased\n\n### Recommendations that change\n\n- One\n  more.\n- Two.\n\n## 1\n")
    ['One more.', 'Two.']
    """
    unreleased = _under(UNRELEASED, changelog)
    listed = re.split(r"^[-*] ", _under(SECTION, unreleased), flags=re.MULTILINE)[1:]
    return [" ".join(item.split()) for item in listed]


def _under(heading: str, text: str) -> str:
    """What stands under a heading, up to the next one of its level or above."""
    level = heading.count("#")
    found = re.search(rf"^{heading}[ \t]*$(.*?)(?=^#{{1,{level}}} |\Z)", text, flags=re.MULTILINE | re.DOTALL)
    return found[1] if found else ""


def _changes(ladder: str, boxes: tuple[ChangedBox, ...]) -> Iterator[VerdictChange]:
    ordered = sorted(boxes, key=lambda box: (box.direction, box.rule, not box.shown, len(box.where)))
    for (direction, rule), listed in groupby(ordered, key=lambda box: (box.direction, box.rule)):
        first = next(listed)
        yield VerdictChange(ladder, rule, direction, first if first.shown else None)


def _names(items: list[str], *words: str) -> bool:
    """Whether one item has all of some words, each as a whole."""
    wanted = [re.compile(rf"(?<![\w/]){re.escape(one)}(?!\w)") for one in words]
    return any(all(one.search(item) for one in wanted) for item in items)


def _for_example(ladder: str, box: ChangedBox) -> str:
    where = "; ".join(f"{name} {values}" for name, values in box.where.items())
    said = f"{ladder} {box.was or 'nothing'} -> {box.now or 'nothing'}"
    return f"For example where {where}: {said}." if where else f"In every case: {said}."
