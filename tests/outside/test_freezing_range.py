"""The solver against the similarity solution of freezing over a range of temperature.

Heat conduction from a cold face into a uniform half space depends on depth / sqrt(time)
only. With s = depth / sqrt(t) and the Kirchhoff potential P, the equation is
P'' = -(s/2) C(T) T', T' = P' / k(T): an initial value problem, solved here by shooting
for the slope at the face that meets the starting temperature far away. Nothing of the
solver is used.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from decision.freeze.contour import depth_mm, heat_drawn_j
from decision.freeze.tissue import Tissue
from tests.decision.freeze.one_dimension import frozen_column

UNFROZEN_W_MK, FROZEN_W_MK = 0.40, 1.30
UNFROZEN_J_M3K, FROZEN_J_M3K = 3.7e6, 2.0e6
LATENT_J_M3, FREEZES_C, COLD_C, START_C = 215e6, -0.6, -55.0, 34.0
SECONDS = 25.0
FAR = 8e-3  # m / sqrt(s): 40 mm at 25 s


def conducts(warm: float) -> float:
    ice = 1.0 - FREEZES_C / warm if warm < FREEZES_C else 0.0
    return UNFROZEN_W_MK + (FROZEN_W_MK - UNFROZEN_W_MK) * ice


def stores(warm: float) -> float:
    if warm >= FREEZES_C:
        return UNFROZEN_J_M3K
    ice = 1.0 - FREEZES_C / warm
    sensible = UNFROZEN_J_M3K + (FROZEN_J_M3K - UNFROZEN_J_M3K) * ice
    return sensible - LATENT_J_M3 * FREEZES_C / warm**2


def profile(slope: float):
    """Temperature and flow over s from the cold face; stops at the freezing front."""

    def right_side(s, y):
        warm_slope = y[1] / conducts(y[0])
        return [warm_slope, -0.5 * s * stores(y[0]) * warm_slope]

    def freezing(s, y):
        return y[0] - FREEZES_C

    freezing.terminal = True
    options = {"method": "LSODA", "rtol": 1e-9, "atol": 1e-9}
    frozen = solve_ivp(right_side, (0.0, FAR), [COLD_C, slope], events=freezing, dense_output=True, **options)
    start = frozen.t[-1]
    warm = solve_ivp(right_side, (start, FAR), [FREEZES_C + 1e-12, frozen.y[1, -1]], **options)
    return frozen, start, warm.y[0, -1]


@pytest.fixture(scope="module")
def exact():
    slope = brentq(lambda guess: profile(guess)[2] - START_C, 1.1e5, 1.5e5, xtol=1e-3)
    frozen, front, _ = profile(slope)
    depth = {FREEZES_C: front}
    for warm in (-10.0, -25.0, -40.0):
        depth[warm] = brentq(lambda s, warm=warm: frozen.sol(s)[0] - warm, 1e-9, front)
    millimetres = {warm: 1e3 * s * np.sqrt(SECONDS) for warm, s in depth.items()}
    return millimetres, 2.0 * slope * np.sqrt(SECONDS)


def test_the_independent_solution_is_the_published_one(exact):
    depths, heat_j_m2 = exact

    assert depths[FREEZES_C] == pytest.approx(2.8690, abs=0.0005)
    assert depths[-10.0] == pytest.approx(2.3564, abs=0.0005)
    assert depths[-25.0] == pytest.approx(1.5497, abs=0.0005)
    assert depths[-40.0] == pytest.approx(0.7688, abs=0.0005)
    assert heat_j_m2 / 1e6 == pytest.approx(1.261, abs=0.001)


def test_the_column_meets_the_independent_solution(exact):
    depths, heat_j_m2 = exact
    material = Tissue(UNFROZEN_W_MK, FROZEN_W_MK, UNFROZEN_J_M3K, FROZEN_J_M3K, LATENT_J_M3, FREEZES_C, 0.0, 0.0)

    body = frozen_column(
        material,
        cell_mm=0.125,
        depth_mm=30.0,
        start_c=START_C,
        cryogen_c=COLD_C,
        contact_s=SECONDS,
    )

    found = {warm: depth_mm(body, warm) for warm in depths}
    heat = heat_drawn_j(body)
    print("freezing range:", {w: round(f - depths[w], 4) for w, f in found.items()},
          f"heat {100 * (heat / heat_j_m2 - 1):+.3f} %")  # fmt: skip
    assert found[FREEZES_C] == pytest.approx(depths[FREEZES_C], abs=0.03)
    assert found[-10.0] == pytest.approx(depths[-10.0], abs=0.01)
    assert found[-25.0] == pytest.approx(depths[-25.0], abs=0.005)
    assert found[-40.0] == pytest.approx(depths[-40.0], abs=0.005)
    assert heat == pytest.approx(heat_j_m2, rel=0.003)
