"""Read the form in a request, and do what the pressed button asks of its lesions."""

from __future__ import annotations

from starlette.requests import Request

from api.body import read_body
from api.problem_kinds import KINDS
from api.problems import Problem
from api.service import service_of
from api.web.sheet import Sheet, read_sheet

__all__ = ["act", "sheet_in"]

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


def act(sheet: Sheet, moment: str) -> None:
    """Do what the pressed button asks: put in a lesion, repeat the last one, take one out, or go on with one."""
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


def _go_on_with(sheet: Sheet, place: str) -> None:
    """Review one of the lesions of a case, from the start: an earlier cycle is not this one."""
    for one in ("cycle", "healing", "lesion"):
        sheet.places.pop(one, None)
        sheet.ticked.pop(one, None)
    sheet.carry_into(place, "lesion")
    sheet.places["lesion"].pop("lesion_id", None)
    sheet.frame["for"] = place
