"""A raised lesion standing in the pool: which share of it becomes cold enough.

The lesion is a cylinder of skin on flat skin, in the middle of a cone that is filled
above the skin. The pool bathes its top while the level is above it, its side up to the
level, and the ring of skin inside the cone; the level falls evenly to nothing. Tissue
above the level meets room air. Nominal contact only: no draws were run for this shape.
"""

from __future__ import annotations

import numpy as np

from decision.freeze.contact import ROOM_C, skin_of
from decision.freeze.heat_flow import Films
from decision.freeze.mesh import cylinder_mesh
from decision.freeze.priors import nominal
from decision.freeze.solver import Air, Body, cool, films, make_body, rest

__all__ = ["BATH_CELL_MM", "bathed_share"]

BATH_CELL_MM = 0.125
STEP_S = 0.25
AFTER_S = 3.0
COLD_C = -25.0
GROWTH = 1.25


def bathed_share(lesion_mm: float, height_mm: float, bore_mm: float, fill_mm: float, pool_s: float) -> float:
    """Share of the lesion's volume that reaches -25 C.

    Args:
        lesion_mm: Width of the lesion, a multiple of 0.25, less than the bore.
        height_mm: Height of the lesion above the skin, a multiple of 0.125.
        bore_mm: Inner diameter of the cone, a multiple of 0.25.
        fill_mm: Depth of the pool at first, above the skin.
        pool_s: Seconds until the pool has boiled off.

    Returns:
        Share from 0 to 1.
    """
    lesion_columns = round(0.5 * lesion_mm / BATH_CELL_MM)
    bore_columns = round(0.5 * bore_mm / BATH_CELL_MM)
    lesion_rows = round(height_mm / BATH_CELL_MM)
    body = _standing(lesion_columns, bore_columns, lesion_rows)
    bare = films(body, Air(10.0, ROOM_C))
    steps = round(pool_s / STEP_S)
    for step in range(steps):
        level_mm = fill_mm * (1.0 - (step + 0.5) / steps)
        on = _bathing(bare, lesion_columns, bore_columns, lesion_rows, level_mm)
        cool(body, on, STEP_S, first_s=0.01 if step == 0 else 0.1)
    rest(body, bare, AFTER_S)
    cold = body.state.coldest_c[:lesion_rows, :lesion_columns] <= COLD_C
    area = body.mesh.area_m2[:lesion_columns]
    return float((cold * area).sum() / (area.sum() * lesion_rows))


def _standing(lesion_columns: int, bore_columns: int, lesion_rows: int) -> Body:
    """Lesion and skin before the pool is poured."""
    one = nominal("cone", "trunk")
    fine_mm = BATH_CELL_MM * np.arange(bore_columns + 9, dtype=np.float64)
    radial = np.concatenate([fine_mm, fine_mm[-1] + _widening(14.0)])
    rows_mm = BATH_CELL_MM * np.arange(lesion_rows + 25, dtype=np.float64)
    depth = np.concatenate([rows_mm, rows_mm[-1] + _widening(14.0)])
    rows = depth.size - 1
    width = np.full(rows, radial.size - 1, dtype=np.int64)
    width[:lesion_rows] = lesion_columns
    below = np.maximum(0.5 * (depth[1:] + depth[:-1]) - lesion_rows * BATH_CELL_MM, 0.0)
    return make_body(
        cylinder_mesh(radial, depth, np.zeros(rows, dtype=np.int64), width),
        (skin_of(one),),
        start_c=one.surface_c + (one.blood_c - one.surface_c) * (1.0 - np.exp(-below / 8.0)),
        blood_c=one.blood_c,
        stilled=one.stilled,
    )


def _bathing(bare: Films, lesion: int, bore: int, rows: int, level_mm: float) -> Films:
    """Films while the pool stands at a level above the skin."""
    one = nominal("cone", "trunk")
    height = BATH_CELL_MM * (rows - 0.5 - np.arange(bare.side_c.size))
    side = (height < level_mm) & (height > 0.0)
    top = np.arange(bare.top_c.size) < bore
    top[:lesion] = level_mm > rows * BATH_CELL_MM
    film, cold = one.contact_w_m2k, one.cryogen_c
    return bare._replace(
        top_w_m2k=np.where(top, film, bare.top_w_m2k),
        top_c=np.where(top, cold, bare.top_c),
        top_wet=top.astype(np.int64),
        side_w_m2k=np.where(side, film, bare.side_w_m2k),
        side_c=np.where(side, cold, bare.side_c),
        side_wet=side.astype(np.int64),
    )


def _widening(length_mm: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Faces of cells that grow, at least as far as a length."""
    faces = [0.0]
    width = BATH_CELL_MM
    while faces[-1] < length_mm:
        width *= GROWTH
        faces.append(faces[-1] + width)
    return np.array(faces[1:])
