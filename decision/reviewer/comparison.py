"""What a change of the rules does: where a ladder answers otherwise, in boxes of cases, exact and never sampled.

A box is told as what it asks of each input. For each box a real case is drawn and put to both engines; where none is
found (what is computed with numbers is free in a box), the box is told as not shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

from decision.reviewer.joined_boxes import JoinedBoxes, comparable
from decision.reviewer.rule_changes import RuleChanges, rule_changes
from decision.rule_book import RuleBook
from decision.verification.answer_boxes import Cover
from decision.verification.cells import Cells
from decision.verification.witness import FullCase, Witness

__all__ = ["ChangedBox", "Comparison", "LadderComparison", "compare"]

SEED = 20261124


@dataclass(frozen=True, slots=True)
class ChangedBox:
    """A box of cases in which a ladder answers otherwise; `was` and `now` are those of the case drawn from it."""

    direction: Literal["less cautious", "more cautious"]
    rule: str
    where: dict[str, str]
    case: FullCase | None
    was: str | None
    now: str | None

    @property
    def shown(self) -> bool:
        """Whether a real case shows it."""
        return self.case is not None


@dataclass(frozen=True, slots=True)
class LadderComparison:
    """One ladder of two rule books."""

    ladder: str
    less_cautious: tuple[ChangedBox, ...]
    more_cautious: tuple[ChangedBox, ...]

    @property
    def boxes(self) -> tuple[ChangedBox, ...]:
        """Every box, the less cautious ones first."""
        return (*self.less_cautious, *self.more_cautious)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two rule books held against each other."""

    rules: RuleChanges
    ladders: tuple[LadderComparison, ...]
    not_compared: tuple[str, ...]

    @property
    def statements(self) -> list[str]:
        """The decisions without answers, plans and statements, of which some rule asks or says something else."""
        ladders = {*self.not_compared, *(one.ladder for one in self.ladders)}
        return [name for name in self.rules.decisions if name not in ladders]

    @property
    def less_cautious(self) -> bool:
        """Whether some fully stated case is answered less cautiously, shown by a real case."""
        return any(box.shown for ladder in self.ladders for box in ladder.less_cautious)


def compare(before: RuleBook, after: RuleBook) -> Comparison:
    """Hold two rule books against each other.

    Args:
        before: The rule book as it was.
        after: The rule book as it is to be.

    Returns:
        Every rule that differs, and every box of fully stated cases in which a ladder answers otherwise.
    """
    names, not_compared = comparable(before.folder, after.folder)
    ladders = [_Compared(before, after, name).told() for name in names]
    return Comparison(rule_changes(before.folder, after.folder), tuple(ladders), tuple(not_compared))


class _Compared:
    """One ladder of two rule books."""

    def __init__(self, before: RuleBook, after: RuleBook, name: str) -> None:
        self._books = (before, after)
        self._joined = JoinedBoxes.of(before.folder, after.folder, name)
        self._name = name
        self._moment = self._joined.node.moments[0]
        answers = (self._joined.before, self._joined.after)
        self._witnesses = tuple(Witness(book, one.boxes, SEED) for book, one in zip(self._books, answers, strict=True))

    def told(self) -> LadderComparison:
        return LadderComparison(
            ladder=self._name,
            less_cautious=tuple(self._changed("less cautious", self._joined.less_cautious())),
            more_cautious=tuple(self._changed("more cautious", self._joined.more_cautious())),
        )

    def _changed(
        self, direction: Literal["less cautious", "more cautious"], pieces: Iterable[Cover]
    ) -> Iterator[ChangedBox]:
        for piece, rule in pieces:
            case, was, now = self._drawn(piece)
            where = _in_words(piece, self._joined.cells)
            yield ChangedBox(direction, rule.id, where, case, was, now)

    def _drawn(self, piece: int) -> tuple[FullCase | None, str | None, str | None]:
        """A real case of a box, and what both engines answer."""
        case = self._witnesses[1].case_in(piece, self._moment)
        if case is None:
            return None, None, None
        was, now = (
            self._at_least(book, witness, case) for book, witness in zip(self._books, self._witnesses, strict=True)
        )
        return (case, was, now) if was != now else (None, None, None)

    def _at_least(self, book: RuleBook, witness: Witness, case: FullCase) -> str | None:
        inputs = book.vocabulary.inputs
        known = {name: value for name, value in case.items() if name in inputs and _allowed(value, inputs[name])}
        (run,) = book.runs(witness.read(known, self._moment))
        return run.ranges[self._name].at_least if self._name in run.ranges else None


def _in_words(piece: int, cells: Cells) -> dict[str, str]:
    return {name: _values(piece, name, cells) for name in sorted(cells.narrow(piece))}


def _values(piece: int, name: str, cells: Cells) -> str:
    """What a box allows of an input: a range of neighbouring cells of a number, else the values one by one."""
    values, places = cells.values[name], cells.places(piece, name)
    limits = cells.limits.get(name, [])
    if not isinstance(values[0], float | int) or isinstance(values[0], bool):
        said: dict[Any, str] = {True: "yes", False: "no", None: "not known"}
        return " or ".join(said.get(values[place], str(values[place])) for place in places)
    return " or ".join(_range([values[place] for place in run], limits) for run in _runs(places))


def _runs(places: list[int]) -> Iterator[list[int]]:
    run: list[int] = []
    for place in places:
        if run and place != run[-1] + 1:
            yield run
            run = []
        run.append(place)
    if run:
        yield run


def _range(values: list[Any], limits: list[float]) -> str:
    """Neighbouring cells of a number: limits belong to them or bound them."""
    if values == [None]:
        return "not known"
    first, last = values[0], values[-1]
    if first == last and first in limits:
        return f"{first:g}"
    low = (
        f"at least {first:g}"
        if first in limits
        else next((f"over {limit:g}" for limit in reversed(limits) if limit < first), "")
    )
    last = values[-1] if values[-1] is not None else values[-2]
    high = f"at most {last:g}" if last in limits else next((f"under {limit:g}" for limit in limits if limit > last), "")
    return " and ".join(part for part in (low, high) if part) or "any"


def _allowed(value: Any, one: Any) -> bool:
    return not isinstance(value, str) or value in one.allowed
