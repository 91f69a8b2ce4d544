"""What was not taken from a record, and why: by its place, never by its value."""

from __future__ import annotations

from typing_extensions import TypedDict

from api.fhir.elements import Element

__all__ = ["MOST_NOTES", "SAID", "Note", "Notes"]

MOST_NOTES = 100

SAID = {
    "additional_code": "A further code is unknown here; the concept was understood by another of its codes.",
    "age_approximate": "The birth date is not a full date, so that the age is approximate.",
    "code_too_broad": "A code says less than any code of this service; nothing was taken from it.",
    "codings_disagree": "Two statements disagree.",
    "date_not_read": "A date is missing, too coarse, or lies in the future.",
    "facts_contradict": "Two facts cannot both be, so that none of them was taken.",
    "lesion_not_found": "It names a lesion that was not sent, or that is no longer current.",
    "names_compete": "Several diagnoses are still considered, so that none was taken.",
    "not_final": "A result is not final, so that it was not taken.",
    "not_linked": "It does not say which lesion it is about, so that it was not taken.",
    "not_read": "A code is not written as FHIR writes codes; nothing was taken from it.",
    "older_not_read": "Only the newest page was sent; what was found before the days that count was not read.",
    "other_patient": "It is about another patient, so that it was not taken.",
    "out_of_range": "A number lies outside the range that it can have.",
    "status_missing": "It has no status, so that it was not taken.",
    "text_only": "Only text is given; text is never guessed at.",
    "too_old": "It was seen too long before to stand for today, so that it was not taken.",
    "unit_not_read": "A number has no unit that is read here (UCUM), or is not exact.",
    "unknown_code": "No code of it is known here.",
    "value_missing": "A finding is named without its value; it is left open.",
    "value_not_read": "The value is not of the kind that this finding has.",
}


class Note(TypedDict):
    """One thing that was not taken: where it stands, a stable code, and what that means."""

    pointer: str
    code: str
    detail: str


class Notes:
    """Collects notes, the first hundred of them."""

    def __init__(self) -> None:
        """Begin without a note."""
        self.taken: list[Note] = []

    def add(self, place: Element, code: str, detail: str = "") -> None:
        """Note something once."""
        about = f"{place.steps[1]}: " if len(place.steps) > 1 else ""
        note: Note = {"pointer": place.pointer, "code": code, "detail": detail or f"{about}{SAID[code]}"}
        if note not in self.taken and len(self.taken) < MOST_NOTES:
            self.taken.append(note)
