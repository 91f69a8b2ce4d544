"""What a paper is about: one lesion, what was answered about it, and what was done. Words come from the rule book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from api.papers.dates import day_in_words
from api.text.input_words import value_in_words
from decision.decision_node import DecisionNode
from decision.recommendation import CycleReview, LesionAnswer, Recommendation
from decision.rule_book import RuleBook
from decision.vocabulary import Value

__all__ = ["CycleDone", "Subject"]

LADDER = "suitability"


@dataclass(frozen=True, slots=True)
class CycleDone:
    """One cycle as it was done, and its review where the rule book reviews cycles."""

    stated: Mapping[str, Value]
    review: CycleReview | None


@dataclass(frozen=True, slots=True)
class Subject:
    """One lesion of an answered case.

    Attributes:
        book: The rule book that answered.
        answer: The whole answer.
        lesion: The part of it about this lesion.
        stated: What the case states of patient, lesion and equipment.
        ticked: The check lists that were ticked.
        cycles: What was done.
        chart: What the practice adds for the chart.
    """

    book: RuleBook
    answer: Recommendation
    lesion: LesionAnswer
    stated: Mapping[str, Any]
    ticked: tuple[str, ...]
    cycles: tuple[CycleDone, ...]
    chart: Mapping[str, str]

    @property
    def may_be_frozen(self) -> bool:
        """Whether a freeze is permitted and planned; without a plan there is none, whatever the verdict."""
        return self.lesion["plan"] is not None

    @property
    def permitted(self) -> bool:
        """Whether the verdict permits a freeze, with what is at hand or not."""
        node, verdict = self.node(LADDER), self.lesion["suitability"]["verdict"]
        return verdict is not None and node.rank(verdict) < node.rank(node.stands_unsettled_from)

    @property
    def verdict(self) -> str:
        """The verdict in words; empty while there is none."""
        verdict = self.lesion["suitability"]["verdict"]
        return "" if verdict is None else self.node(LADDER).answers[verdict]

    @property
    def plain_verdict(self) -> str:
        """The verdict in plain words, or in the rule book's own where it has none; empty while there is no verdict."""
        verdict, node = self.lesion["suitability"]["verdict"], self.node(LADDER)
        return "" if verdict is None else node.plain.get(verdict, f"{node.answers[verdict]}.")

    def node(self, name: str) -> DecisionNode:
        """A decision of the rule book."""
        return next(one for one in self.book.folder.decisions if one.name == name)

    def words(self, name: str) -> str:
        """What is stated for an input, in words; empty when nothing is."""
        value = self.stated.get(name)
        return "" if value is None else value_in_words(value, self.book.vocabulary.inputs[name])

    def on_the_day(self, what: str) -> str:
        """What was done on the day of the answer, and where.

        Args:
            what: What was done, as the first word.
        """
        site = self.words("site")
        return f"{what} on {day_in_words(self.answer['as_of'])}{f': {site}' if site else ''}."

    def rests_on(self) -> tuple[str, ...]:
        """The small print: who answered, by what, as of when, and what that is worth."""
        answer = self.answer
        return (
            answer["notice"],
            f"Thawline {answer['engine_version']}. Rule book {answer['rule_book']['version']}, "
            f"{answer['rule_book']['digest']}. Freeze table {answer['freeze_table']['version']}. "
            f"As of {answer['as_of']}.",
        )
