"""A decision: one question answered by a folder of rules under a hit policy (DMN's words).

    priority   the most cautious answer that holds wins; every hit is reported (a ladder)
    collect    every rule that holds contributes one statement
    unique     each quantity is given by at most one rule; the loader proves that no two can hold together

Read from rules/<decision>/decision.yaml by decision_file.py.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from decision.nearest import nearest
from decision.strict_yaml import Path
from decision.vocabulary import Input

__all__ = ["ASKED_UP_TO", "TOLD_UP_TO", "DecisionNode", "in_order"]

# Fields of a statement: the last answer of a ladder beside which it is told, and asked for.
TOLD_UP_TO, ASKED_UP_TO = "told_up_to", "asked_up_to"


@dataclass(frozen=True, slots=True)
class DecisionNode:
    """One decision of the rule book. `plain` says answers to somebody who is not a vet.

    `no_reason_beside` names, for an answer of a ladder, the answers beside which its rules are no reasons, though they
    hold: a permission is no reason for a refusal. `as_cautious_as` names answers that allow no more and no less than a
    lower one, and only say more.
    """

    name: str
    question: str
    hit_policy: Literal["priority", "collect", "unique"]
    concludes: str = ""
    answers: Mapping[str, str] = field(default_factory=dict)
    plain: Mapping[str, str] = field(default_factory=dict)
    stands_unsettled_from: str = ""
    no_reason_beside: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    as_cautious_as: Mapping[str, str] = field(default_factory=dict)
    quantities: Mapping[str, Any] = field(default_factory=dict)
    fields: Mapping[str, Any] = field(default_factory=dict)
    given: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    moments: tuple[str, ...] = ("before",)
    inputs_about: tuple[str, ...] = ()
    inputs_named: tuple[str, ...] = ()
    requires: tuple[str, ...] = ()
    _ranks: Mapping[str | None, int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Number the answers once; ranks are asked on every request."""
        ranks: dict[str | None, int] = {None: -1, **{answer: i for i, answer in enumerate(self.answers)}}
        object.__setattr__(self, "_ranks", ranks)

    def rank(self, answer: str | None) -> int:
        """How cautious an answer is: -1 for none, 0 for the most permissive, then upwards."""
        return self._ranks[answer]

    def least_as_cautious(self, rank: int) -> int:
        """The lowest rank that is as cautious as a rank: its own, or that of the answer it is as cautious as."""
        for answer, other in self.as_cautious_as.items():
            if self._ranks[answer] == rank:
                return self._ranks[other]
        return rank

    def as_inputs(self) -> dict[str, Input]:
        """What later decisions may ask about: the answer of a ladder, the plain numbers of a plan."""
        if self.answers:
            return {self.name: Input(self.name, "decision", "code", self.question, allowed=self.answers)}
        return {
            name: Input(name, "decision", "number", self.question, one["unit"], *one["range"])
            for name, one in self.quantities.items()
            if one["shape"] == "number"
        }


def in_order(nodes: Mapping[str, DecisionNode]) -> list[DecisionNode] | list[str]:
    """Put decisions after those they require; where that is impossible, name the ones in the ring.

    >>> a, b = DecisionNode("a", "?", "collect", requires=("b",)), DecisionNode("b", "?", "collect")
    >>> [node.name for node in in_order({"a": a, "b": b})]
    ['b', 'a']
    """
    done: list[DecisionNode] = []
    left = dict(nodes)
    while left:
        ready = [one for one in left.values() if not any(name in left for name in one.requires)]
        if not ready:
            return sorted(left)
        for one in ready:
            done.append(left.pop(one.name))
    return done


def faults_between(node: DecisionNode, nodes: Mapping[str, DecisionNode]) -> Iterable[tuple[Path, str]]:
    """State where a decision speaks of another one that is not there, or of an answer that it cannot give."""
    for i, name in enumerate(node.requires):
        if name not in nodes:
            yield ("requires", "decisions", i), f'"{name}" is no decision.{nearest(name, nodes)}'
    for name, codes in node.given.items():
        answers = nodes[name].answers if name in nodes else codes
        for i, code in enumerate(codes):
            if code not in answers:
                yield ("given", name, i), f'"{code}" is not an answer of {name}.{nearest(code, answers)}'
    ladders = [name for name, one in nodes.items() if one.answers]
    for key, one in node.fields.items():
        for named in ("answer_of", "limit_of"):
            wrong = one[named]
            if wrong and wrong not in ladders:
                yield ("fields", key, named), f'"{wrong}" is no decision with answers.{nearest(wrong, ladders)}'
