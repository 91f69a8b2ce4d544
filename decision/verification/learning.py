"""Learning more never leaves the range that a ladder gave: proved from how rules are made, and tried on cases.

The proof: a test asks one input and is unknown until it is stated; a rule is an `and` of tests and of an exception not
met; a computed quantity is unknown until every completion gives it the same value; a ladder takes the highest. Each
of these keeps what it knows when more becomes known (Kleene). The engine is held to it over cases of which more and
more is stated.
"""

from __future__ import annotations

from decision.rule_book import RuleBook
from decision.verification.answer_boxes import AnswerBoxes, Hit, Ladder
from decision.verification.box_cover import gaps
from decision.verification.case_search import FullCase
from decision.verification.examination import CASES_SHOWN, Check, Counterexample
from decision.verification.witness import Witness

__all__ = ["LEARNING", "learned"]

LEARNING = "learning more"
CASES = 120
STEPS = (0.3, 0.6, 0.85, 1.0)  # shares of a case that are stated, one after another
SHELF = ("equipment", "operator")  # never unsettle a verdict, so they are stated from the start or not at all


def learned(book: RuleBook, answers: AnswerBoxes, ladder: Ladder, witness: Witness) -> Check:
    """Hold the engine to the range of a ladder over cases of which more and more is stated."""
    told = _Told(book, witness, ladder)
    before, cases, found = witness.asked, 0, []
    hits = [hit for hit in ladder.hits if hit.boxes]
    for number in range(CASES if hits else 0):
        case = _decided_by(witness.chance.choice(hits), answers, ladder, witness)
        if case is not None:
            cases += 1
            found += told.over(case, presumptions_learned=number % 2 == 0)
    return Check(
        LEARNING, cases, exact=False, replayed=witness.asked - before, counterexamples=tuple(found[:CASES_SHOWN])
    )


def _decided_by(hit: Hit, answers: AnswerBoxes, ladder: Ladder, witness: Witness) -> FullCase | None:
    """A case in which nothing is more cautious than a rule, where there is one."""
    box = witness.chance.choice(hit.boxes)
    higher = [one for one, _ in ladder.from_rank(hit.rank + 1)]
    return witness.case_in(next(gaps(answers.boxes.cells.rows, box, higher), box), ladder.node.moments[0])


class _Told:
    """Tells the engine more and more of a case."""

    def __init__(self, book: RuleBook, witness: Witness, ladder: Ladder) -> None:
        self._inputs = book.vocabulary.inputs
        self._witness = witness
        self._ladder = ladder

    def over(self, case: FullCase, *, presumptions_learned: bool) -> list[Counterexample]:
        """State more and more of a case; each range must lie in those before it."""
        chance = self._witness.chance
        settled = {name for name in case if self._inputs[name].about in SHELF}
        if not presumptions_learned:
            moment = self._ladder.node.moments[0]
            settled |= {name for name in case if self._inputs[name].presumed_at(moment) is not None}
            # What forbids a presumption goes with it: learning such a fact takes the presumption back.
            settled |= {name for one in self._inputs.values() for name in one.presumed_unless if name in case}
        learnt = [name for name in case if name not in settled]
        chance.shuffle(learnt)
        start = {name: case[name] for name in settled if chance.random() < 0.5}
        ranges: list[dict[str, tuple[int, int]]] = []
        for share in STEPS:
            stated = {**start, **{name: case[name] for name in learnt[: round(share * len(learnt))]}}
            ranges.append(self._ranges(stated, with_presumptions=not presumptions_learned))
            for kind, (low, high) in ranges[-1].items():
                if any(low < least or high > most for least, most in (one[kind] for one in ranges)):
                    return [self._counterexample(stated, kind)]
        return []

    def _ranges(self, stated: FullCase, *, with_presumptions: bool) -> dict[str, tuple[int, int]]:
        moment = self._ladder.node.moments[0]
        answer = self._witness.answer(stated, moment)
        found = {}
        if moment == "before":
            answer = answer["suitability"]
            found["without presumptions"] = answer["without_presumptions"]
        else:
            answer = answer["review"]
        if with_presumptions:
            found["given the presumptions"] = answer
        rank = self._ladder.node.rank
        return {kind: (rank(one["at_least"]), rank(one["could_become"])) for kind, one in found.items()}

    def _counterexample(self, stated: FullCase, kind: str) -> Counterexample:
        shows = f"the range {kind} grew when more was stated."
        return Counterexample(self._ladder.node.name, LEARNING, shows, stated, ())
