"""What tissue is made of, and how it freezes over a range of temperature.

Tissue water is a dilute solution: it starts to freeze at T_f, half of it is ice at
2 T_f, and the rest follows slowly. The ice fraction is 1 - T_f/T below T_f. Heat
content (enthalpy) is counted from 0 at T_f, unfrozen; conductivity and heat capacity
follow the ice fraction. Temperatures are in degrees Celsius throughout.

Sources: porcine dermis conductivity 0.37 W/mK and human 0.29-0.54 (PMC5459687 and the
skin literature it cites); frozen conductivity from the series model of meat proteins
(Agric Biol Chem 46(5):1235); spread of liver data (PubMed 34279321); few data below
-40 C (Choi and Bischof 2010, 10.1016/j.cryobiol.2009.11.004). Fat, frozen heat capacity,
latent heat and T_f are textbook values from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "FAT",
    "SKIN",
    "FreezingLaw",
    "Tissue",
    "enthalpy_j_m3",
    "ice_fraction",
    "kirchhoff_w_m",
    "range_law",
]

Array = NDArray[np.float64]

NODE_J_M3 = 0.3e6
# The heat that nodes reach to: beyond that of every tissue of the priors at -200 C, and at 60 C.
LEAST_J_M3 = -750e6
MOST_J_M3 = 260e6


@dataclass(frozen=True, slots=True)
class Tissue:
    """One material.

    Units are in the names: W/mK, J/m3K, J/m3, 1/s, W/m3. Perfusion is the volume of
    blood through a volume of tissue in a second.
    """

    unfrozen_w_mk: float = 0.40
    frozen_w_mk: float = 1.30
    unfrozen_j_m3k: float = 3.70e6
    frozen_j_m3k: float = 2.00e6
    latent_j_m3: float = 205e6
    freezes_at_c: float = -0.6
    perfusion_1_s: float = 1.0e-3
    metabolic_w_m3: float = 600.0


SKIN = Tissue()
FAT = Tissue(
    unfrozen_w_mk=0.21,
    frozen_w_mk=0.25,
    unfrozen_j_m3k=2.1e6,
    frozen_j_m3k=1.7e6,
    latent_j_m3=45e6,
    perfusion_1_s=0.5e-3,
    metabolic_w_m3=300.0,
)


@dataclass(frozen=True, slots=True)
class FreezingLaw:
    """Temperature, heat-flow potential and conductivity, tabulated over enthalpy.

    Each array has one value for each node; nodes are NODE_J_M3 apart and node
    `zero_node` is the start of freezing, where enthalpy and potential are 0.
    """

    temperature_c: Array
    potential_w_m: Array
    conductivity_w_mk: Array
    zero_node: int


def ice_fraction(tissue: Tissue, temperature_c: Array) -> Array:
    """Share of the freezable water that is ice, 0 to 1, at each temperature in C."""
    colder = np.minimum(temperature_c, tissue.freezes_at_c)
    return np.asarray(1.0 - tissue.freezes_at_c / colder, dtype=np.float64)


def enthalpy_j_m3(tissue: Tissue, temperature_c: Array) -> Array:
    """Heat content in J/m3 at each temperature in C, from 0 at the start of freezing."""
    sensible = _integral(tissue.unfrozen_j_m3k, tissue.frozen_j_m3k, tissue.freezes_at_c, temperature_c)
    return sensible - tissue.latent_j_m3 * ice_fraction(tissue, temperature_c)


def kirchhoff_w_m(tissue: Tissue, temperature_c: Array) -> Array:
    """Conductivity integrated over temperature, W/m: its differences carry the heat."""
    return _integral(tissue.unfrozen_w_mk, tissue.frozen_w_mk, tissue.freezes_at_c, temperature_c)


def range_law(tissue: Tissue) -> FreezingLaw:
    """Tabulate tissue that freezes over a range (dilute solution)."""
    nodes, zero_node = _nodes()
    trial = np.concatenate(
        [
            np.linspace(-700.0, -40.0, 2000),
            np.linspace(-40.0, tissue.freezes_at_c, 12000)[1:],
            np.linspace(tissue.freezes_at_c, 300.0, 400)[1:],
        ]
    )
    temperature = np.interp(nodes, enthalpy_j_m3(tissue, trial), trial)
    ice = ice_fraction(tissue, temperature)
    return FreezingLaw(
        temperature_c=temperature,
        potential_w_m=kirchhoff_w_m(tissue, temperature),
        conductivity_w_mk=_blend(tissue.unfrozen_w_mk, tissue.frozen_w_mk, ice),
        zero_node=zero_node,
    )


def _nodes() -> tuple[Array, int]:
    """Enthalpy nodes from LEAST_J_M3 to MOST_J_M3, and which of them is 0."""
    below = int(-LEAST_J_M3 / NODE_J_M3)
    above = int(MOST_J_M3 / NODE_J_M3)
    return NODE_J_M3 * np.arange(-below, above + 1, dtype=np.float64), below


def _blend(unfrozen: float, frozen: float, ice: Array) -> Array:
    return unfrozen + (frozen - unfrozen) * ice


def _integral(unfrozen: float, frozen: float, freezes_at_c: float, temperature_c: Array) -> Array:
    """Integral from T_f of a property that follows the ice fraction."""
    colder = np.minimum(temperature_c, freezes_at_c)
    warmer = np.maximum(temperature_c, freezes_at_c)
    below = frozen * (colder - freezes_at_c) - (frozen - unfrozen) * freezes_at_c * np.log(colder / freezes_at_c)
    return np.asarray(below + unfrozen * (warmer - freezes_at_c), dtype=np.float64)
