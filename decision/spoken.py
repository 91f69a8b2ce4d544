"""Which of what holds is told, asked for and a reason, beside the answer that a ladder came to.

Nothing is decided here; the answer stands before any of this is asked. A statement may say up to which answer of a
ladder it is told (`told_up_to`) and asked for (`asked_up_to`): what only matters for a freeze is silent where none is
given. While no answer stands nothing is silent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from decision.decision_node import ASKED_UP_TO, TOLD_UP_TO, DecisionNode
from decision.decisions import Decisions
from decision.ladder import Ladder
from decision.rule import Rule
from decision.run import Run

__all__ = ["Spoken", "reasons_of"]


class Spoken:
    """Finds the statements that are silent beside the answers of a run."""

    def __init__(self, decisions: Decisions) -> None:
        """Prepare, for each decision and each answer of the ladders, what is silent beside it."""
        self._told: dict[str, list[_Limit]] = {}
        self._asked: dict[str, list[_Limit]] = {}
        nodes = {name: one.node for name, one in decisions.ladders.items()}
        for one in decisions.compiled:
            told, asked = (_limits(one.node, one.rules, key, nodes) for key in (TOLD_UP_TO, ASKED_UP_TO))
            self._told[one.node.name] = told
            self._asked[one.node.name] = told + asked  # what would not be told is not asked for

    def untold(self, run: Run, decision: str) -> int:
        """The rules of a decision that say nothing beside the answers that stand, a bit for each."""
        return _silent(self._told.get(decision, ()), run)

    def unasked(self, run: Run, decision: str) -> int:
        """The rules of a decision that nothing is asked for beside the answers that stand, a bit for each."""
        return _silent(self._asked.get(decision, ()), run)


def reasons_of(ladder: Ladder, holding: Sequence[Rule]) -> list[Rule]:
    """The rules that are reasons of a ladder's answer, of those that hold; their order is kept.

    A rule is none where another one holds whose answer it would speak against: see `DecisionNode.no_reason_beside`.
    """
    silenced = ladder.node.no_reason_beside
    if not silenced:
        return list(holding)
    brings = [ladder.brought_by(rule) for rule in holding]
    said = set(brings)
    return [rule for rule, answer in zip(holding, brings, strict=True) if said.isdisjoint(silenced.get(answer, ()))]


# Of a ladder, by the rank of its answer, the rules that are silent beside that answer.
_Limit = tuple[DecisionNode, Sequence[int]]


def _limits(node: DecisionNode, rules: Sequence[Rule], key: str, ladders: Mapping[str, DecisionNode]) -> list[_Limit]:
    if key not in node.fields or node.fields[key]["limit_of"] not in ladders:
        return []
    ladder = ladders[node.fields[key]["limit_of"]]
    lasts = [(1 << place, ladder.rank(rule.conclude[key])) for place, rule in enumerate(rules) if key in rule.conclude]
    return [(ladder, [sum(bit for bit, last in lasts if last < rank) for rank in range(len(ladder.answers))])]


def _silent(limits: Sequence[_Limit], run: Run) -> int:
    silent = 0
    for ladder, by_rank in limits:
        found = run.ranges.get(ladder.name)
        if found is not None and found.answer is not None:
            silent |= by_rank[ladder.rank(found.answer)]
    return silent
