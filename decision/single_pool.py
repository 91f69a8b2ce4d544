"""Answer one question about the pool in a cone: how it stands when tilted, and what that does to the freeze.

Also how many millilitres a fill takes, and how many fills are left. Depths are geometry; the bands on either side are
those of the freeze table; two assumptions about the canister are stated in the answer.
"""

from __future__ import annotations

from dataclasses import dataclass

from typing_extensions import TypedDict

from decision.freeze.cryogen import cryogen_validity
from decision.freeze.lookup import FreezeTable
from decision.freeze.pool import CAUGHT_SHARE, DENSITY_G_ML, Pool, PoolRefusal, fills_left, pool_ml, tilted_pool
from decision.freeze.tilted import RESTS_ON
from decision.recommendation import Sides, TableReference
from decision.single_freeze import OF_UNSTATED, class_of
from decision.tilt_estimate import RIM_MM, sides_estimate

__all__ = ["FillCount", "PoolAnswer", "PoolDepths", "PoolQuestion", "TiltLine", "answer_pool"]

ONE_FILL_S = 20.0  # for which a fill stays wet at least: common practice, no source
TILTS = (0.0, 5.0, 10.0, 15.0, 20.0, 30.0)
STATEMENT = (
    f"Computed, not measured. Depths at right angles to the skin, by geometry. {RESTS_ON} Fills are counted with"
    f" a density of {DENSITY_G_ML[0]} to {DENSITY_G_ML[1]} g/ml and with {CAUGHT_SHARE[0] * 100:.0f} to "
    f"{CAUGHT_SHARE[1] * 100:.0f} % of what leaves the canister caught in the cone, an assumption without a source."
)


@dataclass(frozen=True, slots=True)
class PoolQuestion:
    """A cone, its fill, and how the site lies.

    Attributes:
        bore_mm: Inner diameter at the skin.
        fill_mm: Depth of the liquid when level.
        degrees: Tilt of the skin from level.
        rim_mm: Height of the rim above the skin.
        wall_degrees: How far the wall leans outwards.
        net_weight_g: Weight of the canister less its empty weight; None when it was not weighed.
        seconds: How long the fill stays wet when level.
        site: One of `single_freeze.PLACES`.
        cryogen: A code of the vocabulary; None for the one that the freeze table was made for.
    """

    bore_mm: float
    fill_mm: float
    degrees: float
    rim_mm: float = RIM_MM
    wall_degrees: float = 0.0
    net_weight_g: float | None = None
    seconds: float = ONE_FILL_S
    site: str = "trunk"
    cryogen: str | None = None


class PoolDepths(TypedDict):
    """Depth of the liquid at the wall on either side, and on the axis."""

    shallow_mm: float
    deep_mm: float
    axis_mm: float


class TiltLine(TypedDict):
    """The pool at one tilt: its depths and the band on either side, or why there is none (a dry side, or a spill)."""

    degrees: float
    depths: PoolDepths | None
    by_side: Sides | None
    reason: str | None


class FillCount(TypedDict):
    """How many fills a canister still holds: with dense liquid and much lost, and the other way round."""

    fewest: int
    most: int


class PoolAnswer(TypedDict):
    """The pool that was asked about: depths and the band on either side, or `depths` null and the reason.

    `by_side` is null where the freeze model was not validated for the cryogen, which `cryogen` then says.
    """

    bore_mm: float
    fill_mm: float
    degrees: float
    rim_mm: float
    wall_degrees: float
    seconds: float
    site: str
    site_class: str
    cryogen: str
    freeze_table: TableReference
    depths: PoolDepths | None
    by_side: Sides | None
    reason: str | None
    one_fill_ml: float | None
    net_weight_g: float | None
    fills_left: FillCount | None
    by_tilt: list[TiltLine]
    statement: str


def answer_pool(table: FreezeTable, question: PoolQuestion) -> PoolAnswer:
    """Say how the pool stands and what its sides reach, and at other tilts.

    >>> from decision.freeze.lookup import load_freeze_table
    >>> answer = answer_pool(load_freeze_table(), PoolQuestion(8, 5, 15))
    >>> round(answer["depths"]["deep_mm"] - answer["depths"]["shallow_mm"], 1), round(answer["one_fill_ml"], 2)
    (2.1, 0.25)
    >>> answer["by_side"]["shallow"]["contact_s"], answer["by_side"]["deep"]["contact_s"]
    (15.7, 24.3)
    >>> answer_pool(load_freeze_table(), PoolQuestion(12, 3, 30))["reason"]
    'One side is dry: at 30 degrees a fill of 3 mm in a bore of 12 mm needs at least 3.5 mm.'
    """
    asked, volume = _at(table, question, question.degrees), pool_ml(_pool(question))
    one_fill_ml = None if isinstance(volume, PoolRefusal) else round(volume, 4)
    return {
        "bore_mm": question.bore_mm,
        "fill_mm": question.fill_mm,
        "degrees": question.degrees,
        "rim_mm": question.rim_mm,
        "wall_degrees": question.wall_degrees,
        "seconds": question.seconds,
        "site": question.site,
        "site_class": class_of(question.site),
        "cryogen": OF_UNSTATED if question.cryogen is None else cryogen_validity(question.cryogen).statement,
        "freeze_table": {"version": table.version, "digest": table.digest},
        "depths": asked["depths"],
        "by_side": asked["by_side"],
        "reason": asked["reason"],
        "one_fill_ml": one_fill_ml,
        "net_weight_g": question.net_weight_g,
        "fills_left": _fills(question.net_weight_g, one_fill_ml),
        "by_tilt": [_at(table, question, degrees) for degrees in TILTS],
        "statement": STATEMENT,
    }


def _pool(question: PoolQuestion) -> Pool:
    return Pool(question.bore_mm, question.fill_mm, question.rim_mm, question.wall_degrees)


def _at(table: FreezeTable, question: PoolQuestion, degrees: float) -> TiltLine:
    pool = _pool(question)
    found = tilted_pool(pool, degrees)
    if isinstance(found, PoolRefusal):
        return {"degrees": degrees, "depths": None, "by_side": None, "reason": found.reason}
    depths: PoolDepths = {
        "shallow_mm": round(found.shallow_mm, 2),
        "deep_mm": round(found.deep_mm, 2),
        "axis_mm": round(found.axis_mm, 2),
    }
    modelled = question.cryogen is None or cryogen_validity(question.cryogen).validated
    line: TiltLine = {"degrees": degrees, "depths": depths, "by_side": None, "reason": None}
    if modelled:
        where = (degrees, question.seconds, class_of(question.site))
        line["by_side"] = sides_estimate(table, pool, found, *where, in_words=True)
    return line


def _fills(net_weight_g: float | None, one_fill_ml: float | None) -> FillCount | None:
    """Fills left; none where nothing was weighed, or a fill is too small or too large to count by."""
    if net_weight_g is None or one_fill_ml is None:
        return None
    left = fills_left(net_weight_g, one_fill_ml)
    return None if isinstance(left, PoolRefusal) else {"fewest": left.fewest, "most": left.most}
