"""What a form of the pages holds: what was written into each field, and which questions stood on the page.

A field is named by its place and its input: `patient.species`, `lesions.0.site`. This module reads the bytes of a form
and puts lesions in, copies them or takes them out. What a field means is for case.py to say.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from urllib.parse import parse_qsl

__all__ = ["Sheet", "read_sheet"]

MOST_FIELDS = 4000
TICKS = "ruled_out"
NAME = "lesion_id"
_KEPT = re.compile(r"cycles\.\d{1,4}")


@dataclass(slots=True)
class Sheet:
    """A form: by place, what stands in each of its fields, in the order of the page.

    Attributes:
        places: What was written, by place and input. A check list stands under its own name, ticked or not.
        shown: The inputs that stood on the page, by place, answered or not.
        aside: Those that stood aside, among the further questions.
        ticked: The check lists that were ticked, by place.
        frame: What belongs to no place: the date, the region, which button was pressed.
    """

    places: dict[str, dict[str, str]] = field(default_factory=dict)
    shown: dict[str, list[str]] = field(default_factory=dict)
    aside: dict[str, list[str]] = field(default_factory=dict)
    ticked: dict[str, list[str]] = field(default_factory=dict)
    frame: dict[str, str] = field(default_factory=dict)

    @property
    def lesions(self) -> list[str]:
        """The places of lesions, in order."""
        return [place for place in self.places if place.startswith("lesions.")]

    @property
    def cycles(self) -> list[str]:
        """The places of cycles that were kept for the chart, in order."""
        return [place for place in self.places if _KEPT.fullmatch(place)]

    def add_lesion(self) -> None:
        """Put in a lesion of which nothing is stated."""
        self._put({}, [])

    def repeat_lesion(self) -> None:
        """Put in a lesion like the last one. Its check list is not copied: nobody has checked the new one yet."""
        last = self.lesions[-1]
        copied = {name: written for name, written in self.places[last].items() if name != NAME}
        self._put(copied, list(self.shown.get(last, ())))

    def remove_lesion(self, place: str) -> None:
        """Take a lesion out, with all that was done and seen of it, and number the others anew."""
        self.clear(place)
        for one in [one for one in self.cycles if self.places[one].get("of") == place]:
            self.clear(one)
        if self.frame.get("for") == place:
            del self.frame["for"]
            for one in ("lesion", "cycle", "healing"):
                self.clear(one)
        self.renumber()

    def clear(self, place: str) -> None:
        """Take all out that stands at a place."""
        for held in (self.places, self.shown, self.aside, self.ticked):
            held.pop(place, None)

    def carry_into(self, place: str, other: str) -> None:
        """Copy what is stated at a place to another one."""
        if place in self.places:
            self.places[other] = dict(self.places[place])
        for held in (self.shown, self.aside, self.ticked):
            if place in held:
                held[other] = list(held[place])

    def renumber(self) -> None:
        """Number the lesions from 0, whatever a form called them."""
        for number, place in enumerate(self.lesions):
            if place != f"lesions.{number}":
                self._move_lesion(place, f"lesions.{number}")

    def _move_lesion(self, place: str, other: str) -> None:
        """Call a lesion by another place, and what belongs to it too."""
        self.places[other] = self.places.pop(place)
        for held in (self.shown, self.aside, self.ticked):
            if place in held:
                held[other] = held.pop(place)
        for one in self.cycles:
            if self.places[one].get("of") == place:
                self.places[one]["of"] = other
        if self.frame.get("for") == place:
            self.frame["for"] = other

    def _put(self, written: dict[str, str], shown: list[str]) -> None:
        number = len(self.lesions)
        names = {self.places[place].get(NAME) for place in self.lesions}
        name = next(one for one in (f"lesion-{n}" for n in range(number + 1, number + 99)) if one not in names)
        place = f"lesions.{number}"
        self.places[place] = {NAME: name, **written}
        self.shown[place] = shown


def read_sheet(body: bytes) -> Sheet:
    """Read the bytes of a form.

    Raises:
        ValueError: There are more fields than any page has.

    >>> sheet = read_sheet(b"patient.species=dog&shown=patient.species&lesions.0.site=&as_of=2026-11-24")
    >>> sheet.places["patient"], sheet.shown, sheet.frame
    ({'species': 'dog'}, {'patient': ['species']}, {'as_of': '2026-11-24'})
    """
    sheet = Sheet()
    text = body.decode("utf-8", "replace")
    for name, written in parse_qsl(text, keep_blank_values=True, max_num_fields=MOST_FIELDS):
        place, _, about = name.rpartition(".")
        if name in ("shown", "aside"):
            place, _, about = written.rpartition(".")
            held = sheet.shown if name == "shown" else sheet.aside
            held.setdefault(place, []).append(about)
        elif not place:
            sheet.frame[name] = written.strip()
        elif about == TICKS:
            sheet.places.setdefault(place, {})
            sheet.ticked.setdefault(place, []).append(written)
        else:
            sheet.places.setdefault(place, {})[about] = written.strip()
    sheet.renumber()
    return sheet
