"""March the state of a body on in super steps: compiled.

One super step is a second-order Runge-Kutta-Legendre step of many stages (Meyer, Balsara
and Aslam 2014, 10.1016/j.jcp.2013.08.021), which stays stable far beyond the plain
explicit limit. Each stage is conservative, and the boundary heat is carried through the
same stages, so that energy balances to rounding.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from decision.freeze.compiled import compiled
from decision.freeze.heat_flow import Films, Laws, State, conducts, look_up, rates
from decision.freeze.mesh import Mesh

__all__ = ["march"]

Array = NDArray[np.float64]


@compiled
def march(
    laws: Laws, mesh: Mesh, films: Films, state: State, work: Array,
    duration_s: float, first_s: float, longest_s: float, growth: float,
    limit_s: float, stilled: float, until_thawed: bool,
) -> float:  # fmt: skip
    """March the state on, in place.

    Args:
        laws: Freezing laws of the tissues.
        mesh: Cells and couplings.
        films: Boundary films, constant during the call.
        state: Changed in place.
        work: Scratch space, 5 x rows x columns.
        duration_s: How long, in seconds.
        first_s: Length of the first super step; each next one is `growth` times longer.
        longest_s: Longest super step.
        growth: Growth of the super step, 1 or more.
        limit_s: Longest stable plain explicit step.
        stilled: Share of perfusion that returns to tissue that has been below -1 C.
        until_thawed: Stop when the surface over the axis is back above 0 C.

    Returns:
        Seconds marched; with `until_thawed`, the moment of the crossing (0 when the surface was
        never below), or a negative number when it did not come.
    """
    start = state.enthalpy_j_m3
    rows, columns = start.shape
    warm = state.temperature_c
    latest, before, first, rate, flow = work[0], work[1], work[2], work[3], work[4]
    above = np.zeros(columns)
    below = np.zeros(columns)
    power = np.zeros(4)
    power_first = np.zeros(4)
    heat_latest = np.zeros(4)
    heat_before = np.zeros(4)
    passed = 0.0
    step = first_s
    half = 0.5 * (mesh.depth_m[1] - mesh.depth_m[0])
    latest[:] = 0.0
    look_up(laws, mesh, start, latest, warm, flow)
    inside = conducts(laws, mesh.tissue[0], start[0, 0])
    share = films.top_w_m2k[0] / (films.top_w_m2k[0] + inside / half)
    surface = warm[0, 0] + share * (films.top_c[0] - warm[0, 0])
    while passed < duration_s - 1e-9:
        step = min(step, longest_s, duration_s - passed)
        stages = int(np.ceil(0.5 * (np.sqrt(9.0 + 16.0 * step / limit_s) - 1.0)))
        stages = max(stages, 2)
        unit = 4.0 / (stages * stages + stages - 2.0)
        latest[:] = 0.0
        before[:] = 0.0
        heat_latest[:] = 0.0
        heat_before[:] = 0.0
        rates(laws, mesh, films, state, start, latest, warm, flow, first, power_first, above, below)
        push = unit / 3.0 * step
        for j in range(rows):
            for i in range(mesh.width[j]):
                latest[j, i] = push * first[j, i]
        heat_latest[:] = push * power_first
        b_old = 1.0 / 3.0
        b_older = 1.0 / 3.0
        for n in range(2, stages + 1):
            b_new = (n * n + n - 2.0) / (2.0 * n * (n + 1.0))
            keep = (2.0 * n - 1.0) / n * b_new / b_old
            older = -(n - 1.0) / n * b_new / b_older
            push = keep * unit * step
            pull = -(1.0 - b_old) * push
            look_up(laws, mesh, start, latest, warm, flow)
            rates(laws, mesh, films, state, start, latest, warm, flow, rate, power, above, below)
            for j in range(rows):
                for i in range(mesh.width[j]):
                    before[j, i] = (
                        keep * latest[j, i] + older * before[j, i]
                        + push * rate[j, i] + pull * first[j, i]
                    )  # fmt: skip
            heat_before[:] = keep * heat_latest + older * heat_before + push * power + pull * power_first
            latest, before = before, latest
            heat_latest, heat_before = heat_before, heat_latest
            b_older = b_old
            b_old = b_new
        for j in range(rows):
            for i in range(mesh.width[j]):
                start[j, i] += latest[j, i]
        state.heat_j[:] += heat_latest
        latest[:] = 0.0
        look_up(laws, mesh, start, latest, warm, flow)
        for j in range(rows):
            for i in range(mesh.width[j]):
                if warm[j, i] < state.coldest_c[j, i]:
                    if state.coldest_c[j, i] >= -1.0 and warm[j, i] < -1.0:
                        state.perfusion_w_m3k[j, i] *= stilled
                    state.coldest_c[j, i] = warm[j, i]
        inside = conducts(laws, mesh.tissue[0], start[0, 0])
        share = films.top_w_m2k[0] / (films.top_w_m2k[0] + inside / half)
        surface_now = warm[0, 0] + share * (films.top_c[0] - warm[0, 0])
        state.surface_min_c[0] = min(state.surface_min_c[0], surface_now)
        passed += step
        if until_thawed and surface_now > 0.0:
            if surface < 0.0:
                return float(passed - step * surface_now / (surface_now - surface))
            return passed - step
        surface = surface_now
        step *= growth
    return -1.0 if until_thawed else passed
