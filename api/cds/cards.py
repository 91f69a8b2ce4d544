"""Make the cards: one for the verdict on each lesion, and one for each caution that warns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from api.cds.detail import detail_of_caution, detail_of_unread, detail_of_verdict
from api.cds.markdown import named, shortened
from api.cds.messages import Card, Decision, Indicator, Link, Source
from api.cds.names import NOT_READ
from api.cds.suggestions import suggestions_for
from api.cds.told import Told
from api.fhir.inputs import SITE
from api.terms import terms
from decision.applicator import not_now_steps, with_obstacle
from decision.recommendation import Caution, LesionAnswer, Reason

__all__ = ["cards_of"]

INDICATORS: tuple[Indicator, ...] = ("critical", "warning", "info")
CAUTION = "caution"
OPEN = "no_verdict_yet"
UNREAD = "unread"
LINKS = 3


def cards_of(told: Told) -> list[Card]:
    """The cards of a call, the most urgent first. The same call gives the same cards, byte for byte."""
    cards: list[Card] = [_of_unread(told)] if told.chart.in_doubt else []
    for lesion in told.answer["lesions"] if told.chart.lesions else ():
        cards += [_of_verdict(lesion, told), *_of_cautions(lesion, told)]
    unlike: dict[tuple[str, str], Card] = {}
    for card in cards:  # a caution about the patient holds for every lesion, and is said once
        key = card["uuid"] if card["source"]["topic"]["code"] != CAUTION else card["summary"]
        said = unlike.setdefault((key, card["detail"]), card)
        if said is not card:
            _add_conditions(said, card)
    return sorted(unlike.values(), key=lambda card: INDICATORS.index(card["indicator"]))


def _of_verdict(lesion: LesionAnswer, told: Told) -> Card:
    suitability = lesion["suitability"]
    verdict, reasons = suitability["verdict"], suitability["reasons"]
    said = suitability["summary"]
    if verdict is not None:
        because = f" {reasons[0]['title']}." if reasons else ""
        said = f"{with_obstacle(told.ladder.answers[verdict], suitability['obstacle'])}.{because}"
    card: Card = {
        "uuid": told.identity(lesion["lesion_id"], "verdict", reasons[0]["rule"] if reasons else OPEN),
        "summary": shortened(f"{_place(lesion, told)}: {said}"),
        "indicator": _indicator(verdict, told, not_now=not_now_steps(lesion) != []),
        "detail": detail_of_verdict(lesion, told),
        "source": _source(verdict or OPEN, told),
        "extension": {"org.example.thawline.decision": _decision(lesion, told)},
    }
    suggestions = suggestions_for(lesion, told)
    if suggestions:
        card["suggestions"] = suggestions
        card["selectionBehavior"] = "at-most-one"
    return _completed(card, reasons, told)


def _add_conditions(said: Card, card: Card) -> None:
    """Let a card name the Conditions of another one that says the same."""
    decision, other = (one["extension"]["org.example.thawline.decision"] for one in (said, card))
    both = dict.fromkeys([*decision.get("conditions", ()), *other.get("conditions", ())])
    if both:
        decision["conditions"] = list(both)


def _of_unread(told: Told) -> Card:
    """The card that says that an order was not read, so that no cards are not taken for no objection."""
    decision = _decision(told.answer["lesions"][0], told) | {"lesion_id": NOT_READ, "status": "data-required"}
    decision.pop("verdict", None)
    decision.pop("conditions", None)
    return {
        "uuid": told.identity(UNREAD),
        "summary": "An order was not read, so that nothing is said of it. This is no permission to freeze.",
        "indicator": "info",
        "detail": detail_of_unread(told),
        "source": _source(OPEN, told),
        "extension": {"org.example.thawline.decision": decision},
    }


def _of_cautions(lesion: LesionAnswer, told: Told) -> Iterable[Card]:
    """A card for each caution that warns; the others stand below the verdict."""
    for caution in lesion["cautions"]:
        indicator = _urgency(caution)
        if indicator == "info":
            continue
        card: Card = {
            "uuid": told.identity(lesion["lesion_id"], caution["reasons"][0]["rule"]),
            "summary": shortened(caution["summary"]),
            "indicator": indicator,
            "detail": detail_of_caution(caution),
            "source": _source(CAUTION, told),
            "extension": {"org.example.thawline.decision": _decision(lesion, told)},
        }
        yield _completed(card, caution["reasons"], told)


def _completed(card: Card, reasons: Sequence[Reason], told: Told) -> Card:
    """Add the links to the rules, and to a card that warns the reasons for not following it."""
    if card["indicator"] != "info":
        card["overrideReasons"] = [told.lists.coding("override-reason", code) for code in terms().override_reasons]
    links: list[Link] = [
        {"label": one["title"], "url": f"{told.base_url}/handbook/{one['rule']}", "type": "absolute"}
        for one in reasons[:LINKS]
        if told.base_url
    ]
    if links:
        card["links"] = links
    return card


def _indicator(verdict: str | None, told: Told, *, not_now: bool) -> Indicator:
    """How urgent a verdict is: the most cautious answer stops, one that forbids or a silence over an order warns.

    A permission on which nothing may be frozen as things stand stops too.
    """
    ladder = told.ladder
    if not_now:
        return "critical"
    if verdict is None:
        return "warning" if told.ordering else "info"
    if verdict == list(ladder.answers)[-1]:
        return "critical"
    permitted = ladder.rank(verdict) < ladder.rank(ladder.stands_unsettled_from or None)
    return "info" if permitted else "warning"


def _urgency(caution: Caution) -> Indicator:
    return next(one for one in INDICATORS if one == caution["urgency"])


def _place(lesion: LesionAnswer, told: Told) -> str:
    """The site in the words of the vocabulary; where there are several lesions, after the number and name of this."""
    charted = told.charted(lesion["lesion_id"])
    site = charted.stated.get(SITE)
    words = [told.lists.coding("site", site)["display"]] if site else []
    if len(told.chart.lesions) > 1 or not words:
        several = [lesion["lesion_id"].rpartition("-")[2], named(charted.name)] if len(told.chart.lesions) > 1 else []
        called = " ".join(["Lesion", *filter(None, several)])
        words = [called, *(f"{one[0].lower()}{one[1:]}" for one in words)]
    return ", ".join(words)


def _source(topic: str, told: Told) -> Source:
    source: Source = {"label": f"Thawline rule book {told.book.version}", "topic": told.topic(topic)}
    if told.base_url:
        source["url"] = f"{told.base_url}/handbook"
    return source


def _decision(lesion: LesionAnswer, told: Told) -> Decision:
    answer, verdict = told.answer, lesion["suitability"]["verdict"]
    decision: Decision = {
        "status": lesion["status"],
        "lesion_id": lesion["lesion_id"],
        "as_of": answer["as_of"],
        "case_digest": answer["case_digest"],
        "conclusion_digest": answer["conclusion_digest"],
        "rule_book": answer["rule_book"],
        "code_map": {"version": told.code_map.version, "digest": told.code_map.digest},
        "answer_contract": answer["answer_contract"],
        "engine_version": answer["engine_version"],
    }
    reference = next(
        (one.reference for one in told.chart.lesions if one.stated["lesion_id"] == lesion["lesion_id"]), ""
    )
    if reference:
        decision["conditions"] = [reference]
    if verdict is not None:
        decision["verdict"] = verdict
    if told.not_supplied:
        decision["not_supplied"] = list(told.not_supplied)
    if told.chart.left_out:
        decision["lesions_left_out"] = told.chart.left_out
    if told.chart.notes:
        decision["notes"] = list(told.chart.notes)
    return decision
