"""What would change the verdict: for each fact the nearest other value that does, and the smallest pairs.

Candidates come from the rules: a value in each cell that their tests can tell apart. Each change that is told was
confirmed by the engine that answers cases, both means of matching agreeing, and none would make the case contradict
itself. Nothing here says what to do: a fact is what it is, and a sample is not taken to please a rule.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TypeAlias

from decision.case import PARTS, Case, Lesion
from decision.reviewer.change_messages import Change, ChangedFact, Direction, LesionChanges, WhatWouldChange
from decision.reviewer.moves import moves_of
from decision.reviewer.pairs import Move, pairs_worth_asking
from decision.reviewer.trial import Trial, Tried
from decision.rule_book import RuleBook
from decision.verification.rule_boxes import RuleBoxes
from decision.vocabulary import Input, Value

__all__ = ["ChangeSearch"]

_Moves: TypeAlias = Callable[[Mapping[str, Value]], Iterator[tuple[Input, list[Value]]]]

MOST_PAIRS = 150  # asked; what is left out is said
TOLD_PAIRS = 24


class ChangeSearch:
    """Searches what would change verdicts, by one rule book. It can be kept and asked often."""

    def __init__(self, book: RuleBook) -> None:
        """Compile the decisions behind the verdict, and cut the inputs into cells."""
        folder = book.folder
        self._folder = folder
        self._trial = Trial(book)
        boxes = RuleBoxes(folder)
        self._cells, free = boxes.cells, set(boxes.free())
        inputs = folder.vocabulary.inputs
        asked = {test.input for _, rule in self._trial.entries() for test in rule.tests}
        read = {root for name in asked for root in (inputs[name].parents or [name])}
        before = [one for name, one in inputs.items() if name in read and one.about in PARTS["before"]]
        self._searched = [one for one in before if one.type != "numbers"]
        computed = {parent for name in asked & free for parent in inputs[name].parents}
        self._not_searched = [one.name for one in before if one.type == "numbers" or one.name in computed]

    def search(self, case: Case) -> WhatWouldChange:
        """Search each lesion of a case read for the moment before the freeze.

        Raises:
            MatcherFault: The two means of matching differ; nothing is told.
        """
        lesions = [_Search(self._trial, case, lesion).told(self._moves, self._not_searched) for lesion in case.lesions]
        return {
            "rule_book": {"version": self._folder.version, "digest": self._folder.digest},
            "case_digest": case.digest,
            "evaluations": sum(one["evaluations"] for one in lesions),
            "lesions": lesions,
        }

    def close(self) -> None:
        """Give the matcher's memory back."""
        self._trial.decisions.close()

    def _moves(self, known: Mapping[str, Value]) -> Iterator[tuple[Input, list[Value]]]:
        for one in self._searched:
            yield one, moves_of(one, known.get(one.name), self._cells)


class _Search:
    """The search for one lesion."""

    def __init__(self, trial: Trial, case: Case, lesion: Lesion) -> None:
        self._trial, self._case, self._lesion = trial, case, lesion
        self._asked = 0
        self._found = self._ask({})

    def told(self, moves: _Moves, not_searched: list[str]) -> LesionChanges:
        tried = [
            Move(one, value, self._ask({one.name: value}))
            for one, values in moves(self._found.run.known)
            for value in values
            if self._possible({one.name: value})
        ]
        singly = self._singly(tried)
        alone = {fact["input"] for change in singly for fact in change["facts"]}
        wanted = pairs_worth_asking(self._trial, self._found, [one for one in tried if one.input.name not in alone])
        pairs = [change for pair in wanted[:MOST_PAIRS] for change in self._together(pair)]
        return {
            "lesion_id": self._lesion.lesion_id,
            "verdict": self._found.range.answer,
            "at_least": self._found.range.at_least,
            "rules": [rule.id for rule in self._trial.deciding(self._found.run)],
            "singly": singly,
            "pairs": pairs[:TOLD_PAIRS],
            "pairs_left_out": max(len(pairs) - TOLD_PAIRS, 0) + max(len(wanted) - MOST_PAIRS, 0),
            "not_searched": not_searched,
            "evaluations": self._asked,
        }

    def _ask(self, changed: Mapping[str, Value]) -> Tried:
        self._asked += 1
        return self._trial.ask(self._case, self._lesion, changed)

    def _possible(self, changed: Mapping[str, Value]) -> bool:
        return self._trial.possible(self._case, self._lesion, changed)

    def _singly(self, tried: Iterable[Move]) -> list[Change]:
        """For each input the nearest value in each direction; codes that bring the same verdict are told with it."""
        found: dict[tuple[str, Direction], Change] = {}
        for move in tried:
            direction = self._direction(move.tried)
            if direction is None:
                continue
            first = found.get((move.input.name, direction))
            if first is None:
                found[move.input.name, direction] = self._change([move], move.tried, direction)
            elif first["verdict"] == move.tried.range.answer and isinstance(move.value, str):
                first["facts"][0]["also"].append(move.value)
        return list(found.values())

    def _together(self, pair: tuple[Move, Move]) -> Iterator[Change]:
        changed = {move.input.name: move.value for move in pair}
        if not self._possible(changed):
            return
        tried = self._ask(changed)
        direction = self._direction(tried)
        if direction is not None:
            yield self._change(list(pair), tried, direction)

    def _change(self, moves: list[Move], tried: Tried, direction: Direction) -> Change:
        return {
            "facts": [self._fact(move) for move in moves],
            "verdict": tried.range.answer,
            "at_least": tried.range.at_least,
            "direction": direction,
            "rules": [rule.id for rule in self._trial.deciding(tried.run)],
        }

    def _fact(self, move: Move) -> ChangedFact:
        one = move.input
        return {
            "input": one.name,
            "question": one.question,
            "unit": one.unit,
            "given": self._found.run.known.get(one.name),
            "presumed": one.name in self._found.run.presumed,
            "value": move.value,
            "also": [],
            "changes": one.changes,
        }

    def _direction(self, tried: Tried) -> Direction | None:
        """How the verdict moves; None when it stays."""
        before, after = self._found.range.answer, tried.range.answer
        if before == after:
            return None
        if before is None or after is None:
            return "a verdict" if before is None else "no verdict"
        rank = self._trial.node.rank
        return "more cautious" if rank(after) > rank(before) else "less cautious"
