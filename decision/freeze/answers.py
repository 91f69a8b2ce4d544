"""The question that is put to the table, and the answers it gives."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

__all__ = [
    "LIMITS",
    "THIN_BACKINGS",
    "THIN_LIMITS",
    "Applicator",
    "Backing",
    "Band",
    "FarSide",
    "Freeze",
    "FreezeEstimate",
    "FreezeRefusal",
    "Refusal",
    "SecondsBand",
    "SiteClass",
]

Applicator = Literal["cone", "foam_tip"]
SiteClass = Literal["trunk", "distal", "mucosa"]
Backing = Literal["deep", "air", "globe", "bone"]

LIMITS = (
    "Computed, not measured. Numerical error 0.08 mm and 1.5 s. The physical band is 10-90 % "
    "over contact, cryogen and tissue ranges; it rests on an energy balance of the pool and on "
    "two ex-vivo studies; no in-vivo animal measurement of this cryogen was available. It "
    "estimates temperature, not cell death."
)

THIN_BACKINGS: tuple[Backing, ...] = ("air", "globe", "bone")
THIN_LIMITS = (
    "Computed, not measured: seconds of contact until the far side is ice, or at -25 C, over contact, cryogen and "
    "tissue ranges. The films behind a lid (150 W/m2K) and behind skin on bone (300 W/m2K) are assumptions without a "
    "source and are not varied; no measurement on thin tissue was available. Sampling error is about a sixth of a "
    "time. It holds for the first cycle: a later one meets cooler tissue and is through sooner. Harm is judged by "
    "firm contact, which is earlier than the band."
)


@dataclass(frozen=True, slots=True)
class Band:
    """Three quantiles over all draws: in ten freezes, one is below p10 and one above p90."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class Freeze:
    """A freeze to be estimated.

    Diameter in millimetres, contact in seconds. `backing` is what lies under the tissue;
    bands of depths exist for "deep" only. `cycle` is 1, 2 or 3.
    """

    applicator: str
    contact_diameter_mm: float
    contact_s: float
    site_class: str
    backing: str = "deep"
    cycle: int = 1


@dataclass(frozen=True, slots=True)
class FreezeEstimate:
    """What a freeze reaches, by the coldest temperatures up to full thaw.

    A quantity is None where its zone vanishes: where even one freeze in ten does not have
    it. Depths are on the axis below the skin; `ice_past_edge_mm` is the ice seen past the
    edge of the contact, and is negative where the ice is narrower; `radius_minus25_mm` is
    from the axis; `thaw_s` runs from lifting until the surface is back above 0 C;
    `surface_end_c` is the skin surface at the end of the contact, p10 the coldest. A foam
    tip of 2 or 3 mm may be dry before 40 s; then thaw shortens with contact.
    """

    ice_depth_mm: Band | None
    depth_minus25_mm: Band | None
    depth_minus40_mm: Band | None
    ice_past_edge_mm: Band | None
    radius_minus25_mm: Band | None
    thaw_s: Band | None
    surface_end_c: Band | None
    limits: str = LIMITS


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why there is no answer: what is out of range, with the value and the range.

    `reason` names a parameter as it is asked by; `words` says it to somebody who asked by none, where that differs.
    """

    reason: str
    words: str = field(default="", compare=False, repr=False)

    @property
    def in_words(self) -> str:
        """The reason without the name of a parameter."""
        return self.words or self.reason


@dataclass(frozen=True, slots=True)
class FreezeRefusal(Refusal):
    """Why there is no estimate."""


@dataclass(frozen=True, slots=True)
class SecondsBand:
    """Quantiles of a time that may never come: None where it has not for more freezes than that within 60 s.

    `never_share` is the share of draws in which it does not come within 60 s, 0 to 1.
    """

    p10: float | None
    p50: float | None
    p90: float | None
    never_share: float


@dataclass(frozen=True, slots=True)
class FarSide:
    """Seconds of contact until the far side of thin tissue is reached; None means not within 60 s.

    `nominal_s` and `strong_s` are the seconds until it is ice for the most likely contact and for
    one as good as it may be; `ice_s` and `minus25_s` are bands over all draws.
    """

    nominal_s: float | None
    strong_s: float | None
    ice_s: SecondsBand
    minus25_s: SecondsBand
