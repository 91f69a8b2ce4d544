"""How much of a raised lesion the pool makes cold enough: nominal only.

The share of the volume of a lesion, standing in the pool of a cone, that reaches -25 C.
Contact, cryogen and tissue have their most likely values; no band was computed for this
shape, so the share says which lesions are easy and which are not, and no more.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from decision.freeze.answers import FreezeRefusal
from decision.freeze.interpolation import place, sides
from decision.freeze.lookup import freeze_table_in_use
from decision.freeze.ranges import NotCovered, check_number

__all__ = ["RaisedShare", "raised_share"]

STATEMENT = (
    "Nominal values only, computed, not measured. A cylinder of skin in a pool that falls "
    "evenly to nothing in 20 s (3 mm fill) to 25 s (6 mm). Where the lesion is about as high as "
    "the fill, much of it lies within a few degrees of -25 C and the share swings. It estimates "
    "temperature, not cell death; under the lesion the zone at -25 C ends close to the plane of the skin."
)


@dataclass(frozen=True, slots=True)
class RaisedShare:
    """Share of the lesion's volume at or below -25 C, 0 to 1, and what it means."""

    share_minus25: float
    statement: str = STATEMENT


def raised_share(
    lesion_width_mm: float, height_mm: float, bore_mm: float, fill_mm: float
) -> RaisedShare | FreezeRefusal:
    """Look up the share of a raised lesion that is cooled to -25 C.

    Args:
        lesion_width_mm: 1 to 10 mm, and at least 1 mm less than the bore.
        height_mm: 1 to 4 mm above the skin.
        bore_mm: 4 to 12 mm.
        fill_mm: Depth of the pool when filled, 3 to 6 mm.

    Returns:
        The share, or a refusal with its reason.

    >>> raised_share(5, 2, 5, 4.5).reason
    'lesion_width_mm is 5; in a bore of 5 mm it must be 4 mm or less, so that the pool surrounds it.'
    """
    stored = freeze_table_in_use().file.raised
    given = {"bore_mm": bore_mm, "lesion_mm": lesion_width_mm, "fill_mm": fill_mm, "height_mm": height_mm}
    named = {"lesion_mm": "lesion_width_mm"}
    try:
        spots = [
            place(
                stored[axis],
                check_number(named.get(axis, axis), value, stored[axis][0], stored[axis][-1], unit="mm"),
            )
            for axis, value in given.items()
        ]
    except NotCovered as fault:
        return FreezeRefusal(str(fault), fault.words)
    if lesion_width_mm > bore_mm - 1.0:
        return FreezeRefusal(
            f"lesion_width_mm is {lesion_width_mm:g}; in a bore of {bore_mm:g} mm it must be "
            f"{bore_mm - 1.0:g} mm or less, so that the pool surrounds it."
        )
    share = 0.0
    for (bore, one), (lesion, two), (fill, three), (height, four) in product(*map(sides, spots)):
        found = stored["share"][bore][lesion][fill][height]
        if found is None:
            return FreezeRefusal("A width this close to the bore was not computed; use a wider bore.")
        share += one * two * three * four * found
    return RaisedShare(round(share, 3))
