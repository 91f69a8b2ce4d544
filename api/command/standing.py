"""How an answer stands, lesion by lesion, for questions about it: the same before, during and after the freeze."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from decision.recommendation import Question
from decision.rule_book import RuleBook

__all__ = ["Standing", "part_of", "standings"]


@dataclass(frozen=True, slots=True)
class Standing:
    """What is said of one lesion so far, and what to ask.

    Attributes:
        place: Which lesion of the case, from 0.
        summary: What is said of it, in one sentence.
        settled: Whether nothing is left to ask.
        questions: The most telling first.
    """

    place: int
    summary: str
    settled: bool
    questions: list[Question]


def standings(book: RuleBook, case: Any, moment: str, today: datetime.date) -> Iterator[Standing]:
    """Answer a case as it is and say how each of its lesions stands.

    Raises:
        CaseError: The case cannot be used.
    """
    read = book.read(case, today=today, moment=moment)
    if moment == "before":
        for place, lesion in enumerate(book.recommend(read)["lesions"]):
            summary = f"{lesion['lesion_id']}: {lesion['suitability']['summary']}"
            yield Standing(place, summary, lesion["status"] == "success", lesion["ask_next"])
        return
    answer = book.review_cycle(read) if moment == "during" else book.review_healing(read)
    yield Standing(0, answer["review"]["summary"], answer["status"] == "success", answer["ask_next"])


def part_of(case: Any, about: str, place: int) -> Any:
    """The part of a case that states a fact about something; that of a lesion by its place."""
    return case["lesions"][place] if about == "lesion" and "lesions" in case else case.setdefault(about, {})
