"""Freeze and thaw a body of tissue: conduction, blood, and a freezing range.

A `Body` is a mesh with its tissues and its present state. `cool` and `thaw` march it on
in place; `branch` copies it, so that one freeze can be thawed from several moments.
Readings (depth, radius, surface temperature) are taken by `contour.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from decision.freeze.heat_flow import Films, Laws, State
from decision.freeze.kernel import march
from decision.freeze.mesh import Mesh
from decision.freeze.tissue import NODE_J_M3, FreezingLaw, Tissue, range_law

__all__ = ["Air", "Body", "Pace", "branch", "cool", "films", "make_body", "rest",
           "thaw", "touched"]  # fmt: skip

Array = NDArray[np.float64]
BLOOD_J_M3K = 3.8e6
SAFETY = 0.8


@dataclass(frozen=True, slots=True)
class Air:
    """Air over bare skin: film in W/m2K and temperature in C."""

    film_w_m2k: float = 10.0
    temperature_c: float = 22.0


@dataclass(frozen=True, slots=True)
class Pace:
    """Super steps in seconds: the first after a change, the longest, and the growth."""

    first_s: float = 0.02
    longest_s: float = 0.25
    growth: float = 1.15


COOLING = Pace()
THAWING = Pace(first_s=0.02, longest_s=0.5, growth=1.15)


@dataclass(frozen=True, slots=True)
class Body:
    """Tissue on a mesh, and its state. The arrays of the state change in place."""

    mesh: Mesh
    laws: Laws
    state: State
    work: Array
    diffusivity_m2_s: tuple[tuple[Array, Array], ...]
    coupling_1_m2: float
    stilled: float


def make_body(
    mesh: Mesh,
    tissues: tuple[Tissue, ...],
    *,
    start_c: Array,
    blood_c: float,
    stilled: float = 0.5,
    laws: tuple[FreezingLaw, ...] | None = None,
) -> Body:
    """Lay tissue on a mesh at its starting temperature.

    Args:
        mesh: Cells; `mesh.tissue` numbers the tissue of each row.
        tissues: Tissues by number.
        start_c: Starting temperature of each row in C.
        blood_c: Temperature of arterial blood in C.
        stilled: Share of perfusion, 0 to 1, left in tissue that has been below -1 C.
        laws: Freezing laws in place of the freezing range of `tissues`.

    Returns:
        The body at time 0.
    """
    chosen = laws or tuple(range_law(tissue) for tissue in tissues)
    shape = (mesh.tissue.size, mesh.area_m2.size)
    temperature = np.repeat(start_c[:, None], shape[1], axis=1)
    enthalpy = np.empty(shape)
    perfusion = np.empty(shape)
    for row, number in enumerate(mesh.tissue):
        law = chosen[number]
        node = np.arange(law.temperature_c.size) - law.zero_node
        enthalpy[row] = np.interp(start_c[row], law.temperature_c, node * NODE_J_M3)
        perfusion[row] = tissues[number].perfusion_1_s * BLOOD_J_M3K
    return Body(
        mesh=mesh,
        laws=Laws(
            temperature_c=np.array([law.temperature_c for law in chosen]),
            potential_w_m=np.array([law.potential_w_m for law in chosen]),
            conductivity_w_mk=np.array([law.conductivity_w_mk for law in chosen]),
            nodes_m3_j=1.0 / NODE_J_M3,
            zero_node=chosen[0].zero_node,
            metabolic_w_m3=np.array([tissue.metabolic_w_m3 for tissue in tissues]),
            blood_c=float(blood_c),
        ),
        state=State(enthalpy, temperature, temperature.copy(), perfusion, np.zeros(4), np.full(1, 99.0)),
        work=np.zeros((5, *shape)),
        diffusivity_m2_s=tuple(_diffusivity(law) for law in chosen),
        coupling_1_m2=_coupling(mesh),
        stilled=stilled,
    )


def films(body: Body, air: Air, *, backing_w_m2k: float = 0.0, backing_c: float = 22.0) -> Films:
    """Bare skin everywhere: air on top and on any side, a film or nothing behind."""
    rows, columns = body.state.enthalpy_j_m3.shape
    return Films(
        top_w_m2k=np.full(columns, air.film_w_m2k),
        top_c=np.full(columns, air.temperature_c),
        top_wet=np.zeros(columns, dtype=np.int64),
        side_w_m2k=np.full(rows, air.film_w_m2k),
        side_c=np.full(rows, air.temperature_c),
        side_wet=np.zeros(rows, dtype=np.int64),
        bottom_w_m2k=float(backing_w_m2k),
        bottom_c=float(backing_c),
    )


def touched(bare: Films, columns: int, film_w_m2k: float, cryogen_c: float) -> Films:
    """The same films with the cryogen on the first `columns` columns of the top."""
    top, cold, wet = bare.top_w_m2k.copy(), bare.top_c.copy(), bare.top_wet.copy()
    top[:columns] = film_w_m2k
    cold[:columns] = cryogen_c
    wet[:columns] = 1
    return bare._replace(top_w_m2k=top, top_c=cold, top_wet=wet)


def cool(body: Body, on: Films, duration_s: float, *, first_s: float, pace: Pace = COOLING) -> None:
    """March the body through contact with the cryogen.

    Args:
        body: Changed in place.
        on: Films during the contact.
        duration_s: Seconds of contact.
        first_s: First super step in seconds (short after a change of films).
        pace: Longest super step and its growth.
    """
    coldest = min(float(on.top_c.min()), float(on.side_c.min()), _coldest(body))
    march(
        body.laws, body.mesh, on, body.state, body.work, duration_s, first_s, pace.longest_s,
        pace.growth, _limit_s(body, coldest), body.stilled, False,
    )  # fmt: skip


def thaw(body: Body, bare: Films, *, longest_s: float, pace: Pace = THAWING) -> float | None:
    """Leave the body uncovered until the skin over the axis is back above 0 C.

    Args:
        body: Changed in place.
        bare: Films without the cryogen.
        longest_s: When to give up, in seconds.
        pace: Super steps.

    Returns:
        Seconds from lifting to the crossing of 0 C, or None when it did not come.
    """
    passed, first = 0.0, pace.first_s
    while passed < longest_s:
        piece = 2.0 if passed < 4.0 else 20.0
        seconds = march(
            body.laws, body.mesh, bare, body.state, body.work, piece, first, pace.longest_s,
            pace.growth, _limit_s(body, _coldest(body)), body.stilled, True,
        )  # fmt: skip
        if seconds >= 0.0:
            return passed + seconds
        passed, first = passed + piece, min(pace.longest_s, 0.1)
    return None


def rest(body: Body, bare: Films, duration_s: float) -> None:
    """Leave the body uncovered for some seconds, thawed or not."""
    if duration_s > 0.0:
        march(
            body.laws, body.mesh, bare, body.state, body.work, duration_s, 0.1,
            THAWING.longest_s, THAWING.growth, _limit_s(body, _coldest(body)), body.stilled, False,
        )  # fmt: skip


def branch(body: Body) -> Body:
    """Copy a body, so that the copy can go its own way."""
    return replace(body, state=State(*(array.copy() for array in body.state)))


def _coldest(body: Body) -> float:
    return float(body.state.temperature_c.min())


def _diffusivity(law: FreezingLaw) -> tuple[Array, Array]:
    """Temperatures, rising, and the largest diffusivity from each upwards, m2/s."""
    steep = np.append(np.diff(law.potential_w_m), 0.0) / NODE_J_M3
    return law.temperature_c, np.maximum.accumulate(steep[::-1])[::-1]


def _limit_s(body: Body, coldest_c: float) -> float:
    """Longest stable explicit step while nothing is colder than `coldest_c`."""
    fastest = 0.0
    for warm, steep in body.diffusivity_m2_s:
        place = max(int(np.searchsorted(warm, coldest_c)) - 1, 0)
        fastest = max(fastest, float(steep[place]))
    return SAFETY / (fastest * body.coupling_1_m2)


def _coupling(mesh: Mesh) -> float:
    """Largest sum of couplings of one cell, in 1/m2."""
    high = np.diff(mesh.depth_m)
    down = np.zeros(high.size)
    down[:-1] += mesh.down_1_m / high[:-1]
    down[1:] += mesh.down_1_m / high[1:]
    across = np.zeros(mesh.area_m2.size)
    across[:-1] += mesh.across_m / mesh.area_m2[:-1]
    across[1:] += mesh.across_m / mesh.area_m2[1:]
    return float(down.max() + across.max())
