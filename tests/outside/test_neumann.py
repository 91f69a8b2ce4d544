"""The solver against Neumann's exact solution of freezing at one temperature."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erf, erfc

from decision.freeze.contour import depth_mm
from decision.freeze.tissue import Tissue
from tests.decision.freeze.one_dimension import frozen_column, sharp_law

FROZEN_W_MK, FROZEN_J_M3K = 1.8, 1.9e6
UNFROZEN_W_MK, UNFROZEN_J_M3K = 0.5, 3.6e6
LATENT_J_M3, COLD_C, FREEZES_C, START_C = 250e6, -55.0, 0.0, 34.0
FROZEN_M2_S = FROZEN_W_MK / FROZEN_J_M3K
UNFROZEN_M2_S = UNFROZEN_W_MK / UNFROZEN_J_M3K


def imbalance(lam: float) -> float:
    """Heat balance of the moving front; the exact front is where it vanishes."""
    ratio = math.sqrt(FROZEN_M2_S / UNFROZEN_M2_S)
    from_cold = FROZEN_W_MK * (FREEZES_C - COLD_C) / math.sqrt(math.pi * FROZEN_M2_S)
    from_warm = UNFROZEN_W_MK * (START_C - FREEZES_C) / math.sqrt(math.pi * UNFROZEN_M2_S)
    return (
        from_cold * math.exp(-(lam**2)) / erf(lam)
        - from_warm * math.exp(-((lam * ratio) ** 2)) / erfc(lam * ratio)
        - lam * LATENT_J_M3 * math.sqrt(FROZEN_M2_S)
    )


@pytest.fixture(scope="module")
def lam() -> float:
    return brentq(imbalance, 1e-6, 5.0, xtol=1e-14)


def front_mm(lam: float, seconds: float) -> float:
    return 2e3 * lam * math.sqrt(FROZEN_M2_S * seconds)


def exact_c(lam: float, depth_m: np.ndarray, seconds: float) -> np.ndarray:
    frozen = COLD_C + (FREEZES_C - COLD_C) * erf(depth_m / (2 * math.sqrt(FROZEN_M2_S * seconds))) / erf(lam)
    unfrozen = START_C - (START_C - FREEZES_C) * erfc(depth_m / (2 * math.sqrt(UNFROZEN_M2_S * seconds))) / erfc(
        lam * math.sqrt(FROZEN_M2_S / UNFROZEN_M2_S)
    )
    return np.where(depth_m < front_mm(lam, seconds) / 1e3, frozen, unfrozen)


def test_the_exact_front_constant_is_the_published_one(lam):
    assert lam == pytest.approx(0.339693, abs=1e-6)
    assert front_mm(lam, 10.0) == pytest.approx(2.09111, abs=1e-4)
    assert front_mm(lam, 25.0) == pytest.approx(3.30633, abs=1e-4)


@pytest.mark.parametrize("seconds", [10.0, 25.0])
def test_the_column_follows_the_exact_front_and_temperature(lam, seconds):
    material = Tissue(UNFROZEN_W_MK, FROZEN_W_MK, UNFROZEN_J_M3K, FROZEN_J_M3K, LATENT_J_M3, FREEZES_C, 0.0, 0.0)

    body = frozen_column(
        material,
        cell_mm=0.0625,
        depth_mm=25.0,
        start_c=START_C,
        cryogen_c=COLD_C,
        contact_s=seconds,
        law=sharp_law(material),
    )

    level_m = 0.5 * (body.mesh.depth_m[1:] + body.mesh.depth_m[:-1])
    error_c = body.state.temperature_c[:, 0] - exact_c(lam, level_m, seconds)
    front_error_mm = depth_mm(body, FREEZES_C, now=True) - front_mm(lam, seconds)
    rms_c = math.sqrt(float(np.mean(error_c**2)))
    print(f"Neumann {seconds:g} s: front error {front_error_mm:+.4f} mm, rms {rms_c:.4f} K")
    assert abs(front_error_mm) <= 0.03
    assert rms_c < 0.05
