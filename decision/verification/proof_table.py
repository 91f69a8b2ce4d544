"""Say a proof as a table and as lines, for a command to print."""

from __future__ import annotations

from collections.abc import Iterator

from decision.verification.examination import Check
from decision.verification.proof import CHECKS, DecisionProof, Proof

__all__ = ["found_in", "headings", "noted_in", "rows_of"]

MOST_IN_FULL = 10**9


def headings() -> list[str]:
    """The heads of the columns: how much was looked at, one column a check, and what it took."""
    return ["decision", "rules", "boxes", "cells", *CHECKS, "replayed", "seconds"]


def rows_of(proof: Proof) -> list[list[str]]:
    """One row a decision, in the order in which they are decided, and one for all together."""
    rows = [_row(one) for one in proof.decisions]
    together = ["together", *(str(sum(getattr(one, name) for one in proof.decisions)) for name in ("rules", "boxes"))]
    replayed = sum(one.replayed for one in proof.decisions)
    seconds = sum(one.seconds for one in proof.decisions)
    return [*rows, [*together, "", *[""] * len(CHECKS), str(replayed), f"{seconds:.1f}"]]


def found_in(proof: Proof) -> list[str]:
    """A line for everything that speaks against a check; none when all was proved."""
    checks = [(one.decision, check) for one in proof.decisions for check in one.checks]
    said = [str(counterexample) for counterexample in proof.counterexamples]
    said += [f"The engine contradicts the boxes: {one}" for one in proof.differing]
    said += [
        f"{decision}, {check.name}, left open, for no real case was found and none is ruled out: {shows}"
        for decision, check in checks
        for shows in check.unshown
    ]
    return said


def noted_in(proof: Proof) -> Iterator[str]:
    """What a reader of the table should know: what it does not show, and rules that have no say."""
    yield (
        "Proved over every fully stated case, by box cover; a seeded choice was replayed through the engine. "
        "Learning more is proved from how rules are made and held on cases. No limit is proved to be right."
    )
    for quantity, given in proof.quantities.items():
        yield f"{quantity} is wanted with: {', '.join(given) or 'nothing; no rule gives it'}."
    for one in proof.decisions:
        if one.free:
            yield f"In {one.decision} taken as free of what they are computed from: {', '.join(one.free)}."
    for name in proof.never_decide:
        yield f"{name} never decides: something more cautious always holds beside it."
    for name in proof.never_asked:
        yield f"{name} is never asked: its decision is not, where the rule would hold."


def _row(one: DecisionProof) -> list[str]:
    by_name = {check.name: check for check in one.checks}
    checks = [_said(by_name[name]) if name in by_name else "-" for name in CHECKS]
    looked_at = [str(one.rules), str(one.boxes), _in_figures(one.cells)]
    return [one.decision, *looked_at, *checks, str(one.replayed), f"{one.seconds:.1f}"]


def _said(check: Check) -> str:
    if check.counterexamples:
        return f"{len(check.counterexamples)} found"
    if check.differing:
        return "engine differs"
    if check.unshown:
        return f"{len(check.unshown)} open"
    return "proved" if check.exact else f"held, {check.claims} cases"


def _in_figures(count: int) -> str:
    """A whole number, in full where it can be read.

    >>> _in_figures(1200), _in_figures(13592099794452480000000000)
    ('1,200', '1.4e25')
    """
    if count <= MOST_IN_FULL:
        return f"{count:,}"
    mantissa, exponent = f"{count:.1e}".split("e")
    return f"{mantissa}e{int(exponent)}"
