"""How long the freeze table takes: to load, to ask, and one draw of a node to build."""

from __future__ import annotations

from collections.abc import Iterator

from decision.freeze.contact import freeze_and_thaw, patch
from decision.freeze.lookup import FreezeTable, load_freeze_table
from decision.freeze.priors import nominal
from decision.freeze.table_file import TABLE, read_table
from tests.benchmarks.report import Goal, Part
from tests.benchmarks.timing import median_ms

__all__ = ["measured"]

GOAL_MS = 0.1


def measured(*, short: bool) -> Part:
    """Load the table, ask it, and solve what it is made of."""
    table, rounds = load_freeze_table(), 3 if short else 3000
    ways = {
        "estimate": lambda: table.estimate("cone", 6.3, 22, "trunk"),
        "estimate, second cycle": lambda: table.estimate("cone", 6.3, 22, "trunk", cycle=2),
        "given an observed thaw": lambda: table.given_thaw("cone", 6.3, 22, "trunk", observed_thaw_s=50),
        "far side of a pinna": lambda: table.far_side("cone", 6.3, "air", 1.7),
    }
    rows = [("load", f"{median_ms(read_table, 1 if short else 7):.1f}")]
    asked_ms = {name: median_ms(way, rounds) for name, way in ways.items()}
    rows += [(name, f"{ms:.3f}") for name, ms in asked_ms.items()]
    if not short:
        rows += _draws(table)
    return Part(
        "Freeze table",
        f"{TABLE.stat().st_size / 1e6:.2f} MB, version {table.version}. A draw is one solution for one applicator and "
        f"diameter, all contact times and thaws; the table has {table.file.draw_count} a node.",
        ("", "median, ms"),
        rows,
        [_goal(name, asked_ms[name]) for name in ("estimate", "far side of a pinna")],
    )


def _goal(name: str, ms: float) -> Goal:
    return Goal(f"freeze table: {name}", f"under {GOAL_MS} ms", f"{ms:.3f} ms", ms < GOAL_MS)


def _draws(table: FreezeTable) -> Iterator[tuple[str, str]]:
    times = table.file.contact_s
    for applicator, axis in table.file.diameter_mm.items():
        for diameter in (axis[0], axis[len(axis) // 2], axis[-1]):
            one = nominal(applicator, "trunk")
            freeze_and_thaw(patch(applicator, diameter, "trunk", one), times[:1])
            draw = median_ms(lambda a=applicator, d=diameter, n=one: freeze_and_thaw(patch(a, d, "trunk", n), times), 3)
            yield f"one draw, {applicator}, {diameter:g} mm", f"{draw:.0f}"
