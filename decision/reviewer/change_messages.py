"""What is told of what would change a verdict, field by field."""

from __future__ import annotations

from typing import Literal

from typing_extensions import TypedDict

from decision.recommendation import BookReference

__all__ = ["Change", "ChangedFact", "Direction", "LesionChanges", "WhatWouldChange"]

Direction = Literal["more cautious", "less cautious", "a verdict", "no verdict"]


class ChangedFact(TypedDict):
    """One fact that would be otherwise. `changes`: never (of this patient), time (it rises by itself), can."""

    input: str
    question: str
    unit: str | None
    given: bool | float | str | None
    presumed: bool
    value: bool | float | str
    also: list[str]
    changes: Literal["never", "time", "can"]


class Change(TypedDict):
    """What the verdict would be, by which rules, if these facts were otherwise and all else as stated."""

    facts: list[ChangedFact]
    verdict: str | None
    at_least: str | None
    direction: Direction
    rules: list[str]


class LesionChanges(TypedDict):
    """What would change the verdict on one lesion: by one fact, or by two where neither does alone."""

    lesion_id: str
    verdict: str | None
    at_least: str | None
    rules: list[str]
    singly: list[Change]
    pairs: list[Change]
    pairs_left_out: int
    not_searched: list[str]
    evaluations: int


class WhatWouldChange(TypedDict):
    """What would change the verdicts on a case. Every change told was answered by the engine that answers cases."""

    rule_book: BookReference
    case_digest: str
    evaluations: int
    lesions: list[LesionChanges]
