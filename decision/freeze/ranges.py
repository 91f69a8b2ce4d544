"""Refuse what the table does not cover, in words; nothing is extrapolated."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

__all__ = ["NotCovered", "check_code", "check_diameter", "check_number"]


WHAT = {
    "contact_s": "a contact",
    "bore_mm": "a bore",
    "fill_mm": "a fill",
    "height_mm": "a height",
    "thickness_mm": "tissue",
    "observed_thaw_s": "a thaw",
    "wait_after_thaw_s": "a rest after the thaw",
}


class NotCovered(Exception):
    """A value outside the table. Kept inside the package: callers get a FreezeRefusal.

    `words` say it to somebody who typed no parameter; the message names the parameter.
    """

    def __init__(self, said: str, words: str = "") -> None:
        """Keep both ways to say it."""
        super().__init__(said)
        self.words = words


def check_number(
    name: str, value: object, low: float, high: float, *, unit: str, what: str = "", saying: str = "it must be"
) -> float:
    """Accept a number within a range, both ends included.

    Args:
        name: Name of the value, for the message.
        value: What was given.
        low: Least accepted value.
        high: Greatest accepted value.
        unit: Unit, for the message.
        what: What the value is of, in words; known for most.
        saying: What comes before the range in the message.

    Returns:
        The number.

    Raises:
        NotCovered: Not a number, or out of range.

    >>> check_number("contact_s", 41, 5, 40, unit="s")
    Traceback (most recent call last):
    decision.freeze.ranges.NotCovered: contact_s is 41; it must be from 5 to 40 s.
    """
    number = isinstance(value, int | float) and not isinstance(value, bool) and not math.isnan(value)
    if number and low <= value <= high:  # type: ignore[operator]
        return float(value)  # type: ignore[arg-type]
    wanted = f"{saying} from {low:g} to {high:g} {unit}.".replace(" .", ".")
    if not number:
        raise NotCovered(f"{name} is {value!r}; {wanted}")
    what = what or WHAT.get(name, "")
    words = f"The freeze model covers {what} of {low:g} to {high:g} {unit}, not of {value:g} {unit}." if what else ""
    raise NotCovered(f"{name} is {value:g}; {wanted}", words)


def check_code(name: str, value: object, allowed: Collection[str]) -> str:
    """Accept one of some codes.

    >>> check_code("site_class", "eyelid", ("trunk", "distal", "mucosa"))
    Traceback (most recent call last):
    decision.freeze.ranges.NotCovered: site_class is "eyelid"; it must be one of: trunk, \
distal, mucosa.
    """
    if isinstance(value, str) and value in allowed:
        return value
    raise NotCovered(f'{name} is "{value}"; it must be one of: {", ".join(allowed)}.')


def check_diameter(applicator: str, value: object, axis: Sequence[float]) -> float:
    """Accept a contact diameter that the table has for this applicator."""
    what = "a cone" if applicator == "cone" else "a foam tip"
    saying = f"for {what} it must be"
    return check_number("contact_diameter_mm", value, axis[0], axis[-1], unit="mm", what=what, saying=saying)
