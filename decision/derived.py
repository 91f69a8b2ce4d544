"""Quantities computed from stated facts.

Each function takes the facts that are known and returns the quantity, or None. A quantity is unknown unless its value
is the same for every completion of what is stated. rules/vocabulary.yaml names the parents of each and the direction
in which it moves with them; a property test holds the functions to that.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from decision.derived_freeze import (
    MARGIN_MM,
    far_side_s,
    may_be_through,
    raised_share,
    reach_mm,
    site_class,
    thaw_against_band,
)
from decision.derived_ways import CLASSIC, CLOCKS, NATURE, SAMPLED, SNIPPED, Ways, any_of, ways_of
from decision.vocabulary import Value

__all__ = ["ALWAYS_KNOWN", "DERIVED", "MARGIN_MM", "Ways", "derive", "ways_of"]

Known = Mapping[str, Any]

MEASURABLE_MM = 0.5


def sampled(known: Known) -> bool | None:
    """Whether a sample gave a diagnosis. A sample that names nothing counts as none.

    Source: common practice, no source.

    >>> sampled({"diagnosis_basis": "nondiagnostic"})
    False
    >>> sampled({"diagnosis_basis": "cytology"}) is None
    True
    """
    return any_of(SAMPLED, known)


def diagnosis_nature(known: Known) -> str | None:
    """Which kind of disease the diagnosis is: unnamed, benign, other_care, malignant or infectious.

    Source: common practice, no source.

    >>> diagnosis_nature({"known_diagnosis": "papilloma"})
    'benign'
    """
    diagnosis = known.get("known_diagnosis")
    return None if diagnosis is None else NATURE[str(diagnosis)]


def clock_running(known: Known) -> bool | None:
    """Whether a young animal's lesion is still within the time in which such lesions usually go by themselves.

    Weeks: dog papilloma and histiocytoma 12, horse papilloma 17, cattle papilloma 52.

    Source: richman_2017 for dogs; otherwise common practice, no source.

    >>> wart = {"species": "dog", "known_diagnosis": "papilloma", "age_years": 1.0}
    >>> clock_running({**wart, "weeks_present": 11.0}), clock_running({**wart, "weeks_present": 12.0})
    (True, False)
    """
    return any_of(CLOCKS, known)


def classic_look(known: Known) -> bool | None:
    """Whether its look alone may name a lesion.

    Source: common practice, no source.

    >>> classic_look({"species": "cat"})
    False
    """
    return any_of(CLASSIC, known)


def snipped_first(known: Known) -> bool | None:
    """Whether the raised part is taken off before the freeze. In a patient that bleeds easily nothing is snipped.

    Source: common practice, no source.

    >>> snipped_first({"tissue_will_be_submitted": True, "bleeding_disorder": True})
    False
    >>> snipped_first({"tissue_will_be_submitted": True}) is None
    True
    """
    return any_of(SNIPPED, known)


def needed_bore_mm(known: Known) -> float | None:
    """Inner bore that a cone needs, in mm: base width and 1.5 mm.

    Source: the freeze model (the -25 C contour ends 0.4-0.5 mm inside the rim); no clinical source.

    >>> needed_bore_mm({"base_width_mm": 4.0})
    5.5
    """
    width = known.get("base_width_mm")
    return None if width is None else float(width) + MARGIN_MM


def height_to_width(known: Known) -> float | None:
    """Height over base width, without unit. Zero for a flat lesion, whatever its width.

    No rule reads it any more; rule book 2026.11.0, which can be asked for ever, names it.

    Source: geometry only.

    >>> height_to_width({"height_mm": 3.0, "base_width_mm": 2.0})
    1.5
    >>> height_to_width({"height_mm": 0.0})
    0.0
    """
    height, width = known.get("height_mm"), known.get("base_width_mm")
    if height == 0:
        return 0.0
    return None if height is None or width is None else float(height) / float(width)


def size_change(known: Known) -> str | None:
    """What became of a lesion by its width: gone, smaller, same (within half a millimetre), bigger.

    Source: half a millimetre is what can be measured at the table; common practice, no source.

    >>> size_change({"width_before_mm": 4.0, "width_now_mm": 4.5}), size_change({"width_now_mm": 0.0})
    ('same', 'gone')
    """
    before, now = known.get("width_before_mm"), known.get("width_now_mm")
    if now == 0:
        return "gone"
    if before is None or now is None:
        return None
    change = float(now) - float(before)
    if abs(change) <= MEASURABLE_MM:
        return "same"
    return "bigger" if change > 0 else "smaller"


def ice_past_lesion_mm(known: Known) -> float | None:
    """How far the ice reached past the edge of the lesion, in mm, by the widths stated; below 0 it fell short.

    Source: geometry only.

    >>> ice_past_lesion_mm({"contact_diameter_mm": 5.0, "ice_past_cone_mm": 0.5, "base_width_mm": 9.0})
    -1.5
    """
    widths = [known.get(name) for name in ("contact_diameter_mm", "ice_past_cone_mm", "base_width_mm")]
    if any(width is None for width in widths):
        return None
    across, past, lesion = (float(width) for width in widths if width is not None)
    return (across - lesion) / 2 + past


DERIVED: dict[str, Callable[[Known], Value | None]] = {
    "sampled": sampled,
    "diagnosis_nature": diagnosis_nature,
    "clock_running": clock_running,
    "classic_look": classic_look,
    "snipped_first": snipped_first,
    "needed_bore_mm": needed_bore_mm,
    "height_to_width": height_to_width,
    "site_class": site_class,
    "reach_mm": reach_mm,
    "raised_share": raised_share,
    "far_side_s": far_side_s,
    "thaw_against_band": thaw_against_band,
    "may_be_through": may_be_through,
    "ice_past_lesion_mm": ice_past_lesion_mm,
    "size_change": size_change,
}


# For proofs about rules. Known as soon as everything they are computed from is stated, whatever is stated:
ALWAYS_KNOWN = frozenset(
    {"needed_bore_mm", "height_to_width", "thaw_against_band", "ice_past_lesion_mm", "size_change"}
)
# Once known, still known when these inputs move up in risk:
STAYS_KNOWN = {"may_be_through": frozenset({"contact_seconds", "thickness_mm"})}
# Computed from the whole number in these inputs; a fraction does not count:
FLOORED = {"thaw_against_band": frozenset({"cycle_number"})}


def derive(known: Known) -> dict[str, Value]:
    """Every derived quantity that what is known settles."""
    found = {}
    for name, compute in DERIVED.items():
        value = compute(known)
        if value is not None:
            found[name] = value
    return found
