"""Print the method and the plan: each quantity as a window, in the order in which it is needed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from api.text.estimate_text import band_in_words
from api.text.input_words import figure, with_unit
from api.text.layout import STEP, heading, item, paragraph
from api.text.reason_text import evidence_in_words, show_briefly
from decision.recommendation import Method, Plan
from decision.rule_book import RuleBook

__all__ = ["quantities_in_words", "show_method", "show_plan"]

MOMENTS = {
    "cycles": "freeze and thaw, how often",
    "fill_depth_mm": "fill, depth of the liquid",
    "spray_s": "spray, how long",
    "contact_s": "hold on the skin",
    "wait_between_cycles_s": "wait after the thaw",
    "halo_mm": "ice to be seen past the lesion",
}
NOT_SETTLED = "not settled"
OF_A_CONE = frozenset({"fill_depth_mm", "spray_s"})


def show_method(console: Console, method: Method) -> None:
    """Print with which applicator, of which size, and why."""
    heading(console, "Method")
    paragraph(console, method["summary"], style="bold")
    for reason in method["reasons"]:
        item(console, "-", reason["title"], style="")
        show_briefly(console, [reason])


def show_plan(console: Console, plan: Plan, book: RuleBook, applicator: str) -> None:
    """Print every quantity of the plan, then why, and what that rests on."""
    heading(console, "Plan")
    table = Table(box=None, padding=(0, STEP, 0, 0), show_header=False)
    for words, window in quantities_in_words(plan, book, applicator):
        table.add_row(Text(words), Text(window, style="bold"))
    console.print(table)
    if plan["reach_note"] is not None:
        paragraph(console, plan["reach_note"], style="bold")
    if plan["thaw_note"] is not None:
        thaw = band_in_words(plan["thaw_s"], "s")
        paragraph(console, f"Thaw, computed, not measured: {thaw}. {plan['thaw_note']}")
    for reason in plan["reasons"]:
        item(console, "-", reason["title"])
        paragraph(console, reason["explanation"], depth=1)
        paragraph(console, f"{evidence_in_words(reason['evidence'])} Rule: {reason['rule']}.", depth=1)


def quantities_in_words(plan: Plan, book: RuleBook, applicator: str) -> Iterable[tuple[str, str]]:
    """Each quantity of a plan with its window, in the order in which it is needed.

    What the plan has no use for is left out: fill and spray of foam, a wait after the only cycle, a halo out of reach.
    """
    node = next(one for one in book.folder.decisions if one.name == "plan")
    unused = set(OF_A_CONE) if applicator == "foam_tip" else set()
    unused |= {"wait_between_cycles_s"} if plan["cycles"] == 1 else set()
    unused |= {"halo_mm"} if plan["reach_note"] is not None else set()
    quantities = {
        name: value
        for name, value in plan.items()
        if name in node.quantities and (value is not None or name not in unused)
    }
    for name in sorted(quantities, key=_moment):
        yield MOMENTS.get(name, name.replace("_", " ")), _window(quantities[name], node.quantities[name]["unit"])


def _moment(name: str) -> int:
    """When a quantity is needed; one without a moment comes last."""
    return [*MOMENTS, name].index(name)


def _window(value: Any, unit: str) -> str:
    """A quantity in words.

    >>> _window({"low": 20.0, "high": 25.0}, "s"), _window(2, "cycles"), _window(None, "mm")
    ('20 to 25 s', '2 cycles', 'not settled')
    """
    if value is None:
        return NOT_SETTLED
    if not isinstance(value, dict):
        return with_unit(value, unit)
    low, high = figure(value["low"]), figure(value["high"])
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
