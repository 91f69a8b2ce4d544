"""The trace of an answer: what holds and did not decide, what is open and what it needs, what does not apply or speak.

Nothing is decided here. A ladder answers with the most cautious answer that holds; every other rule of it that holds is
outranked by those that are more cautious.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from decision.decisions import Decisions, Run, unknown_inputs
from decision.evaluator import Outcome
from decision.recommendation import OpenRule, Outranked, StillOpen, Trace
from decision.rule import Rule
from decision.telling import Teller
from decision.vocabulary import Input, Value

__all__ = ["Outranking", "deciding", "needs", "outrankings", "trace_of"]


@dataclass(frozen=True, slots=True)
class Outranking:
    """A rule that holds and brings a ladder an answer that is not its most cautious one.

    `by` are the rules that hold and are more cautious, the most cautious first; `answer` is what the first one brings.
    """

    rule: Rule
    ladder: str
    says: str
    answer: str
    by: tuple[Rule, ...]


def outrankings(decisions: Decisions, run: Run) -> Iterator[Outranking]:
    """Every rule that is outranked, ladder by ladder, the most cautious first."""
    for name in run.ranges:
        ladder = decisions.ladders[name]
        rated = ladder.rated(run.hits)
        holding = [
            (ladder.node.rank(answer), answer, rule) for answer, rule, outcome in rated if outcome == Outcome.HOLDS
        ]
        holding.sort(key=lambda one: -one[0])
        for rank, says, rule in holding:
            by = tuple(one for other, _, one in holding if other > rank)
            if by:
                yield Outranking(rule, name, says, holding[0][1], by)


def deciding(decisions: Decisions, ladder: str, run: Run) -> list[str]:
    """The rules that bring a ladder the answer that stands at least, in the order of their names."""
    at_least = run.ranges[ladder].at_least
    rated = decisions.ladders[ladder].rated(run.hits)
    return sorted({rule.id for answer, rule, outcome in rated if outcome == Outcome.HOLDS and answer == at_least})


def needs(rule: Rule, known: Mapping[str, Value], inputs: Mapping[str, Input]) -> list[str]:
    """What an open rule needs: the inputs not stated that it asks, or that what it asks is computed from."""
    found: dict[str, None] = {}
    for name in unknown_inputs(rule, known):
        unstated = [parent for parent in inputs[name].parents if parent not in known]
        found.update(dict.fromkeys(unstated or [name]))
    return list(found)


def trace_of(tell: Teller, run: Run) -> Trace:
    """What an answer adds when its trace is asked for."""
    return {
        "outranked": _outranked(tell, run),
        "still_open": _open(tell, run),
        "did_not_apply": _failing(tell, run),
        "not_told": tell.outlined([rule for decision in run.hits for rule in tell.silent(run, decision)], run),
    }


def _outranked(tell: Teller, run: Run) -> list[Outranked]:
    """The rules that hold and did not decide, each with what outranks it."""
    return [
        {
            **tell.outlined([one.rule], run)[0],
            "decision": one.ladder,
            "says": one.says,
            "outranked_by_answer": one.answer,
            "outranked_by": [rule.id for rule in one.by],
        }
        for one in outrankings(tell.decisions, run)
    ]


def _open(tell: Teller, run: Run) -> list[StillOpen]:
    """The rules that the stated facts leave open, each with what it needs."""
    rules = [rule for hits in run.hits.values() for rule in hits.opened]
    inputs = tell.decisions.inputs
    return [
        {**told, "needs": needs(rule, run.known, inputs)}
        for rule, told in zip(rules, tell.outlined(rules, run), strict=True)
    ]


def _failing(tell: Teller, run: Run) -> list[OpenRule]:
    """The rules that fail, with their findings."""
    return tell.outlined([rule for hits in run.hits.values() for rule in hits.failed], run)
