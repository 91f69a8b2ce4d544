"""Offer what may be done instead of the freeze: a draft order for it, and the order to freeze put on hold.

Resources are in the form of the order that was sent, R4 or R5; without one, in that of R4.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from api.cds.messages import Action, Suggestion
from api.cds.told import Told
from api.fhir.chart import ChartedLesion
from api.fhir.elements import Element
from api.fhir.inputs import SITE
from api.fhir.orders import written_as_r5
from api.fhir.references import ID
from api.terms import terms
from decision.recommendation import LesionAnswer

__all__ = ["filled", "suggestions_for"]


def suggestions_for(lesion: LesionAnswer, told: Told) -> list[Suggestion]:
    """What may be done by one touch; nothing where the freeze is permitted, or no verdict stands."""
    verdict, ladder = lesion["suitability"]["verdict"], told.ladder
    if verdict is None or ladder.rank(verdict) < ladder.rank(ladder.stands_unsettled_from or None):
        return []
    charted = told.charted(lesion["lesion_id"])
    holds = [one for one in map(_hold, charted.orders) if one is not None]
    offered = dict.fromkeys(one["what"] for one in lesion["alternatives"] if one["what"] in terms().orderable)
    made = [_ordered(what, holds, charted, told) for what in offered]
    if holds and not made:
        made = [_suggestion("Hold the order to freeze", holds, told, lesion["lesion_id"], "hold")]
    if made:
        made[0]["isRecommended"] = True
    return made


def filled(data: Any) -> Any:
    """A copy without what is null or empty, which CDS Hooks does not allow."""
    if isinstance(data, dict):
        kept = {key: filled(value) for key, value in data.items()}
        return {key: value for key, value in kept.items() if value not in (None, "", [], {})}
    if isinstance(data, list):
        return [one for one in map(filled, data) if one not in (None, "", [], {})]
    return data


def _ordered(what: str, holds: Sequence[Action], charted: ChartedLesion, told: Told) -> Suggestion:
    """An alternative as a draft order, with the freeze on hold."""
    display = told.lists.coding("procedure", what)["display"]
    create: Action = {"type": "create", "description": f"Draft an order: {display}", "resource": {}}
    create["resource"] = _draft(what, charted, told)
    label = f"{display}, and hold the order to freeze" if holds else display
    return _suggestion(label, [create, *holds], told, charted.stated["lesion_id"], what)


def _suggestion(label: str, actions: Sequence[Action], told: Told, *names: str) -> Suggestion:
    return {"label": label, "uuid": told.identity(*names, "suggestion"), "actions": list(actions)}


def _hold(order: Element) -> Action | None:
    """The order that was sent, on hold; None for one without a name, which cannot be put in its place."""
    if not ID.fullmatch(order.text("id")):
        return None
    resource = {**filled(order.value), "status": "on-hold"}
    return {"type": "update", "description": "Put the order to freeze on hold", "resource": resource}


def _draft(what: str, charted: ChartedLesion, told: Told) -> dict[str, Any]:
    """A draft ServiceRequest, the patient and the lesion as they were referred to."""
    r5 = any(written_as_r5(order) for order in charted.orders)
    code = _concept("procedure", what, told)
    reason = {"reference": charted.condition_key}
    request: dict[str, Any] = {
        "resourceType": "ServiceRequest",
        "status": "draft",
        "intent": "proposal",
        "code": {"concept": code} if r5 else code,
        **{name: {"reference": key} for name, key in told.references.items()},
    }
    if charted.condition_key:
        request |= {"reason": [{"reference": reason}]} if r5 else {"reasonReference": [reason]}
    if SITE in charted.stated:
        request["bodySite"] = [_concept("site", charted.stated[SITE], told)]
    return request


def _concept(name: str, code: str, told: Told) -> dict[str, Any]:
    coding = told.lists.coding(name, code)
    return {"coding": [coding], "text": coding["display"]}
