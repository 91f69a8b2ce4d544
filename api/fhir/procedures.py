"""Read Procedures: how often a lesion has been frozen before, and how many days ago for the last time."""

from __future__ import annotations

from collections.abc import Sequence

from api.fhir.bundles import Resource
from api.fhir.dates import first_days
from api.fhir.elements import Element
from api.fhir.inputs import DAYS_SINCE, FREEZE, FREEZES
from api.fhir.orders import reasons_of
from api.fhir.record import Lesion, Reader, refers_to

__all__ = ["read_procedures"]

DONE = "completed"
WHEN = ("performedDateTime", "performedPeriod", "occurrenceDateTime", "occurrencePeriod")


def read_procedures(procedures: Sequence[Resource], lesions: Sequence[Lesion], reader: Reader) -> None:
    """State the earlier freezes of each lesion.

    A whole record without any freeze states that there was none. A freeze that names no lesion is noted, and then
    nothing is stated of a lesion without one of its own.
    """
    freezes = [one.element for one in procedures if _froze(one.element, reader)]
    unlinked = [one for one in freezes if not reasons_of(one)]
    for one in unlinked:
        reader.notes.add(one, "not_linked")
    for lesion in lesions:
        own = [one for one in freezes if refers_to(reasons_of(one), lesion.keys)]
        if own:
            _state(own, lesion, reader)
        elif not unlinked and lesion.keys:
            lesion.statements.state(FREEZES, 0.0, Element(None, ("prefetch", "procedures")))


def _state(freezes: Sequence[Element], lesion: Lesion, reader: Reader) -> None:
    """State how many sessions there were, those of one day counted once, and how long ago the last one was."""
    read = [reader.day(first_days(one, *WHEN)) for one in freezes]
    days = {day for day in read if day is not None}
    undated = read.count(None)
    lesion.statements.state(FREEZES, float(len(days) + undated), freezes[0])
    if undated:
        reader.notes.add(freezes[0], "date_not_read")
    else:
        since = max(0, (reader.as_of - max(days)).days)
        lesion.statements.state(DAYS_SINCE, float(since), freezes[0])


def _froze(procedure: Element, reader: Reader) -> bool:
    if procedure.text("status") != DONE:
        return False
    return FREEZE in reader.understood(procedure.at("code")).codes("procedure")
