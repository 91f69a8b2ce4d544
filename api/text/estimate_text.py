"""Print the freeze estimate: bands, cycle by cycle, always said to be computed and not measured."""

from __future__ import annotations

from rich.console import Console

from api.text.input_words import with_unit
from api.text.layout import heading, item, paragraph
from decision.freeze.thin_tissue import WITHIN_S
from decision.recommendation import (
    ApplicatorEstimate,
    Band,
    CycleEstimate,
    Estimate,
    FarSideEstimate,
    SecondsBand,
    SideEstimate,
    TiltEstimate,
)

__all__ = ["band_in_words", "cycle_in_words", "no_band", "show_estimate", "show_far_side", "show_tilt",
           "side_in_words", "through_in_words"]  # fmt: skip

BEHIND = {"air": "air behind", "globe": "on the globe", "bone": "on bone"}
NEVER = f"not within {WITHIN_S:.0f} s"
DECIMALS = {"mm": 1, "s": 0}  # no finer than the table is exact


def show_estimate(console: Console, estimate: Estimate) -> None:
    """Print the bands for each applicator, or why there are none, and what they do not show."""
    heading(console, f"Estimate ({estimate['basis']})")
    paragraph(console, estimate["cryogen"])
    for one in estimate["by_applicator"]:
        _show_applicator(console, one)
    table = estimate["freeze_table"]
    paragraph(console, f"{estimate['limits']} Freeze table {table['version']}.")


def band_in_words(band: Band | None, unit: str) -> str:
    """A band as its outer quantiles and its middle.

    >>> band_in_words({"p10": 45.2, "p50": 69.0, "p90": 92.4}, "s")
    '45 to 92 s (middle 69)'
    >>> band_in_words({"p10": 1.42, "p50": 1.84, "p90": 2.26}, "mm")
    '1.4 to 2.3 mm (middle 1.8)'
    >>> band_in_words(None, "mm")
    'none'
    """
    if band is None:
        return "none"
    low, middle, high = (f"{band[quantile]:.{DECIMALS[unit]}f}" for quantile in ("p10", "p50", "p90"))
    return f"{low} to {high} {unit} (middle {middle})"


def no_band(reason: str | None) -> str:
    """Say that there is no band, once, and why.

    >>> no_band("contact_s is 41; it must be from 5 to 40 s.")
    'No band: contact_s is 41; it must be from 5 to 40 s.'
    >>> no_band("No band: nothing was computed.")
    'No band: nothing was computed.'
    """
    return f"No band: {str(reason).removeprefix('No band: ')}"


def cycle_in_words(cycle: CycleEstimate) -> str:
    """One cycle of an estimate: every band in one sentence."""
    parts = (
        f"ice to a depth of {band_in_words(cycle['ice_depth_mm'], 'mm')}",
        f"-25 C to a depth of {band_in_words(cycle['depth_minus25_mm'], 'mm')}",
        f"ice past the edge {band_in_words(cycle['ice_past_edge_mm'], 'mm')}",
        f"thaw {band_in_words(cycle['thaw_s'], 's')}",
    )
    return f"cycle {cycle['cycle']}: {'; '.join(parts)}"


def side_in_words(side: SideEstimate) -> str:
    """One side of a tilted pool: how deep, how long wet, and what that reaches.

    >>> ice, cold = {"p10": 1.1, "p50": 1.6, "p90": 2.1}, {"p10": 0.0, "p50": 0.4, "p90": 0.9}
    >>> side = {"depth_mm": 3.93, "contact_s": 15.7, "ice_depth_mm": ice, "depth_minus25_mm": cold, "refused": None}
    >>> side_in_words(side)
    '3.9 mm, wet 15.7 s: ice 1.1 to 2.1 mm (middle 1.6); -25 C 0.0 to 0.9 mm (middle 0.4)'
    """
    stands = f"{side['depth_mm']:.1f} mm, wet {side['contact_s']:.1f} s"
    if side["refused"] is not None:
        return f"{stands}: no band; {side['refused']}"
    ice, cold = (band_in_words(side["ice_depth_mm"], "mm"), band_in_words(side["depth_minus25_mm"], "mm"))
    return f"{stands}: ice {ice}; -25 C {cold}"


def through_in_words(band: SecondsBand | None) -> str:
    """A band of a time that may never come.

    >>> through_in_words({"p10": 8.2, "p50": 12.0, "p90": None, "never_share": 0.25})
    'in one freeze of ten by 8 s, in half by 12 s; not within 60 s in 25 % of draws'
    >>> through_in_words({"p10": None, "p50": None, "p90": None, "never_share": 1.0})
    'not within 60 s in 100 % of draws'
    """
    if band is None:
        return NEVER
    quantiles = (("one freeze of ten", band["p10"]), ("half", band["p50"]), ("nine of ten", band["p90"]))
    said = ", ".join(f"in {part} by {seconds:.0f} s" for part, seconds in quantiles if seconds is not None)
    never = f"{NEVER} in {100 * band['never_share']:.0f} % of draws" if band["never_share"] else ""
    return "; ".join(filter(None, (said, never)))


def show_far_side(console: Console, far: FarSideEstimate) -> None:
    """Print after how many seconds the cold is through thin tissue, or why that cannot be said."""
    thick = with_unit(far["thickness_mm"], "mm")
    item(console, "-", f"far side of {thick}, {BEHIND[far['backing']]}, cycle 1", depth=1, style="")
    if far["refused"] is not None:
        paragraph(console, far["refused"], depth=2)
    else:
        strong = NEVER if far["strong_s"] is None else f"after {far['strong_s']:.0f} s"
        paragraph(console, f"with firm contact ice {strong}", depth=2)
        paragraph(console, f"ice {through_in_words(far['ice_s'])}", depth=2)
        paragraph(console, f"-25 C {through_in_words(far['minus25_s'])}", depth=2)
    paragraph(console, far["rests_on"], depth=2)


def show_tilt(console: Console, tilt: TiltEstimate) -> None:
    """Print what a tilt does to the first cycle of a cone, or why the pool does not stand."""
    fill, degrees = with_unit(tilt["fill_mm"], "mm"), with_unit(tilt["degrees"], "degrees")
    item(console, "-", f"filled to {fill} and tilted by {degrees}, cycle 1", depth=1, style="")
    if tilt["by_side"] is None:
        paragraph(console, str(tilt["refused"]), depth=2)
    else:
        paragraph(console, f"shallow side {side_in_words(tilt['by_side']['shallow'])}", depth=2)
        paragraph(console, f"deep side {side_in_words(tilt['by_side']['deep'])}", depth=2)
    paragraph(console, tilt["rests_on"], depth=2)


def _show_applicator(console: Console, one: ApplicatorEstimate) -> None:
    size = "" if one["contact_diameter_mm"] is None else f", {with_unit(one['contact_diameter_mm'], 'mm')} across"
    held = "" if one["contact_s"] is None else f", held {with_unit(one['contact_s'], 's')}"
    item(console, "-", f"{one['applicator'].replace('_', ' ')}{size}{held}")
    for cycle in one["by_cycle"]:
        item(console, "-", cycle_in_words(cycle), depth=1, style="")
    if one["tilted"] is not None:
        show_tilt(console, one["tilted"])
    if one["far_side"] is not None:
        show_far_side(console, one["far_side"])
    if one["refused"] is not None:
        paragraph(console, f"No estimate: {one['refused']}", depth=1)
