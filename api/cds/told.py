"""Everything that the cards of one call are made from."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from api.cds.names import ORDER_SELECT, ORDER_SIGN, PATH
from api.code_lists import CANONICAL, CodeLists, Coding
from api.fhir.chart import Chart, ChartedLesion
from api.mapping import CodeMap
from decision.decision_node import DecisionNode
from decision.recommendation import Recommendation
from decision.rule_book import RuleBook

__all__ = ["LADDER", "Told"]

LADDER = "suitability"
NAMESPACE = uuid.uuid5(uuid.NAMESPACE_URL, f"{CANONICAL.rsplit('/fhir/', 1)[0]}{PATH}")


@dataclass(frozen=True, slots=True)
class Told:
    """One call, read and answered.

    Attributes:
        hook: The hook that was called.
        base_url: Where this service is found from outside; empty when that is not known.
        book: The rule book that answered.
        lists: Its code lists.
        code_map: What codes of others mean.
        chart: The record that was read.
        answer: The recommendation.
        not_supplied: The optional keys of which it is not known what the record holds.
        references: The patient, and the encounter where one is named, as references.
    """

    hook: str
    base_url: str
    book: RuleBook
    lists: CodeLists
    code_map: CodeMap
    chart: Chart
    answer: Recommendation
    not_supplied: Sequence[str]
    references: Mapping[str, str]

    @property
    def ladder(self) -> DecisionNode:
        """The ladder of verdicts."""
        return next(node for node in self.book.folder.decisions if node.name == LADDER)

    @property
    def ordering(self) -> bool:
        """Whether the call is about orders."""
        return self.hook in (ORDER_SELECT, ORDER_SIGN)

    def charted(self, lesion_id: str) -> ChartedLesion:
        """The lesion of the record that an answer is about."""
        return next(one for one in self.chart.lesions if one.stated["lesion_id"] == lesion_id)

    def identity(self, *names: str) -> str:
        """A UUID that is the same for the same rule book, case and names."""
        return str(uuid.uuid5(NAMESPACE, "\n".join((self.book.digest, self.answer["case_digest"], *names))))

    def topic(self, code: str) -> Coding:
        """The topic of a card."""
        return self.lists.coding("card-topic", code)
