"""What a cross-section shows: measures in millimetres, and the shape of a front.

The table gives the depth of a front on the axis and its radius. The line between them is
drawn as a smooth curve and is not computed; the pictures say so.
"""

from __future__ import annotations

from dataclasses import dataclass

from decision.freeze.answers import Band, FreezeEstimate
from decision.freeze.ranges import check_number

__all__ = ["Front", "Section", "checked", "depth_at_mm", "fronts", "half_width_mm"]

# Flat in the middle, round at the edge.
ROUNDNESS = 2.6


@dataclass(frozen=True, slots=True)
class Section:
    """A lesion on skin under an applicator, and what was estimated for it.

    Widths and heights in millimetres; `skin_mm` is the thickness of the skin, with fat
    below it where `fat_below` is set.
    """

    estimate: FreezeEstimate
    applicator: str
    contact_diameter_mm: float
    lesion_width_mm: float
    lesion_height_mm: float
    skin_mm: float
    fat_below: bool


@dataclass(frozen=True, slots=True)
class Front:
    """One front: how deep on the axis and how far from the axis, in millimetres."""

    depth_mm: float
    radius_mm: float


def checked(section: Section) -> Section:
    """Accept a section that can be drawn.

    Raises:
        NotCovered: A measure is out of range.
    """
    check_number("contact_diameter_mm", section.contact_diameter_mm, 2, 15, unit="mm")
    check_number("lesion_width_mm", section.lesion_width_mm, 0.5, 30, unit="mm")
    check_number("lesion_height_mm", section.lesion_height_mm, 0, 15, unit="mm")
    check_number("skin_mm", section.skin_mm, 0.3, 10, unit="mm")
    return section


def fronts(section: Section, *, cold: bool) -> dict[str, Front]:
    """The fronts at p10, p50 and p90: of the ice, or of the zone colder than -25 C.

    A front that is not there is left out. The -25 C zone without a radius is drawn as
    wide as it is likely to be: half a millimetre inside the contact.
    """
    estimate = section.estimate
    radius = 0.5 * section.contact_diameter_mm
    depths = estimate.depth_minus25_mm if cold else estimate.ice_depth_mm
    if depths is None:
        return {}
    if cold:
        widths = estimate.radius_minus25_mm or Band(radius - 0.5, radius - 0.5, radius - 0.5)
    else:
        past = estimate.ice_past_edge_mm or Band(0.0, 0.0, 0.0)
        widths = Band(radius + past.p10, radius + past.p50, radius + past.p90)
    pairs = {
        "p10": (depths.p10, widths.p10),
        "p50": (depths.p50, widths.p50),
        "p90": (depths.p90, widths.p90),
    }
    return {name: Front(deep, wide) for name, (deep, wide) in pairs.items() if deep > 0.0 and wide > 0.0}


def depth_at_mm(front: Front | None, from_axis_mm: float) -> float:
    """Depth of a front at a distance from the axis; 0 beyond it or without one.

    >>> depth_at_mm(Front(2.0, 3.0), 0.0), depth_at_mm(Front(2.0, 3.0), 3.0)
    (2.0, 0.0)
    """
    if front is None or abs(from_axis_mm) >= front.radius_mm:
        return 0.0
    share = abs(from_axis_mm) / front.radius_mm
    return float(front.depth_mm * (1.0 - share**ROUNDNESS) ** (1.0 / ROUNDNESS))


def half_width_mm(section: Section) -> float:
    """Half of the width to draw: everything, and two millimetres of skin beyond."""
    widest = [front.radius_mm for front in fronts(section, cold=False).values()]
    return max(0.5 * section.contact_diameter_mm, 0.5 * section.lesion_width_mm, *widest, 0.0) + 2.0
