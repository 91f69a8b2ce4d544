"""Read a frozen body: how deep and how wide tissue has been colder than a temperature."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from decision.freeze.heat_flow import Films
from decision.freeze.solver import Body

__all__ = ["depth_mm", "heat_drawn_j", "radius_mm", "reached_back", "surface_c"]

Array = NDArray[np.float64]


def depth_mm(body: Body, colder_than_c: float, *, now: bool = False) -> float:
    """Depth on the axis to which tissue has been colder than a temperature.

    Args:
        body: A body without raised rows.
        colder_than_c: The temperature in C.
        now: Read the present temperature instead of the coldest so far.

    Returns:
        Depth in millimetres; 0 when not even the surface has been that cold.
    """
    field = body.state.temperature_c if now else body.state.coldest_c
    level = 0.5 * (body.mesh.depth_m[1:] + body.mesh.depth_m[:-1])
    column = field[:, 0]
    if not now:
        level = np.concatenate([[0.0], level])
        column = np.concatenate([[min(body.state.surface_min_c[0], column[0])], column])
    return 1e3 * _crossing(level, column, colder_than_c, float(body.mesh.depth_m[-1]))


def radius_mm(body: Body, colder_than_c: float) -> float:
    """Widest distance from the axis at which tissue has been colder than a temperature."""
    middle = 0.5 * (body.mesh.radial_m[1:] + body.mesh.radial_m[:-1])
    rim = float(body.mesh.radial_m[-1])
    rows = (_crossing(middle, row, colder_than_c, rim) for row in body.state.coldest_c)
    return 1e3 * max(rows)


def surface_c(body: Body, on: Films) -> float:
    """Temperature of the skin surface on the axis in C, behind half a cell of tissue."""
    law = body.laws
    node = np.arange(law.temperature_c.shape[1]) - law.zero_node
    top = body.mesh.tissue[0]
    inside = float(np.interp(body.state.enthalpy_j_m3[0, 0] * law.nodes_m3_j, node, law.conductivity_w_mk[top]))
    half_m = 0.5 * float(body.mesh.depth_m[1] - body.mesh.depth_m[0])
    film = float(on.top_w_m2k[0])
    share = film / (film + inside / half_m)
    warm = float(body.state.temperature_c[0, 0])
    return warm + share * (float(on.top_c[0]) - warm)


def heat_drawn_j(body: Body) -> float:
    """Heat drawn by the cryogen so far, in joules."""
    return -float(body.state.heat_j[0])


def reached_back(body: Body, freezes_at_c: float) -> bool:
    """Whether the deepest cell on the axis has frozen."""
    return bool(body.state.coldest_c[-1, 0] < freezes_at_c)


def _crossing(place: Array, value: Array, colder_than: float, end: float) -> float:
    """Where the last stretch of cold values ends, between cell centres."""
    cold = np.nonzero(value < colder_than)[0]
    if cold.size == 0:
        return 0.0
    last = int(cold[-1])
    if last == value.size - 1:
        return end
    part = (colder_than - value[last]) / (value[last + 1] - value[last])
    return float(place[last] + part * (place[last + 1] - place[last]))
