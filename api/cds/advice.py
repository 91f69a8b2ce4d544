"""Read a call, answer the case in it, and make the cards."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import Any

from api.cds.call_faults import MOST_FAULTS, unusable_call
from api.cds.cards import cards_of
from api.cds.messages import CdsCards
from api.cds.names import CHART, NOT_READ, ORDER_SELECT, ORDER_SIGN, REQUEST
from api.cds.supply import supply_of, unknown_keys
from api.cds.told import Told
from api.code_lists import CodeLists
from api.fhir.bundles import Resource, resources_in, unreadable_in
from api.fhir.chart import Chart, Sent, read_chart
from api.fhir.elements import Element
from api.fhir.record import patient_key_of
from api.fhir.references import ID, key_of
from api.mapping import CodeMap
from api.problem_kinds import KINDS
from api.problems import Place, Problem
from decision.case import Case
from decision.case_faults import pointer_to
from decision.errors import CaseError
from decision.rule_book import RuleBook

__all__ = ["BESIDE", "Call", "read_call"]

BESIDE = ("as_of", "rule_book_version", "region", "equipment", "operator")
NOTHING: CdsCards = {"cards": []}


class Call:
    """A call that was read: the case in it, where there is one, and how to answer it."""

    def __init__(self, written: Any, chart: Chart, case: Case | None, not_supplied: Sequence[str]) -> None:
        """Keep what was read."""
        self.case = case
        self._written = written
        self._chart = chart
        self._not_supplied = not_supplied

    def answered(self, book: RuleBook, lists: CodeLists, code_map: CodeMap, base_url: str) -> CdsCards:
        """The cards.

        Raises:
            MatcherFault: The two means of matching differ; no answer is given.
        """
        if self.case is None:
            return NOTHING
        told = Told(
            hook=self._written.hook,
            base_url=base_url,
            book=book,
            lists=lists,
            code_map=code_map,
            chart=self._chart,
            answer=book.recommend(self.case),
            not_supplied=self._not_supplied,
            references=_references(self._written.context),
        )
        return {"cards": cards_of(told)}


def read_call(written: Any, book: RuleBook, lists: CodeLists, code_map: CodeMap, today: datetime.date) -> Call:
    """Read a call whose shape is right.

    Raises:
        Problem: `missing-prefetch`, `unusable-call`, or `unknown-rule-book-version`.
    """
    beside = _stated_beside(written, book)
    patient_key = patient_key_of(written.context.patientId)
    as_of = datetime.date.fromisoformat(beside.get("as_of", today.isoformat()))
    supply = supply_of(written.prefetch, patient_key, as_of, lists.vocabulary.fresh_days)
    sent = Sent(as_of, patient_key, supply, _orders(written), _charted(written))
    chart = read_chart(sent, lists, code_map, book.folder.contradictions)
    case = None
    if chart.lesions or chart.in_doubt:
        lesions = [dict(one.stated) for one in chart.lesions] or [{"lesion_id": NOT_READ}]
        case = book.read({**beside, "patient": dict(chart.patient), "lesions": lesions}, today=today)
    return Call(written, chart, case, unknown_keys(supply))


def _stated_beside(written: Any, book: RuleBook) -> Mapping[str, Any]:
    """What the request states in our extension: what no FHIR resource holds."""
    extension = written.extension or {}
    if REQUEST not in extension:
        return {}
    beside, steps = extension[REQUEST], ("extension", REQUEST)
    if not isinstance(beside, dict):
        raise unusable_call([{"pointer": pointer_to(steps), "code": "wrong_type", "detail": "must be an object."}])
    strange = [name for name in beside if name not in BESIDE]
    said = f"not one of: {', '.join(BESIDE)}."
    places: list[Place] = [
        {"pointer": pointer_to((*steps, name)), "code": "unknown_field", "detail": said} for name in strange
    ]
    if not places:
        try:
            book.read({**beside, "patient": {}, "lesions": [{"lesion_id": "lesion"}]}, today=datetime.date.min)
        except CaseError as error:
            before = pointer_to(steps)
            places = [
                {"pointer": before + one.pointer.removeprefix("#"), "code": one.code, "detail": one.message}
                for one in error.faults
            ]
    if places:
        raise unusable_call(places)
    if beside.get("rule_book_version", book.version) != book.version:
        kind = KINDS["unknown-rule-book-version"]
        place: Place = {
            "pointer": pointer_to((*steps, "rule_book_version")),
            "code": "not_loaded",
            "detail": f"the rule book loaded is {book.version}.",
        }
        raise Problem(kind, kind.title, [place])
    return beside


def _orders(written: Any) -> Sequence[Resource] | None:
    """The orders that are being made; of order-select those that were selected.

    Raises:
        Problem: `unusable-call`: the orders are no Bundle, or a selection names none of them.
    """
    if written.hook not in (ORDER_SELECT, ORDER_SIGN):
        return None
    drafts = _bundled(written.context.draftOrders, "draftOrders")
    if written.hook == ORDER_SIGN:
        return drafts
    selected = [key_of(one) for one in written.context.selections]
    named = frozenset().union(*(one.keys for one in drafts))
    said = "must name an order of context.draftOrders, by type and id."
    places: list[Place] = [
        {"pointer": pointer_to(("context", "selections", i)), "code": "not_found", "detail": said}
        for i, key in enumerate(selected)
        if key not in named
    ]
    if places:
        raise unusable_call(places[:MOST_FAULTS])
    return [one for one in drafts if not one.keys.isdisjoint(selected)]


def _charted(written: Any) -> Sequence[Resource] | None:
    """The resources that are being charted.

    Raises:
        Problem: `unusable-call`: they are no Bundle.
    """
    return _bundled(written.context.lesions, "lesions") if written.hook == CHART else None


def _bundled(bundle: Any, name: str) -> list[Resource]:
    """The resources of a Bundle in the context."""
    sent = Element(bundle, ("context", name))
    place = unreadable_in(sent)
    if place is not None:
        said = f"{name} must be a FHIR Bundle, with a resource and its resourceType in each entry."
        raise unusable_call([{"pointer": place.pointer, "code": "wrong_type", "detail": said}])
    return list(resources_in(sent))


def _references(context: Any) -> dict[str, str]:
    """The patient and the encounter as references, where their ids are ids of FHIR."""
    patient = patient_key_of(context.patientId)
    encounter = (context.encounterId or "").removeprefix("Encounter/")
    references = {"subject": patient} if ID.fullmatch(patient.removeprefix("Patient/")) else {}
    return {**references, **({"encounter": f"Encounter/{encounter}"} if ID.fullmatch(encounter) else {})}
