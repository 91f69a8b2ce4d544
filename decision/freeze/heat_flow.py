"""Heat flow between rings of tissue at one moment: compiled, and conservative.

Enthalpy (J/m3) gives temperature and potential through the freezing laws; potential
differences carry heat inside one tissue, temperature differences and two half cells in
series between tissues, films at every bare face.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from decision.freeze.compiled import compiled
from decision.freeze.mesh import Mesh

__all__ = ["Films", "Laws", "State", "conducts", "look_up", "rates"]

Array = NDArray[np.float64]
Count = NDArray[np.int64]


class Laws(NamedTuple):
    """Freezing laws of all tissues (tissues x nodes), and blood and metabolism of each."""

    temperature_c: Array
    potential_w_m: Array
    conductivity_w_mk: Array
    nodes_m3_j: float
    zero_node: int
    metabolic_w_m3: Array
    blood_c: float


class Films(NamedTuple):
    """What touches the tissue: film coefficient and temperature of every bare face.

    Top films have one value a column, side films (of a raised lesion) one a row.
    `top_wet` and `side_wet` are 1 where the film is the cryogen and 0 where it is air.
    """

    top_w_m2k: Array
    top_c: Array
    top_wet: Count
    side_w_m2k: Array
    side_c: Array
    side_wet: Count
    bottom_w_m2k: float
    bottom_c: float


class State(NamedTuple):
    """Everything that changes: all arrays are rows x columns but the last two.

    `heat_j` holds heat into the tissue from cryogen, air, blood and metabolism, and
    backing. `surface_min_c` is the coldest the skin over the axis has been.
    """

    enthalpy_j_m3: Array
    temperature_c: Array
    coldest_c: Array
    perfusion_w_m3k: Array
    heat_j: Array
    surface_min_c: Array


@compiled
def look_up(laws: Laws, mesh: Mesh, start: Array, change: Array, warm: Array, flow: Array) -> None:
    """Fill `warm` (C) and `flow` (W/m) from the enthalpy `start + change`."""
    rows, columns = start.shape
    last = laws.temperature_c.shape[1] - 2
    for j in range(rows):
        temperature = laws.temperature_c[mesh.tissue[j]]
        potential = laws.potential_w_m[mesh.tissue[j]]
        for i in range(columns):
            place = (start[j, i] + change[j, i]) * laws.nodes_m3_j + laws.zero_node
            node = min(max(int(place), 0), last)
            part = place - node
            low = temperature[node]
            warm[j, i] = low + part * (temperature[node + 1] - low)
            low = potential[node]
            flow[j, i] = low + part * (potential[node + 1] - low)


@compiled
def conducts(laws: Laws, tissue: int, enthalpy: float) -> float:
    """Conductivity of one cell in W/mK."""
    place = enthalpy * laws.nodes_m3_j + laws.zero_node
    node = min(max(int(place), 0), laws.temperature_c.shape[1] - 2)
    low = laws.conductivity_w_mk[tissue, node]
    return float(low + (place - node) * (laws.conductivity_w_mk[tissue, node + 1] - low))


@compiled
def rates(
    laws: Laws, mesh: Mesh, films: Films, state: State,
    start: Array, change: Array, warm: Array, flow: Array,
    rate: Array, power: Array, above: Array, below: Array,
) -> None:  # fmt: skip
    """Fill `rate` (W/m3) of every cell and `power` (W) through every boundary."""
    rows, columns = start.shape
    power[:] = 0.0
    exposed_from = 0
    for j in range(rows):
        wide = mesh.width[j]
        high = mesh.depth_m[j + 1] - mesh.depth_m[j]
        tissue = mesh.tissue[j]
        for i in range(exposed_from, wide):
            inside = conducts(laws, tissue, start[j, i] + change[j, i])
            through = 1.0 / (1.0 / films.top_w_m2k[i] + 0.5 * high / inside)
            above[i] = -through * (films.top_c[i] - warm[j, i])
            power[1 - films.top_wet[i]] -= above[i] * mesh.area_m2[i]
        exposed_from = wide
        if j == rows - 1:
            for i in range(wide):
                inside = conducts(laws, tissue, start[j, i] + change[j, i])
                through = 0.0
                if films.bottom_w_m2k > 0.0:
                    through = 1.0 / (1.0 / films.bottom_w_m2k + 0.5 * high / inside)
                below[i] = through * (films.bottom_c - warm[j, i])
                power[3] += below[i] * mesh.area_m2[i]
        elif tissue == mesh.tissue[j + 1]:
            for i in range(wide):
                below[i] = (flow[j + 1, i] - flow[j, i]) * mesh.down_1_m[j]
        else:
            next_high = mesh.depth_m[j + 2] - mesh.depth_m[j + 1]
            for i in range(wide):
                upper = conducts(laws, tissue, start[j, i] + change[j, i])
                lower = conducts(laws, mesh.tissue[j + 1], start[j + 1, i] + change[j + 1, i])
                resistance = 0.5 * high / upper + 0.5 * next_high / lower
                below[i] = (warm[j + 1, i] - warm[j, i]) / resistance
        made = laws.metabolic_w_m3[tissue]
        blood = 0.0
        for i in range(wide):
            source = 0.0
            if warm[j, i] > 0.0:
                source = state.perfusion_w_m3k[j, i] * (laws.blood_c - warm[j, i]) + made
            blood += source * mesh.area_m2[i]
            rate[j, i] = (below[i] - above[i]) / high + source
        power[2] += blood * high
        for i in range(wide - 1):
            sideways = (flow[j, i + 1] - flow[j, i]) * mesh.across_m[i]
            rate[j, i] += sideways / mesh.area_m2[i]
            rate[j, i + 1] -= sideways / mesh.area_m2[i + 1]
        if wide < columns:
            i = wide - 1
            inside = conducts(laws, tissue, start[j, i] + change[j, i])
            half = 0.5 * (mesh.radial_m[wide] - mesh.radial_m[i])
            through = 1.0 / (1.0 / films.side_w_m2k[j] + half / inside)
            gain = through * (films.side_c[j] - warm[j, i]) * 2.0 * np.pi * mesh.radial_m[wide]
            rate[j, i] += gain / mesh.area_m2[i]
            power[1 - films.side_wet[j]] += gain * high
        for i in range(wide):
            above[i] = below[i]
