"""Size the applicator from those at hand.

A cone wants an inner bore of base width + 1.5 mm and takes up to + 4 mm; a foam tip wants to be as wide as the
lesion and takes 2 mm more. When nothing at hand fits, the answer says which size would.

Source: the freeze model for the 1.5 mm; the rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from decision.derived import MARGIN_MM
from decision.recommendation import LesionAnswer, Method, Step, Window
from decision.vocabulary import Value

__all__ = ["APPLICATORS", "fitting", "not_now_steps", "obstacle", "wanted_diameter_mm", "with_obstacle"]

APPLICATORS = {"cone": "cone_bores_mm", "foam_tip": "foam_tips_mm"}
WIDEST_MM = {"cone": 40.0, "foam_tip": 7.0}  # a wider foam tip lies outside the freeze model
ROOM_MM = {"cone": (MARGIN_MM, 4.0), "foam_tip": (0.0, 2.0)}


def wanted_diameter_mm(applicator: str, known: Mapping[str, Value]) -> Window | None:
    """The contact diameters that suit a lesion, in mm.

    None where its width is not known, nothing is applied, or no size that the freeze model covers would do.

    >>> wanted_diameter_mm("cone", {"base_width_mm": 4.0})
    {'low': 5.5, 'high': 8.0}
    >>> wanted_diameter_mm("foam_tip", {"base_width_mm": 6.0})
    {'low': 6.0, 'high': 7.0}
    """
    width = known.get("base_width_mm")
    if applicator not in ROOM_MM or width is None:
        return None
    least, most = ROOM_MM[applicator]
    widest = WIDEST_MM[applicator]
    low = float(width) + least
    return Window(low=low, high=min(float(width) + most, widest)) if low <= widest else None


def fitting(wanted: Window, sizes_mm: Sequence[float]) -> float | None:
    """The smallest size at hand that fits, or None.

    >>> fitting({"low": 5.5, "high": 8.0}, [12.0, 8.0, 5.0])
    8.0
    """
    return min((size for size in sizes_mm if wanted["low"] <= size <= wanted["high"]), default=None)


def obstacle(method: Method | None, not_now: Sequence[str] = ()) -> str | None:
    """What stands against a freeze that is permitted, to be said in one breath with the permission.

    Args:
        method: With what it is frozen; None while that is open.
        not_now: Why nothing may be frozen as things stand, the dangers to people first.

    >>> obstacle(None)
    'with which applicator is still open'
    >>> obstacle(None, ["the canister is hot", "the room is not aired"])
    'not now: the canister is hot; the room is not aired'
    """
    if method is not None and method["available"] is False:
        return "neither a cone nor a foam tip will do" if method["applicator"] == "none" else "nothing at hand fits"
    if not_now:
        return f"not now: {'; '.join(not_now)}"
    return "with which applicator is still open" if method is None else None


def with_obstacle(said: str, against: str | None) -> str:
    """A verdict in words, and in the same breath what stands against the freeze that it permits."""
    return f"{said}, but {against}" if against else said


def not_now_steps(lesion: LesionAnswer) -> list[Step]:
    """The steps before which nothing may be frozen, of the answer for one lesion; the dangers to people first."""
    return [one for one in (*lesion["precautions"], *lesion["preparation"]) if "not_now" in one]
