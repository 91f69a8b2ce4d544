"""The cycles of a visit: the one in hand, and those kept for the chart. They travel in the form and nowhere else.

A kept cycle is a place of its own, `cycles.0`, that says by `of` to which lesion it belongs. What the answer to the
case advises is written into a new cycle beforehand, for the vet to correct.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from api.text.input_words import figure, with_unit
from api.web.case import part_of
from api.web.sheet import Sheet
from decision.recommendation import LesionAnswer
from decision.vocabulary import Input, Vocabulary

__all__ = ["Kept", "cycles_of", "done_on", "drop_cycle", "keep_cycle", "kept_of", "prefill"]

IN_HAND = "cycle"
BEFOREHAND = ("applicator_used", "contact_diameter_mm", "cycle_number")
SHOWN = (
    "cycle_number",
    "applicator_used",
    "contact_diameter_mm",
    "fill_reached_mm",
    "contact_seconds",
    "observed_thaw_s",
)


@dataclass(frozen=True, slots=True)
class Kept:
    """A cycle that was kept: its place, and what was done, each with its name."""

    place: str
    done: tuple[tuple[str, str], ...]


def prefill(sheet: Sheet, answer: LesionAnswer) -> None:
    """Write into a cycle of which nothing stands yet with what it will be done: as before it, or as the case advises.

    A field that was emptied by hand stays empty.
    """
    known = sheet.places.setdefault(IN_HAND, {})
    place, method = sheet.frame["for"], answer["method"]
    earlier = [sheet.places[one] for one in _kept(sheet, place)]
    if earlier:
        advised = {name: earlier[-1].get(name, "") for name in BEFOREHAND}
    elif method and method["available"] and method["contact_diameter_mm"]:
        advised = {
            "applicator_used": method["applicator"],
            "contact_diameter_mm": figure(method["contact_diameter_mm"]),
        }
    else:
        advised = {}
    for name, written in {**advised, "cycle_number": str(len(earlier) + 1)}.items():
        known.setdefault(name, written)


def keep_cycle(sheet: Sheet) -> None:
    """Put the cycle in hand among those for the chart, where it belongs to a lesion and something was seen of it."""
    place = sheet.frame.get("for", "")
    if place in sheet.lesions and _seen(sheet):
        number = 1 + max((int(one.partition(".")[2]) for one in sheet.cycles), default=-1)
        sheet.carry_into(IN_HAND, f"cycles.{number}")
        sheet.places[f"cycles.{number}"]["of"] = place
    sheet.clear(IN_HAND)


def drop_cycle(sheet: Sheet, place: str) -> None:
    """Take a kept cycle out."""
    if place in sheet.cycles:
        sheet.clear(place)


def cycles_of(sheet: Sheet, place: str, vocabulary: Vocabulary) -> tuple[list[dict[str, Any]], dict[str, str]]:
    """What was done on a lesion, cycle by cycle, the one in hand last.

    Returns:
        The cycles as JSON data, not yet checked against the vocabulary, and what cannot be read, by field.
    """
    faults: dict[str, str] = {}
    return [part_of(one, sheet, vocabulary, faults) for one in done_on(sheet, place)], faults


def done_on(sheet: Sheet, place: str) -> list[str]:
    """The places of the cycles that were done on a lesion: those kept, and the one in hand where something was seen."""
    in_hand = [IN_HAND] if sheet.frame.get("for") == place and _seen(sheet) else []
    return [*_kept(sheet, place), *in_hand]


def kept_of(sheet: Sheet, place: str, vocabulary: Vocabulary) -> list[Kept]:
    """The kept cycles of a lesion, in words."""
    named = [vocabulary.inputs[one] for one in SHOWN if one in vocabulary.inputs]
    return [
        Kept(one, tuple((about.label, _in_words(sheet.places[one].get(about.name, ""), about)) for about in named))
        for one in _kept(sheet, place)
    ]


def _kept(sheet: Sheet, place: str) -> Iterator[str]:
    return (one for one in sheet.cycles if sheet.places[one].get("of") == place)


def _seen(sheet: Sheet) -> bool:
    """Whether anything stands of the cycle in hand that was not written beforehand."""
    written = sheet.places.get(IN_HAND, {})
    return bool(sheet.ticked.get(IN_HAND)) or any(one for name, one in written.items() if name not in BEFOREHAND)


def _in_words(written: str, about: Input) -> str:
    """What stands in a field, as far as it can be read."""
    try:
        return with_unit(float(written.replace(",", ".")), about.unit or "")
    except ValueError:
        return about.allowed.get(written, written) or "not stated"
