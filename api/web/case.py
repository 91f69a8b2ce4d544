"""The case that a form states, as JSON data, and what is wrong with it, field by field."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from api.text.input_words import range_in_words
from api.web.sheet import Sheet
from decision.case import PARTS
from decision.contradictions import CONTRADICTION
from decision.errors import CaseFault
from decision.vocabulary import Input, Vocabulary

__all__ = ["case_of", "faults_by_field", "part_of", "places_of"]

_ABOUT = {"lesions": "lesion", "cycles": "cycle"}  # what the numbered places of a form are about
_BETWEEN = re.compile(r"[;,\s]+")
_UNCLEAR = re.compile(r"\d,\d")  # two numbers, or one with a decimal comma


def places_of(sheet: Sheet, moment: str) -> list[str]:
    """The places whose fields make the case of a moment of the job, in the order of the page."""
    lesions = sheet.lesions if moment == "before" else ["lesion"]
    return [place for part in PARTS[moment] for place in (lesions if part == "lesion" else [part])]


def case_of(sheet: Sheet, vocabulary: Vocabulary, moment: str) -> tuple[dict[str, Any], dict[str, str]]:
    """Put the case together that a form states.

    Returns:
        The case as JSON data, not yet checked against the vocabulary, and what cannot be read, by field.
    """
    faults: dict[str, str] = {}
    parts = {place: part_of(place, sheet, vocabulary, faults) for place in places_of(sheet, moment)}
    case: dict[str, Any] = {name: sheet.frame[name] for name in ("as_of", "region") if sheet.frame.get(name)}
    if moment == "before":
        case["lesions"] = [parts.pop(place) for place in sheet.lesions]
    case |= {name: part for name, part in parts.items() if part or name in ("patient", "lesion", "cycle", "healing")}
    return case, faults


def part_of(place: str, sheet: Sheet, vocabulary: Vocabulary, faults: dict[str, str]) -> dict[str, Any]:
    """What a form states at one place, as JSON data; what cannot be read is put among the faults, by field."""
    about = _ABOUT.get(place.partition(".")[0], place)
    part: dict[str, Any] = {}
    if place.startswith("lesions."):
        part["lesion_id"] = re.sub(r"\s+", "-", sheet.places[place].get("lesion_id", "").strip())
    for name, written in sheet.places.get(place, {}).items():
        one = vocabulary.inputs.get(name)
        if one is None or one.about != about or not written:
            continue
        try:
            part[name] = _value(written, one)
        except ValueError:
            faults[f"{place}.{name}"] = _wanted(one)
    ticked = [one for one in sheet.ticked.get(place, ()) if _is_list(one, about, vocabulary)]
    if ticked:
        part["ruled_out"] = list(dict.fromkeys(ticked))
    return part


def faults_by_field(faults: Iterable[CaseFault], vocabulary: Vocabulary) -> dict[str, str]:
    """What is wrong with a case, by the field of the form where it stands."""
    found: dict[str, str] = {}
    for fault in faults:
        steps = fault.pointer.removeprefix("#/").split("/")
        one_of_several = steps[-1].isdigit() and steps[0] != "lesions"
        name = ".".join(steps[:-1] if one_of_several else steps)
        about = vocabulary.inputs.get(name.rpartition(".")[2])
        fits = fault.code == CONTRADICTION  # by itself it does; what it does not fit is another fact
        found.setdefault(name, _wanted(about) if about and not fits else fault.message)
    return found


def _is_list(name: str, about: str, vocabulary: Vocabulary) -> bool:
    group = vocabulary.groups.get(name)
    return group is not None and group.about == about


def _value(written: str, one: Input) -> Any:
    """What is written in a field, as the type of its input.

    >>> _value("4,5", Input("height_mm", "lesion", "number", "How high?", "mm", 0, 200))
    4.5
    >>> _value("5, 8 12", Input("bores_mm", "equipment", "numbers", "Which?", "mm", 1, 40))
    [5.0, 8.0, 12.0]
    """
    if one.type == "boolean":
        return {"yes": True, "no": False}.get(written, written)
    if one.type == "number":
        return float(written.replace(",", "."))
    if one.type == "numbers":
        if _UNCLEAR.search(written):
            raise ValueError
        return [float(part) for part in _BETWEEN.split(written) if part]
    return written


def _wanted(one: Input) -> str:
    """What would be right in a field."""
    if one.type == "numbers":
        return f"Write numbers with spaces between, each {range_in_words(one)}."
    return f"Write a number {range_in_words(one)}." if one.type == "number" else "Choose one of the answers."
