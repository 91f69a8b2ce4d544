"""A column of tissue with cold on top and nothing lost sideways.

One dimension is the check on everything else: it has exact solutions, and it bounds the
depth that any applicator of finite width can reach. It says nothing about thaw, which
mostly comes from the side.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from decision.freeze import contour
from decision.freeze.contact import skin_of
from decision.freeze.mesh import column_mesh
from decision.freeze.priors import Draw
from decision.freeze.solver import Air, Body, Pace, cool, films, make_body, thaw, touched
from decision.freeze.tissue import FAT, NODE_J_M3, SKIN, FreezingLaw, Tissue, range_law

__all__ = ["deepest_ice_mm", "frozen_column", "sharp_law"]

Array = NDArray[np.float64]
PERFECT_W_M2K = 1e9
STEADY = Pace(first_s=0.002, longest_s=0.05, growth=1.1)


def frozen_column(
    tissue: Tissue,
    *,
    cell_mm: float,
    depth_mm: float,
    start_c: float,
    cryogen_c: float,
    contact_s: float,
    film_w_m2k: float = PERFECT_W_M2K,
    law: FreezingLaw | None = None,
) -> Body:
    """Freeze a bloodless column from the top, with equal cells.

    Args:
        tissue: The material; its perfusion and metabolism should be 0 for exact checks.
        cell_mm: Height of a cell.
        depth_mm: Depth of the column, insulated below.
        start_c: Starting temperature in C.
        cryogen_c: Temperature of the cold in C.
        contact_s: Seconds of contact.
        film_w_m2k: Film coefficient; perfect contact when not given.
        law: A freezing law in place of the freezing range.

    Returns:
        The column at the end of the contact; its cross-section is 1 m2.
    """
    faces = np.linspace(0.0, depth_mm, round(depth_mm / cell_mm) + 1)
    body = make_body(
        column_mesh(faces),
        (tissue,),
        start_c=np.full(faces.size - 1, start_c),
        blood_c=start_c,
        laws=None if law is None else (law,),
    )
    bare = films(body, Air(0.001, start_c))
    held = touched(bare, 1, film_w_m2k, cryogen_c)
    cool(body, held, contact_s, first_s=STEADY.first_s, pace=STEADY)
    return body


def deepest_ice_mm(one: Draw, contact_s: float, *, fat_below: bool) -> float:
    """Ice depth that perfect contact of unlimited width would reach, thaw included.

    Args:
        one: The draw; its contact film is not used.
        contact_s: Seconds of contact.
        fat_below: Whether fat lies under the skin.

    Returns:
        Depth in millimetres, a bound for every applicator.
    """
    faces = np.concatenate([np.arange(0.0, 8.0, 0.05), np.arange(8.0, 30.01, 0.5)])
    level = 0.5 * (faces[1:] + faces[:-1])
    layer = (level > one.skin_mm).astype(np.int64) if fat_below else np.zeros(level.size, np.int64)
    body = make_body(
        column_mesh(faces)._replace(tissue=layer),
        (skin_of(one), FAT),
        start_c=one.surface_c + (one.blood_c - one.surface_c) * (1.0 - np.exp(-level / 8.0)),
        blood_c=one.blood_c,
        stilled=one.stilled,
    )
    bare = films(body, Air(one.air_w_m2k, 22.0))
    cool(body, touched(bare, 1, PERFECT_W_M2K, one.cryogen_c), contact_s, first_s=0.002)
    thaw(body, bare, longest_s=2000.0)
    return contour.depth_mm(body, one.freezes_at_c)


def sharp_law(tissue: Tissue) -> FreezingLaw:
    """Tabulate a material that freezes at one temperature, to compare with Neumann."""
    over = range_law(SKIN)  # every law has the same nodes
    nodes = NODE_J_M3 * (np.arange(over.temperature_c.size, dtype=np.float64) - over.zero_node)
    liquid = np.maximum(nodes, 0.0) / tissue.unfrozen_j_m3k
    solid = np.minimum(nodes + tissue.latent_j_m3, 0.0) / tissue.frozen_j_m3k
    frozen = nodes < -0.5 * tissue.latent_j_m3
    return FreezingLaw(
        temperature_c=tissue.freezes_at_c + liquid + solid,
        potential_w_m=tissue.unfrozen_w_mk * liquid + tissue.frozen_w_mk * solid,
        conductivity_w_mk=np.where(frozen, tissue.frozen_w_mk, tissue.unfrozen_w_mk),
        zero_node=over.zero_node,
    )
