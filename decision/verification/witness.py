"""Put cases to the production engine and hear which rules hold.

The engine is asked as any caller asks it: a case as JSON data, read, matched by two means, answered. But it also
answers cases that contradict themselves, which callers are refused: what is proved of all combinations of facts is
proved of those that can be.
"""

from __future__ import annotations

import datetime
import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from decision.case import PARTS, Case, read_case
from decision.decision_node import DecisionNode
from decision.rule import Rule
from decision.rule_book import RuleBook
from decision.verification.case_search import CaseSearch, FullCase
from decision.verification.rule_boxes import RuleBoxes

__all__ = ["FullCase", "Heard", "Witness"]

AS_OF = "2026-11-24"


@dataclass(frozen=True, slots=True)
class Heard:
    """What the production engine said of a case.

    What each ladder answers at least, the decisions that were asked and tell their rules, and the rules that hold.
    """

    at_least: Mapping[str, str | None]
    asked: frozenset[str]
    holding: frozenset[str]


class Witness:
    """Draws cases from boxes, always the same for the same seed, and asks the engine about them."""

    def __init__(self, book: RuleBook, boxes: RuleBoxes, seed: int) -> None:
        """Keep the book and the boxes of its rules."""
        self._book = book
        self._inputs = book.vocabulary.inputs
        self.chance = random.Random(seed)
        self._search = CaseSearch(boxes, self.chance)
        self.asked = 0

    def case_in(self, box: int, moment: str) -> FullCase | None:
        """A fully stated case in a box; None when none was found whose computed quantities fit."""
        return self._search.case_in(box, moment)

    def before_step(self, case: FullCase, name: str, before: object, rule: Rule) -> FullCase | None:
        """A case from which one risk, by rising, leads to another case, and in which a rule should hold."""
        return self._search.before_step(case, name, before, rule)

    def answer(self, case: FullCase, moment: str) -> Any:
        """What the production engine answers to a case, in full or in part stated."""
        self.asked += 1
        read = self.read(case, moment)
        if moment == "before":
            return self._book.recommend(read, trace=True)["lesions"][0]
        reviews = {"during": self._book.review_cycle, "after": self._book.review_healing}
        return reviews[moment](read)

    def hear(self, case: FullCase, moment: str) -> Heard:
        """Ask the production engine which rules hold in a case."""
        answer = self.answer(case, moment)
        if moment != "before":
            return self._reviewed(answer, moment)
        closed = {one["rule"] for key in ("did_not_apply", "still_open") for one in answer[key]}
        method = answer["method"]
        stands = {"suitability": answer["suitability"]["verdict"], "method": method and method["applicator"]}
        asked = self._asked(moment, stands)
        return Heard(
            at_least={**stands, "suitability": answer["suitability"]["at_least"]},
            asked=frozenset(node.name for node in asked),
            holding=frozenset(rule.id for node in asked for rule in self._rules(node) if rule.id not in closed),
        )

    def read(self, case: FullCase, moment: str) -> Case:
        """Read a case, whether or not it contradicts itself."""
        today = datetime.date.fromisoformat(AS_OF)
        return read_case(self.message(case, moment), self._book.vocabulary, today=today, moment=moment)

    def message(self, case: FullCase, moment: str) -> dict[str, Any]:
        """Write a case as the engine reads it."""
        parts: dict[str, dict[str, Any]] = {part: {} for part in PARTS[moment]}
        for name, value in case.items():
            parts[self._inputs[name].about][name] = value
        if moment == "before":
            lesion = parts.pop("lesion")
            return {"as_of": AS_OF, **parts, "lesions": [{"lesion_id": "lesion", **lesion}]}
        return {"as_of": AS_OF, **parts}

    def _reviewed(self, answer: Any, moment: str) -> Heard:
        """What a review tells: the rules behind its answer and its steps, not those of the plan it read."""
        ladder = next(node.name for node in self._nodes(moment) if node.answers)
        asked = self._asked(moment, {ladder: answer["review"]["answer"]})
        return Heard(
            at_least={ladder: answer["review"]["at_least"]},
            asked=frozenset(node.name for node in asked if node.moments[0] == moment),
            holding=frozenset(_reasons(answer)),
        )

    def _asked(self, moment: str, stands: Mapping[str, str | None]) -> list[DecisionNode]:
        return [
            node
            for node in self._nodes(moment)
            if all(name not in stands or stands[name] in codes for name, codes in node.given.items())
        ]

    def _nodes(self, moment: str) -> list[DecisionNode]:
        return [node for node in self._book.folder.decisions if moment in node.moments]

    def _rules(self, node: DecisionNode) -> Any:
        return self._book.folder.rules[node.name]


def _reasons(answer: Any) -> Iterator[str]:
    """The rules behind everything that an answer says."""
    if isinstance(answer, list):
        for one in answer:
            yield from _reasons(one)
    elif isinstance(answer, dict):
        if "because" in answer and "rule" in answer:
            yield answer["rule"]
        for one in answer.values():
            yield from _reasons(one)
