"""Hold what was prefetched against what is needed: without the required keys, whole, there is no answer but 412."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from api.cds.discovery import OPTIONAL, REQUIRED
from api.cds.kinds import MISSING_PREFETCH
from api.fhir.bundles import Supplied, supplied
from api.fhir.chart import KINDS_OF
from api.fhir.elements import Element
from api.fhir.findings import reach_back
from api.problems import Place, Problem
from decision.case_faults import pointer_to

__all__ = ["supply_of", "unknown_keys"]

_WHY = {
    "missing": "the prefetch key '{key}' is missing.",
    "nothing found": "no {kind} was found for the prefetch key '{key}'.",
    "incomplete": "the prefetch key '{key}' does not hold all of what was asked for, as {kind} resources.",
    "first page": "the prefetch key '{key}' is one page of several.",
}
DATED = "observations"  # what the template asks for newest first, and only the newest of which counts
_PAGE_TAKEN = " It is taken when it holds the newest first, each with its date, back beyond the last {days} days."


def supply_of(prefetch: object, patient_key: str, as_of: datetime.date, fresh_days: int) -> Mapping[str, Supplied]:
    """Read what was prefetched.

    Args:
        prefetch: What was sent; None where nothing was.
        patient_key: The patient in the context, as `Patient/id`.
        as_of: The day of the answer.
        fresh_days: For how many days what was seen can stand for today.

    Raises:
        Problem: `missing-prefetch`, with every required key that cannot be used.
    """
    sent = Element(prefetch, ("prefetch",))
    read = {key: supplied(sent, key, kind) for key, kind in KINDS_OF.items()}
    found = read[DATED]
    if found.supply == "first page" and reach_back(found.resources, as_of, fresh_days):
        read[DATED] = Supplied("newest", found.resources)
    places: list[Place] = []
    for key in REQUIRED:
        if not read[key].known or (key == "patient" and not read[key].resources):
            supply = read[key].supply if read[key].supply != "whole" else "nothing found"
            said = _WHY[supply] + (_PAGE_TAKEN if key == DATED and supply == "first page" else "")
            places.append(_place(key, said.format(key=key, kind=KINDS_OF[key], days=fresh_days)))
    if not places and _another(read["patient"], patient_key):
        places.append(_place("patient", "the patient is another one than context.patientId names."))
    if places:
        raise Problem(MISSING_PREFETCH, MISSING_PREFETCH.title, places)
    return read


def unknown_keys(read: Mapping[str, Supplied]) -> list[str]:
    """The optional keys of which it is not known what the record holds."""
    return [key for key in OPTIONAL if not read[key].known]


def _another(patient: Supplied, patient_key: str) -> bool:
    """Whether what was supplied is not one record of the patient in the context."""
    keys = [one.keys for one in patient.resources]
    return len(keys) != 1 or any(names and patient_key not in names for names in keys)


def _place(key: str, detail: str) -> Place:
    return {"pointer": pointer_to(("prefetch", key)), "code": "not_supplied", "detail": detail}
