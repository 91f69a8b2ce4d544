"""Answer one question put to the freeze table: what does this freeze reach, and what does it look like?

The question names an applicator, a width, a contact time and a site; no patient and no rule. The answer is a band, or
the reason why there is none.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import cast

from typing_extensions import TypedDict

from decision.derived import MARGIN_MM
from decision.derived_freeze import backing_of
from decision.derived_ways import SITE_CLASS
from decision.far_side import far_side_estimate
from decision.freeze.answers import LIMITS, Applicator, FreezeEstimate, FreezeRefusal, SiteClass
from decision.freeze.cryogen import cryogen_validity
from decision.freeze.lookup import FreezeTable
from decision.freeze.pool import Pool
from decision.freeze.priors import SITES, SKIN_MM
from decision.freeze.section import Section
from decision.lesion_estimate import BASIS, thaw_note
from decision.recommendation import Band, FarSideEstimate, TableReference, TiltEstimate
from decision.tilt_estimate import RIM_MM, tilt_estimate

__all__ = [
    "PLACES",
    "FreezeAnswer",
    "FreezeBands",
    "FreezeQuestion",
    "answer_question",
    "asked_of",
    "class_of",
    "section_of",
]

PLACES = tuple(dict.fromkeys([*SITE_CLASS, *SITES]))  # the sites of a lesion, and the classes that they fall into
OF_THIN = "The band is that of deep tissue. An ear flap, a lid or skin on bone is thin: ice may cross it in that time."
OF_UNBACKED = "A thickness was stated, but not what lies behind the tissue: its far side cannot be timed."
OF_NO_CONE = "A tilt matters to a cone alone: what was stated of fill and degrees is not used."
OF_NO_FILL = "A tilt was stated, but not the fill: state fill_mm too for the band on either side of the pool."
OF_NO_TILT = "A fill was stated, but not the tilt: state degrees too for the band on either side of the pool."
OF_UNSTATED = "The cryogen was not stated; the band is that of an ether and hydrocarbon aerosol."
SKIN_DRAWN_MM = sum(SKIN_MM) / 2  # the middle of what the freeze model computes with
NARROWEST_MM = 0.5


@dataclass(frozen=True, slots=True)
class FreezeQuestion:
    """One freeze.

    Attributes:
        applicator: "cone" or "foam_tip".
        diameter_mm: Inner bore of the cone, or width of the tip, in mm.
        seconds: Contact, in seconds.
        site: One of PLACES.
        cycle: 1, 2 or 3.
        wait_after_thaw_s: Seconds of rest before cycles 2 and 3.
        cryogen: A code of the vocabulary; None for the one that the table was made for.
        observed_thaw_s: Seconds from lifting to the end of white, which narrow the band; None when not seen.
        lesion_width_mm: Width of the lesion in the picture; None for the widest that the applicator is meant for.
        lesion_height_mm: Its height in the picture.
        skin_mm: Thickness of the skin in the picture.
        fill_mm: Depth of the pool in a level cone; with `degrees`, for the band on either side.
        degrees: Tilt of the skin from level.
        thickness_mm: All the tissue between contact and far side, where it is thin.
        backing: What lies behind it: "air", "globe" or "bone"; None for what lies behind the site.
    """

    applicator: str
    diameter_mm: float
    seconds: float
    site: str
    cycle: int = 1
    wait_after_thaw_s: float = 60.0
    cryogen: str | None = None
    observed_thaw_s: float | None = None
    lesion_width_mm: float | None = None
    lesion_height_mm: float = 0.0
    skin_mm: float = SKIN_DRAWN_MM
    fill_mm: float | None = None
    degrees: float | None = None
    thickness_mm: float | None = None
    backing: str | None = None


class FreezeBands(TypedDict):
    """What one freeze reaches, as bands. A zone that vanishes is null."""

    ice_depth_mm: Band | None
    depth_minus25_mm: Band | None
    depth_minus40_mm: Band | None
    ice_past_edge_mm: Band | None
    radius_minus25_mm: Band | None
    thaw_s: Band | None
    surface_end_c: Band | None


class FreezeAnswer(TypedDict):
    """The freeze that was asked about, and what it reaches; or `estimate` null, and the reason."""

    basis: str
    freeze_table: TableReference
    applicator: str
    contact_diameter_mm: float
    contact_s: float
    site: str
    site_class: str
    cycle: int
    wait_after_thaw_s: float
    cryogen: str
    observed_thaw_s: float | None
    estimate: FreezeBands | None
    reason: str | None
    tilted: TiltEstimate | None
    far_side: FarSideEstimate | None
    tilt_note: str | None
    thaw_note: str | None
    tissue_note: str | None
    limits: str


def asked_of(table: FreezeTable, question: FreezeQuestion) -> FreezeEstimate | FreezeRefusal:
    """Ask the table. Where the cryogen was not validated there is no band."""
    if question.cryogen is not None and not cryogen_validity(question.cryogen).validated:
        return FreezeRefusal(cryogen_validity(question.cryogen).statement)
    applicator, site_class = cast("Applicator", question.applicator), cast("SiteClass", class_of(question.site))
    later = {"cycle": question.cycle, "wait_after_thaw_s": question.wait_after_thaw_s}
    where = (applicator, question.diameter_mm, question.seconds, site_class)
    if question.observed_thaw_s is None:
        return table.estimate(*where, **later)  # type: ignore[arg-type]
    return table.given_thaw(*where, question.observed_thaw_s, **later)  # type: ignore[arg-type]


def answer_question(
    table: FreezeTable, question: FreezeQuestion, found: FreezeEstimate | FreezeRefusal
) -> FreezeAnswer:
    """Write what the table said as data."""
    bands = None if isinstance(found, FreezeRefusal) else _bands(found)
    return {
        "basis": BASIS,
        "freeze_table": {"version": table.version, "digest": table.digest},
        "applicator": question.applicator,
        "contact_diameter_mm": question.diameter_mm,
        "contact_s": question.seconds,
        "site": question.site,
        "site_class": class_of(question.site),
        "cycle": question.cycle,
        "wait_after_thaw_s": question.wait_after_thaw_s,
        "cryogen": OF_UNSTATED if question.cryogen is None else cryogen_validity(question.cryogen).statement,
        "observed_thaw_s": question.observed_thaw_s,
        "estimate": bands,
        "reason": found.reason if isinstance(found, FreezeRefusal) else None,
        "tilted": None if bands is None else _tilted(table, question),
        "far_side": None if bands is None else _far_side(table, question),
        "tilt_note": _tilt_note(question),
        "thaw_note": None if bands is None else thaw_note(bands["thaw_s"]),
        "tissue_note": _tissue_note(question),
        "limits": LIMITS,
    }


def class_of(site: str) -> str:
    """The skin class of the freeze model that a place falls into."""
    return SITE_CLASS.get(site, site)


def section_of(question: FreezeQuestion, estimate: FreezeEstimate) -> Section:
    """What a cross-section of the freeze shows."""
    meant_for = max(question.diameter_mm - MARGIN_MM, NARROWEST_MM)
    return Section(
        estimate=estimate,
        applicator=question.applicator,
        contact_diameter_mm=question.diameter_mm,
        lesion_width_mm=meant_for if question.lesion_width_mm is None else question.lesion_width_mm,
        lesion_height_mm=question.lesion_height_mm,
        skin_mm=question.skin_mm,
        fat_below=SITES[class_of(question.site)].fat_below,
    )


def _behind(question: FreezeQuestion) -> str | None:
    return question.backing or backing_of({"site": question.site})


def _tissue_note(question: FreezeQuestion) -> str | None:
    """What the band of deep tissue does not say of this tissue."""
    if _behind(question) is not None:
        return OF_THIN
    return None if question.thickness_mm is None else OF_UNBACKED


def _far_side(table: FreezeTable, question: FreezeQuestion) -> FarSideEstimate | None:
    """When the cold is through, where a thickness was stated and it is known what lies behind."""
    backing = _behind(question)
    if backing is None or question.thickness_mm is None:
        return None
    return far_side_estimate(table, question.applicator, question.diameter_mm, backing, question.thickness_mm)


def _tilt_note(question: FreezeQuestion) -> str | None:
    """Why nothing is told of a tilt, where something was stated of one."""
    if question.fill_mm is None and question.degrees is None:
        return None
    if question.applicator != "cone":
        return OF_NO_CONE
    if question.fill_mm is None:
        return OF_NO_FILL
    return OF_NO_TILT if question.degrees is None else None


def _tilted(table: FreezeTable, question: FreezeQuestion) -> TiltEstimate | None:
    """What the tilt does to the first cycle, where a cone, its fill and a tilt were stated."""
    if question.applicator != "cone" or question.fill_mm is None or question.degrees is None:
        return None
    pool = Pool(question.diameter_mm, question.fill_mm, RIM_MM)
    return tilt_estimate(table, pool, question.degrees, question.seconds, class_of(question.site), in_words=True)


def _bands(found: FreezeEstimate) -> FreezeBands:
    said = asdict(found)
    del said["limits"]
    return cast("FreezeBands", said)
