"""Read a FHIR Quantity in the unit that an input asks for. Units are UCUM codes; a unit in words is not read."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TypeGuard

from api.fhir.elements import Element

__all__ = ["amount", "ucum_of"]

UCUM = "http://unitsofmeasure.org"
COUNTED = ("lesions", "sessions", "freezes", "cycles")
_YEAR = 365.25

# How many of our unit one of the UCUM unit is.
_UNITS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "mm": {"mm": 1, "cm": 10, "m": 1_000},
        "kg": {"kg": 1, "g": 0.001, "[lb_av]": 0.45359237},
        "s": {"s": 1, "min": 60},
        "days": {"d": 1, "wk": 7},
        "weeks": {"wk": 1, "d": 1 / 7, "mo": _YEAR / 84, "a": _YEAR / 7},
        "years": {"a": 1, "mo": 1 / 12, "wk": 7 / _YEAR, "d": 1 / _YEAR},
        **{unit: {"1": 1, "{" + unit + "}": 1} for unit in COUNTED},
    }
)


def amount(value: Element, unit: str | None) -> float | None:
    """The amount of a Quantity, or of an integer that is a count; None for anything else.

    >>> amount(Element({"value": 0.6, "system": UCUM, "code": "cm"}), "mm")
    6.0
    >>> amount(Element({"value": 6, "unit": "mm"}), "mm") is None
    True
    """
    written = value.value
    if _number(written):
        return float(written) if unit in COUNTED else None
    number, factors = value.at("value").value, _UNITS.get(unit or "", {})
    factor = factors.get(value.text("code")) if value.text("system") == UCUM else None
    if factor is None or not _number(number) or value.at("comparator"):
        return None
    return round(float(number) * factor, 4)


def ucum_of(unit: str) -> str:
    """The UCUM code of one of our units."""
    return next(iter(_UNITS[unit]))


def _number(value: object) -> TypeGuard[int | float]:
    return isinstance(value, int | float) and not isinstance(value, bool)
