"""The cautious direction of a ladder: when a risk rises, no answer falls and none goes silent.

For each rule, each input that has a direction of risk, and each step up in it: where the rule held and no longer holds,
rules of the same or a more cautious answer hold. Where a ladder is always asked, steps between neighbouring levels are
enough, since answers that do not fall at any of them do not fall over several. What is computed from an input with
numbers moves with it: up in its own risk where the vocabulary says so, and otherwise anywhere.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from decision.derived import ALWAYS_KNOWN, FLOORED, STAYS_KNOWN
from decision.verification.answer_boxes import AnswerBoxes, Hit, Ladder
from decision.verification.cells import Cells
from decision.verification.claims import Steady
from decision.vocabulary import Input

__all__ = ["levels_of", "moves_freely", "steady"]

Step = tuple[int, int]  # the places of two cells of one input, the second one more risky


def steady(ladder: Ladder, answers: AnswerBoxes) -> Iterator[Steady]:
    """The claims that no rule of a ladder lets its answer fall when a risk rises."""
    cells = answers.boxes.cells
    for hit in ladder.hits:
        least = ladder.node.least_as_cautious(hit.rank)
        covers = ladder.from_rank(least)
        read = {name for box in hit.boxes for name in cells.narrow(box)}
        for name, step, moving in _steps(read, ladder, answers):
            for region in _after(step, name, moving, ladder, hit, answers):
                before, after = (cells.values[name][place] for place in step)
                yield Steady(ladder.node, region, covers, hit.rule, least, name, before, after)


def levels_of(one: Input, cells: Cells) -> list[list[int]]:
    """The cells of an input as places, from the least to the most risky level; none where it has no direction."""
    places = [place for place, value in enumerate(cells.values[one.name]) if value is not None]
    if one.risk == "none":
        return []
    if isinstance(one.risk, list):
        listed = [level if isinstance(level, list) else [level] for level in one.risk]
        return [[cells.values[one.name].index(code) for code in level] for level in listed]
    return [[place] for place in (places if one.risk == "rises" else places[::-1])]


def moves_freely(free: Input, parent: Input) -> bool:
    """Whether a step up in the risk of a parent may move a quantity otherwise than up in its own risk.

    Where it cannot, its own steps up are looked at beside those of the parent, and together they are every step.
    """
    if free.name not in ALWAYS_KNOWN and parent.name not in STAYS_KNOWN.get(free.name, ()):
        return True
    direction = {"rises": 1, "falls": -1}.get(free.parents[parent.name], 0)
    return direction * _sign(parent.risk) * _sign(free.risk) != 1


def _steps(read: set[str], ladder: Ladder, answers: AnswerBoxes) -> Iterator[tuple[str, Step, Sequence[str]]]:
    """Every step up in risk that a rule can notice, with the computed quantities that may then be anything."""
    cells, inputs = answers.boxes.cells, answers.boxes.inputs
    free = [inputs[name] for name in answers.boxes.free() if name in read]
    stated = {name for name in read if not inputs[name].derived}
    stated |= {name for other in free for name in other.parents if name in cells.values}
    for one in (inputs[name] for name in sorted(stated) if inputs[name].risk != "none"):
        resting = [other for other in free if one.name in other.parents]
        moving = [other for other in resting if ladder.node.given or moves_freely(other, one)]
        inside = {place for other in moving for place in _wide(one, other, cells)}
        for step in [*_up(one, ladder, cells), *((place, place) for place in sorted(inside))]:
            yield one.name, step, [other.name for other in moving]
    for other in free:
        if any(inputs[name].risk != "none" and not moves_freely(other, inputs[name]) for name in other.parents):
            yield from ((other.name, step, []) for step in _up(other, ladder, cells))


def _up(one: Input, ladder: Ladder, cells: Cells) -> Iterator[Step]:
    """Steps up in risk; over several levels too where a ladder is not always asked, for it may be silent between."""
    levels = levels_of(one, cells)
    pairs = itertools.combinations(levels, 2) if ladder.node.given else itertools.pairwise(levels)
    for low, high in pairs:
        yield from itertools.product(low, high)


def _sign(risk: object) -> int:
    """How a value moves when its risk rises; the codes of a list rise along it."""
    return 1 if isinstance(risk, list) else {"rises": 1, "falls": -1}.get(str(risk), 0)


def _wide(one: Input, free: Input, cells: Cells) -> Iterator[int]:
    """The cells of an input inside which a step may move what is computed from it."""
    if one.type != "number":
        return
    for place in range(len(cells.values[one.name])):
        low, high = cells.ends(one, place)
        floored = one.name in FLOORED.get(free.name, ())
        if low < high and not (floored and math.floor(low) == math.floor(high)):
            yield place


def _after(
    step: Step, name: str, moving: Sequence[str], ladder: Ladder, hit: Hit, answers: AnswerBoxes
) -> Iterator[int]:
    """Where the cases of a rule come to lie after a step, as far as the ladder is still asked there.

    What moves with the input may be anything there.
    """
    cells = answers.boxes.cells
    before, after = step
    for box in hit.boxes:
        places = cells.places(box, name)
        if before not in places or (after in places and cells.freed(box, moving) == box):
            continue
        for part in answers.asked(ladder.node, cells.with_places(box, name, [before])):
            moved = cells.freed(cells.with_places(part, name, [after]), moving)
            for given in answers.givens(ladder.node):  # what earlier ladders answer may have moved too
                there = cells.freed(moved, given) & answers.with_answers(given)
                yield from answers.asked(ladder.node, there)
