"""Answer one question about the pool in a cone: how deep on either side, how many millilitres, how many fills left.

Geometry, and two assumptions about the canister that the answer states.
"""

from __future__ import annotations

from dataclasses import dataclass

from typing_extensions import TypedDict

from decision.freeze.pool import CAUGHT_SHARE, DENSITY_G_ML, Pool, PoolRefusal, fills_left, pool_ml, tilted_pool

__all__ = ["FillCount", "PoolAnswer", "PoolDepths", "PoolQuestion", "TiltLine", "answer_pool"]

RIM_MM = 15.0
TILTS = (0.0, 5.0, 10.0, 15.0, 20.0, 30.0)
STATEMENT = (
    "Depths at right angles to the skin, by geometry. A band of the freeze table holds where the skin stays wet for "
    "the whole contact: the shallow side runs dry first, and for a side that is dry there is none. Fills are counted "
    f"with a density of {DENSITY_G_ML[0]} to {DENSITY_G_ML[1]} g/ml and with {CAUGHT_SHARE[0] * 100:.0f} to "
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
    """

    bore_mm: float
    fill_mm: float
    degrees: float
    rim_mm: float = RIM_MM
    wall_degrees: float = 0.0
    net_weight_g: float | None = None


class PoolDepths(TypedDict):
    """Depth of the liquid at the wall on either side, and on the axis."""

    shallow_mm: float
    deep_mm: float
    axis_mm: float


class TiltLine(TypedDict):
    """The same pool at another tilt: its depths, or why there is none (one side dry, or a spill)."""

    degrees: float
    depths: PoolDepths | None
    reason: str | None


class FillCount(TypedDict):
    """How many fills a canister still holds: with dense liquid and much lost, and the other way round."""

    fewest: int
    most: int


class PoolAnswer(TypedDict):
    """The pool that was asked about: its depths, or `depths` null and the reason."""

    bore_mm: float
    fill_mm: float
    degrees: float
    rim_mm: float
    wall_degrees: float
    depths: PoolDepths | None
    reason: str | None
    one_fill_ml: float | None
    net_weight_g: float | None
    fills_left: FillCount | None
    by_tilt: list[TiltLine]
    statement: str


def answer_pool(question: PoolQuestion) -> PoolAnswer:
    """Say how the pool stands, and at other tilts.

    >>> answer = answer_pool(PoolQuestion(8, 5, 15))
    >>> round(answer["depths"]["deep_mm"] - answer["depths"]["shallow_mm"], 1), round(answer["one_fill_ml"], 2)
    (2.1, 0.25)
    >>> answer_pool(PoolQuestion(12, 3, 30))["reason"]
    'One side is dry: at 30 degrees a fill of 3 mm in a bore of 12 mm needs at least 3.5 mm.'
    """
    pool = Pool(question.bore_mm, question.fill_mm, question.rim_mm, question.wall_degrees)
    asked, volume = _at(pool, question.degrees), pool_ml(pool)
    one_fill_ml = None if isinstance(volume, PoolRefusal) else round(volume, 4)
    return {
        "bore_mm": question.bore_mm,
        "fill_mm": question.fill_mm,
        "degrees": question.degrees,
        "rim_mm": question.rim_mm,
        "wall_degrees": question.wall_degrees,
        "depths": asked["depths"],
        "reason": asked["reason"],
        "one_fill_ml": one_fill_ml,
        "net_weight_g": question.net_weight_g,
        "fills_left": _fills(question.net_weight_g, one_fill_ml),
        "by_tilt": [_at(pool, degrees) for degrees in TILTS],
        "statement": STATEMENT,
    }


def _at(pool: Pool, degrees: float) -> TiltLine:
    found = tilted_pool(pool, degrees)
    if isinstance(found, PoolRefusal):
        return {"degrees": degrees, "depths": None, "reason": found.reason}
    depths: PoolDepths = {
        "shallow_mm": round(found.shallow_mm, 2),
        "deep_mm": round(found.deep_mm, 2),
        "axis_mm": round(found.axis_mm, 2),
    }
    return {"degrees": degrees, "depths": depths, "reason": None}


def _fills(net_weight_g: float | None, one_fill_ml: float | None) -> FillCount | None:
    """Fills left; none where nothing was weighed, or a fill is too small or too large to count by."""
    if net_weight_g is None or one_fill_ml is None:
        return None
    left = fills_left(net_weight_g, one_fill_ml)
    return None if isinstance(left, PoolRefusal) else {"fewest": left.fewest, "most": left.most}
