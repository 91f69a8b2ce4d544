"""The picture of a freeze in cross-section, from an answer: the first cycle of each applicator estimated."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from markupsafe import Markup

from decision.freeze.answers import Band, FreezeEstimate
from decision.freeze.cross_section import cross_section_svg
from decision.freeze.priors import SITES, SKIN_MM
from decision.freeze.ranges import NotCovered
from decision.freeze.section import Section
from decision.recommendation import ApplicatorEstimate, CycleEstimate, LesionAnswer
from decision.recommendation import Band as BandSaid

__all__ = ["SKIN_DRAWN_MM", "pictures_of"]

SKIN_DRAWN_MM = sum(SKIN_MM) / 2  # the middle of what the freeze model computes with


def pictures_of(lesion: LesionAnswer, stated: Mapping[str, Any], place: int) -> list[Markup]:
    """Draw what was estimated for a lesion; what cannot be drawn is left out."""
    estimate = lesion["estimate"]
    if estimate is None:
        return []
    return list(_drawn(estimate["by_applicator"], estimate["site_class"], stated, place))


def _drawn(
    estimates: list[ApplicatorEstimate], site_class: str | None, stated: Mapping[str, Any], place: int
) -> Iterator[Markup]:
    for number, one in enumerate(estimates):
        wide, size = stated.get("base_width_mm"), one["contact_diameter_mm"]
        if not one["by_cycle"] or wide is None or size is None or site_class not in SITES:
            continue
        section = Section(
            estimate=_estimated(one["by_cycle"][0]),
            applicator=one["applicator"],
            contact_diameter_mm=size,
            lesion_width_mm=wide,
            lesion_height_mm=stated.get("height_mm", 0.0),
            skin_mm=SKIN_DRAWN_MM,
            fat_below=SITES[site_class].fat_below,
        )
        try:
            # The picture is our own drawing: figures and fixed words, escaped where it is made.
            yield Markup(cross_section_svg(section, identifier=f"section-{place}-{number}"))
        except NotCovered:
            continue


def _estimated(cycle: CycleEstimate) -> FreezeEstimate:
    return FreezeEstimate(
        ice_depth_mm=_band(cycle["ice_depth_mm"]),
        depth_minus25_mm=_band(cycle["depth_minus25_mm"]),
        depth_minus40_mm=None,
        ice_past_edge_mm=_band(cycle["ice_past_edge_mm"]),
        radius_minus25_mm=None,
        thaw_s=_band(cycle["thaw_s"]),
        surface_end_c=None,
    )


def _band(said: BandSaid | None) -> Band | None:
    return None if said is None else Band(said["p10"], said["p50"], said["p90"])
