"""Refuse what the table does not cover, in words; nothing is extrapolated."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

__all__ = ["NotCovered", "check_code", "check_diameter", "check_number"]


class NotCovered(Exception):
    """A value outside the table. Kept inside the package: callers get a FreezeRefusal."""


def check_number(name: str, value: object, low: float, high: float, *, unit: str, saying: str = "it must be") -> float:
    """Accept a number within a range, both ends included.

    Args:
        name: Name of the value, for the message.
        value: What was given.
        low: Least accepted value.
        high: Greatest accepted value.
        unit: Unit, for the message.
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
    raise NotCovered(f"{name} is {value:g}; {wanted}" if number else f"{name} is {value!r}; {wanted}")


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
    what = "cone" if applicator == "cone" else "foam tip"
    return check_number("contact_diameter_mm", value, axis[0], axis[-1], unit="mm", saying=f"for a {what} it must be")
