"""Print what `thawline check` found: every fault, or the rules in figures and the mutants that survived."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from decision.errors import RuleBookError
from decision.rule_folder import RuleFolder
from decision.verification.examples import Tally
from decision.verification.proof import CHECKS, Proof
from decision.verification.proof_table import found_in, headings, noted_in, rows_of

__all__ = ["show_faults", "show_proof", "show_survivors", "show_tallies"]


def show_faults(console: Console, refused: RuleBookError) -> None:
    """Print every fault on a line of its own, as `file:line path: message`, and that nothing was loaded."""
    console.print(Text(str(refused)), soft_wrap=True)


def show_tallies(console: Console, tallies: Sequence[Tally], folder: RuleFolder, *, mutants: bool) -> None:
    """Print the decisions in figures."""
    console.print(Text(f"Rule book {folder.version}, {folder.digest[:20]}", style="bold"))
    table = Table()
    table.add_column("decision")
    for heading in ("rules", "examples", *(("mutants", "surviving") if mutants else ())):
        table.add_column(heading, justify="right")
    figures = [(one.rules, one.examples, one.mutants, len(one.survivors)) for one in tallies]
    totals = tuple(sum(column) for column in zip(*figures, strict=True))
    for name, row in zip([*(one.decision for one in tallies), "together"], [*figures, totals], strict=True):
        table.add_row(name, *(str(one) for one in (row if mutants else row[:2])))
    console.print(table)


def show_survivors(console: Console, tallies: Sequence[Tally]) -> bool:
    """Print every mutant that no example noticed, by rule.

    Returns:
        Whether there is one.
    """
    survivors = [survivor for one in tallies for survivor in one.survivors]
    for survivor in survivors:
        console.print(Text(f"rules/{survivor.rule}.yaml {survivor.change}"), soft_wrap=True)
    if survivors:
        said = "No example of the rule notices the change above. Add one that does: on the limit, beside it, or with"
        console.print(Text(f"{said} only this condition not met."), soft_wrap=True)
    return bool(survivors)


def show_proof(console: Console, proof: Proof) -> bool:
    """Print what was proved, over how many cells and boxes, and everything that speaks against it.

    Returns:
        Whether anything does.
    """
    found = found_in(proof)
    table = Table("decision", title="What is proved", title_justify="left")
    for head in ("boxes", "cells", "replayed"):
        table.add_column(head, justify="right")
    table.add_column("checks")
    for row in rows_of(proof):
        said = dict(zip(headings(), row, strict=True))
        checks = [f"{check}: {said[check]}" for check in CHECKS if said[check] not in ("", "-")]
        table.add_row(said["decision"], said["boxes"], said["cells"], said["replayed"], "; ".join(checks))
    console.print(table)
    for line in [*noted_in(proof), *found]:
        console.print(Text(line), soft_wrap=True)
    return bool(found)
