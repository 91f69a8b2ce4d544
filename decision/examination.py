"""Examine claims: cut each region by its boxes, show the first gap as a case, and let the production engine judge.

Every gap shown is a case that the engine judged as the claim's failing. Of the sub-boxes that a rule covers a seeded
choice is put to the engine too: the claim must stand there, and the rule must hold. Where boxes and engine differ the
proof is worth nothing, and that is said.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from decision.box_cover import pieces
from decision.cells import Cells
from decision.claims import Claim
from decision.vocabulary import Value
from decision.witness import FullCase, Witness

__all__ = ["Check", "Counterexample", "examine"]

GAPS_TRIED = 12  # sub-boxes of one gap in which a case is looked for
CASES_SHOWN = 5  # counterexamples of one check; the next ones would mostly repeat them
CASES_REPLAYED = 40  # covered sub-boxes of one check that are put to the engine


@dataclass(frozen=True, slots=True)
class Counterexample:
    """A case in which a claim fails, as the production engine judged it, and the inputs that make it fail."""

    decision: str
    check: str
    shows: str
    case: Mapping[str, object]
    because: Mapping[str, tuple[Value | None, ...]]

    def __str__(self) -> str:
        """Say it on one line, with the inputs that matter."""
        listed = "; ".join(f"{name}: {_listed(values)}" for name, values in self.because.items())
        return f"{self.decision}, {self.check}: {self.shows} For example when {listed or 'anything is stated'}."


@dataclass(frozen=True, slots=True)
class Check:
    """What came of one kind of question about one decision.

    `pieces` counts the sub-boxes that settled it, `replayed` the cases put to the engine. `unshown` counts gaps in
    which no real case was found, so that neither proof nor counterexample stands; `differing` says where the engine
    contradicted the boxes.
    """

    name: str
    claims: int
    pieces: int = 0
    replayed: int = 0
    counterexamples: tuple[Counterexample, ...] = ()
    unshown: int = 0
    differing: tuple[str, ...] = ()

    @property
    def proved(self) -> bool:
        """Whether nothing speaks against it and nothing was left open."""
        return not (self.counterexamples or self.unshown or self.differing)


def examine(name: str, claims: Iterable[Claim], witness: Witness, cells: Cells) -> Check:
    """Examine the claims of one kind about one decision.

    Args:
        name: What the claims say, as the table heads it.
        claims: The claims.
        witness: Finds cases and asks the engine.
        cells: The cells of the boxes.
    """
    asked = witness.asked
    examining = _Examining(name, witness, cells)
    for claim in claims:
        examining.examine(claim)
    examining.replay()
    return Check(
        name=name,
        claims=examining.claims,
        pieces=examining.pieces,
        replayed=witness.asked - asked,
        counterexamples=tuple(examining.counterexamples),
        unshown=examining.unshown,
        differing=tuple(examining.differing),
    )


class _Examining:
    """One check under way."""

    def __init__(self, name: str, witness: Witness, cells: Cells) -> None:
        self.name = name
        self.witness = witness
        self.cells = cells
        self.claims = self.pieces = self.unshown = 0
        self.counterexamples: list[Counterexample] = []
        self.differing: list[str] = []
        self._kept = _Sample(CASES_REPLAYED, witness.chance)

    def examine(self, claim: Claim) -> None:
        self.claims += 1
        gaps = []
        for piece, inside in pieces(self.cells.rows, claim.region, [box for box, _ in claim.covers]):
            self.pieces += 1
            if inside:
                self._kept.offer(claim, piece)
            else:
                gaps.append(piece)
                if len(gaps) == GAPS_TRIED:
                    break
        if gaps and len(self.counterexamples) < CASES_SHOWN:
            self._show(claim, gaps)

    def replay(self) -> None:
        """Put the sub-boxes kept to the engine."""
        for claim, piece in self._kept:
            case = self.witness.case_in(piece)
            if case is None:
                continue
            fails, heard = claim.fails(case, self.witness.hear)
            covering = next(rule for box, rule in claim.covers if piece & box == piece)
            if fails or (covering.decision in heard.asked and covering.id not in heard.holding):
                self.differing.append(f"{claim.node.name}: {covering.id} should hold and settle it in {case}.")

    def _show(self, claim: Claim, gaps: list[int]) -> None:
        for piece in gaps:
            case = self.witness.case_in(piece)
            if case is not None and claim.fails(case, self.witness.hear)[0]:
                self.counterexamples.append(self._counterexample(claim, piece, case))
                return
        self.unshown += 1

    def _counterexample(self, claim: Claim, piece: int, case: FullCase) -> Counterexample:
        because = {
            name: tuple(self.cells.values[name][place] for place in self.cells.places(piece, name))
            for name in self.cells.narrow(piece)
            if name in case
        }
        return Counterexample(claim.node.name, self.name, claim.shows(), case, because)


class _Sample:
    """A fair choice among all that is offered, of a bounded number."""

    def __init__(self, most: int, chance: random.Random) -> None:
        self._most = most
        self._chance = chance
        self._kept: list[tuple[Claim, int]] = []
        self._offered = 0

    def offer(self, claim: Claim, piece: int) -> None:
        self._offered += 1
        if len(self._kept) < self._most:
            self._kept.append((claim, piece))
        elif (place := self._chance.randrange(self._offered)) < self._most:
            self._kept[place] = (claim, piece)

    def __iter__(self) -> Iterator[tuple[Claim, int]]:
        return iter(self._kept)


def _listed(values: tuple[Value | None, ...]) -> str:
    said = [str(value).lower() if isinstance(value, bool) else f"{value}" for value in values]
    return " or ".join(said) if len(said) <= 4 else f"{said[0]} or one of {len(said) - 1} more"
