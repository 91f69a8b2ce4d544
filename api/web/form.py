"""Read the form in a request, the case that it states, and do what the pressed button asks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.requests import Request

from api.body import read_body
from api.problem_kinds import KINDS
from api.problems import Place, Problem
from api.service import service_of
from api.web.case import case_of
from api.web.cycles import drop_cycle, keep_cycle
from api.web.sheet import Sheet, read_sheet

__all__ = ["act", "case_in", "refuse_unreadable", "sheet_in"]

FORM = "application/x-www-form-urlencoded"
MOST_LESIONS = 20


async def sheet_in(request: Request) -> Sheet:
    """Read the form in a request.

    Raises:
        Problem: `unsupported-media-type` or `body-too-large`.
    """
    if request.headers.get("content-type", "").split(";")[0].strip().lower() != FORM:
        said = f"the Content-Type must be {FORM}."
        raise Problem(KINDS["unsupported-media-type"], said, headers={"Accept": FORM})
    body = await read_body(request, service_of(request).settings.body_limit_bytes)
    try:
        return read_sheet(body)
    except ValueError:
        raise Problem(KINDS["body-too-large"], "a form has at most 4000 fields.") from None


def case_in(request: Request, sheet: Sheet) -> dict[str, Any]:
    """The case that a form states, as JSON data, not yet checked against the vocabulary.

    Raises:
        Problem: `unusable-case`, where something in it cannot be read.
    """
    data, faults = case_of(sheet, service_of(request).book.vocabulary, "before")
    refuse_unreadable(faults)
    return data


def refuse_unreadable(faults: Mapping[str, str]) -> None:
    """Refuse a form in which something cannot be read: what stands there must not be taken as not stated.

    Args:
        faults: What would be right, by field.

    Raises:
        Problem: `unusable-case`.
    """
    if not faults:
        return
    places: list[Place] = [
        {"pointer": f"#/{field.replace('.', '/')}", "code": "unreadable", "detail": words}
        for field, words in faults.items()
    ]
    raise Problem(KINDS["unusable-case"], "In the form something cannot be read.", places)


def act(sheet: Sheet, moment: str) -> None:
    """Do what the pressed button asks of the lesions and cycles that a form states."""
    asked, _, place = sheet.frame.get("do", "").partition(" ")
    room = moment == "before" and len(sheet.lesions) < MOST_LESIONS
    if asked == "add" and room:
        sheet.add_lesion()
    elif asked == "same" and room and sheet.lesions:
        sheet.repeat_lesion()
    elif asked == "remove" and place in sheet.lesions and len(sheet.lesions) > 1:
        sheet.remove_lesion(place)
    elif asked == "of" and moment != "before" and place in sheet.lesions:
        _go_on_with(sheet, place)
    elif asked == "next" and moment == "during":
        keep_cycle(sheet)
    elif asked == "drop" and moment == "during":
        drop_cycle(sheet, place)


def _go_on_with(sheet: Sheet, place: str) -> None:
    """Review one of the lesions of a case, as the case states it now: the one in hand goes on, another starts anew."""
    if sheet.frame.get("for") != place:
        keep_cycle(sheet)
        sheet.clear("healing")
    sheet.clear("lesion")
    sheet.carry_into(place, "lesion")
    sheet.places["lesion"].pop("lesion_id", None)
    sheet.frame["for"] = place
