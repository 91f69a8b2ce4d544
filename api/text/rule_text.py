"""Print what rules rest on, and what a change of them does."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from rich.console import Console
from rich.table import Table

from api.text.layout import heading, item, paragraph
from decision.reviewer.comparison import ChangedBox, Comparison
from decision.reviewer.evidence_view import CERTAINTIES, DecisionEvidence, Fall, SourceUse
from decision.reviewer.rule_changes import RuleChanges

__all__ = ["show_comparison", "show_evidence", "show_fall"]

BAR = 30  # columns of the longest bar


def show_comparison(console: Console, found: Comparison) -> None:
    """Print which rules differ, and each rule by which verdicts change, with one of its boxes."""
    heading(console, "Rules")
    _show_changes(console, found.rules)
    show_boxes(console, found)
    if found.statements:
        paragraph(console, f"Rules of {', '.join(found.statements)} change what is said under the same answers.")


def show_boxes(console: Console, found: Comparison) -> None:
    """Print where each ladder answers otherwise."""
    for ladder in found.ladders:
        heading(console, ladder.ladder)
        if not (ladder.less_cautious or ladder.more_cautious):
            paragraph(console, "No fully stated case is answered otherwise.")
        for boxes in (ladder.less_cautious, ladder.more_cautious):
            by_rule = sorted(boxes, key=lambda box: (box.rule, not box.shown, len(box.where)))
            for rule, listed in groupby(by_rule, key=lambda box: box.rule):
                _show_rule(console, rule, list(listed))
    if found.not_compared:
        paragraph(console, f"Not compared by boxes: {', '.join(found.not_compared)}. Replay cases for those.")


def show_evidence(console: Console, counted: Sequence[DecisionEvidence], uses: Sequence[SourceUse]) -> None:
    """Print how many rules rest on what, as a table and as bars, and the rules of each source."""
    table = Table(box=None, pad_edge=False, title_justify="left")
    for name in ("decision", "rules", *(one.replace("_", " ") for one in CERTAINTIES), "no source"):
        table.add_column(name, justify="left" if name == "decision" else "right")
    for one in counted:
        figures = [one.rules, *(one.by_certainty[name] for name in CERTAINTIES), one.unsourced]
        table.add_row(one.decision, *map(str, figures))
    console.print(table)
    whole = sum(one.rules for one in counted)
    console.print()
    for name in CERTAINTIES:
        _bar(console, name.replace("_", " "), sum(one.by_certainty[name] for one in counted), whole)
    _bar(console, "no source", sum(one.unsourced for one in counted), whole)
    heading(console, "What rests on each source")
    for use in uses:
        item(
            console,
            "-",
            f"{use.source} ({use.level}, read: {use.read}): {len(use.rules)} rules, {len(use.alone)} on it alone",
        )
        if use.rules:
            paragraph(console, ", ".join(use.rules), depth=1)


def show_fall(console: Console, fall: Fall) -> None:
    """Print which rules fall with a source, which are weakened, and what the ladders would answer without the first."""
    heading(console, f"Without {fall.source}")
    paragraph(console, f"{len(fall.fallen)} rules rest on it alone, {len(fall.weakened)} on others too.")
    for rule in fall.fallen:
        item(console, "-", f"falls: {rule.title} ({rule.id})", style="")
    for name, left in fall.weakened.items():
        item(console, "-", f"left with {', '.join(left)}: {name}", style="")
    if fall.fallen and fall.without is None:
        paragraph(console, "A decision cannot do without the rules that fall.")
    elif fall.without is not None:
        paragraph(console, "If the rules that fall were withdrawn:")
        show_boxes(console, fall.without)


def _show_changes(console: Console, rules: RuleChanges) -> None:
    if rules.none:
        paragraph(console, "Both say the same.")
    for words, names in (("added", rules.added), ("withdrawn", rules.withdrawn), ("changed", rules.beside_rules)):
        for name in names:
            item(console, "-", f"{words}: {name}", style="")
    for one in rules.changed:
        item(console, "-", f"changed in {', '.join(one.changed)}: {one.title} ({one.rule})", style="")


def _show_rule(console: Console, rule: str, boxes: list[ChangedBox]) -> None:
    shown = [box for box in boxes if box.shown]
    said = sorted({f"{box.was or 'nothing'} -> {box.now or 'nothing'}" for box in shown})
    item(
        console,
        "-",
        f"{boxes[0].direction}, by {rule}: {len(boxes)} boxes, {len(shown)} shown by a case. {'; '.join(said)}",
    )
    where = "; ".join(f"{name} {values}" for name, values in boxes[0].where.items())
    paragraph(console, f"for example where {where}" if where else "in every case", depth=1)


def _bar(console: Console, name: str, count: int, whole: int) -> None:
    console.print(f"{name:<10}{count:>5}  {'#' * round(BAR * count / max(whole, 1))}")
