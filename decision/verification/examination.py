"""Examine claims: cut each region by its boxes, show the first gap as a case, and let the production engine judge.

Every gap shown is a case that the engine judged as the claim's failing. Of the sub-boxes that a rule covers a seeded
choice is put to the engine too: the claim must stand there, and the rule must hold. Where boxes and engine differ the
proof is worth nothing, and that is said.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from decision.verification.box_cover import pieces
from decision.verification.cell_words import in_cells
from decision.verification.claims import Claim
from decision.verification.rule_boxes import RuleBoxes
from decision.verification.witness import Witness

__all__ = ["CASES_SHOWN", "Check", "Counterexample", "examine"]

GAPS_TRIED = 60  # sub-boxes in which a case is looked for that shows one thing
CASES_SHOWN = 5  # counterexamples of one check, each of which shows something else
CASES_REPLAYED = 60  # covered sub-boxes of one check that are put to the engine


@dataclass(frozen=True, slots=True)
class Counterexample:
    """A case in which a claim fails, as the production engine judged it, and in words what makes it fail.

    Where the fault shows between two cases, `before` is the first of them.
    """

    decision: str
    check: str
    shows: str
    case: Mapping[str, object]
    because: tuple[str, ...]
    before: Mapping[str, object] | None = None

    def __str__(self) -> str:
        """Say it on one line, with what matters."""
        said = f"{self.decision}, {self.check}: {self.shows}"
        if self.because:
            said += f" It shows where {'; '.join(self.because)}."
        if self.before is not None:
            moved = [name for name, value in self.case.items() if self.before[name] != value]
            said += "".join(f" {name} was {self.before[name]} and is {self.case[name]}." for name in moved)
        return said


@dataclass(frozen=True, slots=True)
class Check:
    """What came of one kind of question about one decision.

    `exact` says whether it covers every case or was tried on `claims` of them. `pieces` counts the sub-boxes that
    settled it, `replayed` the cases put to the engine. `unshown` says what gaps would show of which no real case was
    found, so that neither proof nor counterexample stands; `differing` says where the engine contradicted the boxes.
    """

    name: str
    claims: int
    exact: bool = True
    pieces: int = 0
    replayed: int = 0
    counterexamples: tuple[Counterexample, ...] = ()
    unshown: tuple[str, ...] = ()
    differing: tuple[str, ...] = ()

    @property
    def proved(self) -> bool:
        """Whether nothing speaks against it and nothing was left open."""
        return not (self.counterexamples or self.unshown or self.differing)


def examine(name: str, claims: Iterable[Claim], witness: Witness, boxes: RuleBoxes) -> Check:
    """Examine the claims of one kind about one decision.

    Args:
        name: What the claims say, as the table heads it.
        claims: The claims.
        witness: Finds cases and asks the engine.
        boxes: The boxes that the claims are about.
    """
    asked = witness.asked
    examining = _Examining(name, witness, boxes)
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

    def __init__(self, name: str, witness: Witness, boxes: RuleBoxes) -> None:
        self.name = name
        self.witness = witness
        self.inputs = boxes.inputs
        self.cells = boxes.cells
        self.claims = self.pieces = 0
        self.counterexamples: list[Counterexample] = []
        self._tried: Counter[str] = Counter()  # gaps looked into, by what they would show
        self._shown: set[str] = set()
        self.differing: list[str] = []
        self._kept = _Sample(CASES_REPLAYED, witness.chance)

    @property
    def unshown(self) -> tuple[str, ...]:
        """What gaps would show of which no real case was found."""
        return tuple(shows for shows in self._tried if shows not in self._shown)

    def examine(self, claim: Claim) -> None:
        self.claims += 1
        for piece, inside in pieces(self.cells.rows, claim.region, [box for box, _ in claim.covers]):
            self.pieces += 1
            if inside:
                self._kept.offer(claim, piece)
            elif not self._look_into(claim, piece):
                return

    def replay(self) -> None:
        """Put the sub-boxes kept to the engine."""
        for claim, piece in self._kept:
            case = self.witness.case_in(piece, claim.node.moments[0])
            if case is None:
                continue
            ruling = claim.ruled(case, self.witness)
            covering = next(rule for box, rule in claim.covers if piece & box == piece)
            absent = covering.decision in ruling.heard.asked and covering.id not in ruling.heard.holding
            if ruling.fails or absent:
                self.differing.append(f"{claim.node.name}: {covering.id} should hold and settle it in {case}.")

    def _look_into(self, claim: Claim, gap: int) -> bool:
        """Look for a real case in a gap; whether to go on with this claim."""
        shows = claim.shows()
        if shows in self._shown or len(self._shown) == CASES_SHOWN or self._tried[shows] == GAPS_TRIED:
            return False
        self._tried[shows] += 1
        case = self.witness.case_in(gap, claim.node.moments[0])
        ruling = None if case is None else claim.ruled(case, self.witness)
        if case is None or ruling is None or not ruling.fails:
            return True
        self._shown.add(shows)
        told = [self.inputs[name] for name in self.cells.narrow(gap) if name in case]
        because = tuple(in_cells(gap, one, self.cells) for one in told)
        found = Counterexample(claim.node.name, self.name, shows, case, because, ruling.before)
        self.counterexamples.append(found)
        return False


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
