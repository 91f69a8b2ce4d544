"""The cautious direction of a ladder: when a risk rises, no answer falls and none goes silent.

For each rule, each input that has a direction of risk, and each step up in it: where the rule held and no longer holds,
rules of the same or a more cautious answer hold. Steps between neighbouring cells are enough, since answers that do
not fall at any of them do not fall over several.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from decision.answer_boxes import AnswerBoxes, Hit, Ladder
from decision.cells import Cells
from decision.claims import Steady
from decision.vocabulary import Input

__all__ = ["steady", "steps_up"]

Step = tuple[int, int]  # the places of two cells of one input, the second one more risky


def steady(ladder: Ladder, answers: AnswerBoxes) -> Iterator[Steady]:
    """The claims that no rule of a ladder lets its answer fall when a risk rises."""
    cells, inputs = answers.boxes.cells, answers.boxes.inputs
    not_asked = answers.not_asked(ladder.node)
    for hit in ladder.hits:
        covers = [*ladder.from_rank(hit.rank), *not_asked]
        for name in sorted({name for box in hit.boxes for name in cells.narrow(box)}):
            if inputs[name].about == "derived":
                continue
            for step in steps_up(inputs[name], cells):
                for region in _after(step, name, ladder, hit, answers):
                    before, after = (cells.values[name][place] for place in step)
                    assert before is not None
                    assert after is not None
                    yield Steady(ladder.node, region, covers, hit.rule, hit.rank, name, before, after)


def steps_up(one: Input, cells: Cells) -> list[Step]:
    """The smallest steps up in risk of an input, as places of its cells.

    Codes of one level of risk are neighbours of every code of the next; between them there is no step.
    """
    if one.risk == "none":
        return []
    if not isinstance(one.risk, list):
        rising = list(range(len([value for value in cells.values[one.name] if value is not None])))
        return list(itertools.pairwise(rising if one.risk == "rises" else rising[::-1]))
    levels: Sequence[list[str]] = [level if isinstance(level, list) else [level] for level in one.risk]
    place = cells.values[one.name].index
    return [
        (place(before), place(after))
        for low, high in itertools.pairwise(levels)
        for before in low
        for after in high
    ]


def _after(step: Step, name: str, ladder: Ladder, hit: Hit, answers: AnswerBoxes) -> Iterator[int]:
    """Where the cases of a rule come to lie after a step; what is computed from the input may have moved too."""
    cells, moving = answers.boxes.cells, answers.boxes.free_of(name)
    before, after = step
    for box in hit.boxes:
        places = cells.places(box, name)
        if before not in places or (after in places and cells.freed(box, moving) == box):
            continue
        for part in answers.asked(ladder.node, cells.with_places(box, name, [before])):
            yield cells.freed(cells.with_places(part, name, [after]), moving)
