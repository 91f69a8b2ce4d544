"""What a rule book can be asked, by the moment of the job: before the freeze, during it, after it."""

from __future__ import annotations

from decision.rule_book import RuleBook

__all__ = ["decides", "moments_of"]

DECIDED_BY = {"before": "suitability", "during": "cycle_review", "after": "healing_review"}


def decides(book: RuleBook, moment: str) -> bool:
    """Whether the rule book takes the decision that an answer at a moment rests on."""
    return any(node.name == DECIDED_BY[moment] for node in book.folder.decisions)


def moments_of(book: RuleBook) -> list[str]:
    """The moments at which the rule book can be asked, in their order."""
    return [moment for moment in DECIDED_BY if decides(book, moment)]
