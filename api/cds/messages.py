"""What this service answers to a CDS client, member by member. The types make the OpenAPI document."""

from __future__ import annotations

from typing import Any, Literal, NotRequired

from typing_extensions import TypedDict

from api.code_lists import Coding
from api.fhir.notes import Note
from decision.recommendation import BookReference, Status

__all__ = [
    "Action",
    "Card",
    "CdsCards",
    "Decision",
    "FeedbackReceived",
    "Indicator",
    "Link",
    "Source",
    "Suggestion",
]

Indicator = Literal["info", "warning", "critical"]


class Source(TypedDict):
    """Where a card comes from."""

    label: str
    url: NotRequired[str]
    topic: Coding


class Link(TypedDict):
    """A page that says more."""

    label: str
    url: str
    type: Literal["absolute"]


class Action(TypedDict):
    """One part of a suggestion: a FHIR resource to be created, or to be put in the place of one."""

    type: Literal["create", "update"]
    description: str
    resource: dict[str, Any]


class Suggestion(TypedDict):
    """Something that may be done by one touch. Its actions belong together."""

    label: str
    uuid: str
    isRecommended: NotRequired[bool]
    actions: list[Action]


class Decision(TypedDict):
    """What decided: enough to find the decision again, and what was not taken from the record."""

    status: Status
    lesion_id: str
    conditions: NotRequired[list[str]]
    verdict: NotRequired[str]
    as_of: str
    case_digest: str
    conclusion_digest: str
    rule_book: BookReference
    code_map: BookReference
    answer_contract: int
    engine_version: str
    not_supplied: NotRequired[list[str]]
    lesions_left_out: NotRequired[int]
    notes: NotRequired[list[Note]]


CardExtension = TypedDict("CardExtension", {"org.example.thawline.decision": Decision})


class Card(TypedDict):
    """One thing to know, with what may be done about it."""

    uuid: str
    summary: str
    indicator: Indicator
    detail: str
    source: Source
    suggestions: NotRequired[list[Suggestion]]
    selectionBehavior: NotRequired[Literal["at-most-one"]]
    overrideReasons: NotRequired[list[Coding]]
    links: NotRequired[list[Link]]
    extension: CardExtension


class CdsCards(TypedDict):
    """The cards, the most urgent first. There are never system actions."""

    cards: list[Card]


class FeedbackReceived(TypedDict):
    """How many entries were read. Nothing of them is kept."""

    received: int
