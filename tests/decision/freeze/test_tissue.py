"""Tissue, its freezing law, and where cells lie."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy.integrate import quad

from decision.freeze.interpolation import quantile, weighted_quantile
from decision.freeze.mesh import cylinder_mesh, depth_faces_mm, radial_faces_mm
from decision.freeze.priors import PRIORS
from decision.freeze.tissue import (
    FAT,
    LEAST_J_M3,
    MOST_J_M3,
    NODE_J_M3,
    SKIN,
    Tissue,
    enthalpy_j_m3,
    ice_fraction,
    kirchhoff_w_m,
    range_law,
)


def ice(warm: float) -> float:
    return 1.0 + 0.6 / warm if warm < -0.6 else 0.0


@pytest.mark.parametrize(("warm", "share"), [(10.0, 0.0), (-0.6, 0.0), (-1.2, 0.5), (-8.0, 0.925)])
def test_half_of_the_water_is_ice_at_twice_the_freezing_point(warm, share):
    assert ice_fraction(SKIN, np.array([warm]))[0] == pytest.approx(share)


@pytest.mark.parametrize("warm", [-60.0, -25.0, -5.0, -0.7, 20.0])
def test_heat_content_is_the_integral_of_heat_capacity_less_the_ice(warm):
    sensible, _ = quad(lambda t: 3.7e6 + (2.0e6 - 3.7e6) * ice(t), -0.6, warm, limit=200)

    assert enthalpy_j_m3(SKIN, np.array([warm]))[0] == pytest.approx(sensible - 205e6 * ice(warm), rel=1e-6)


@pytest.mark.parametrize("warm", [-60.0, -5.0, 20.0])
def test_the_potential_is_the_integral_of_conductivity(warm):
    expected, _ = quad(lambda t: 0.40 + (1.30 - 0.40) * ice(t), -0.6, warm, limit=200)

    assert kirchhoff_w_m(SKIN, np.array([warm]))[0] == pytest.approx(expected, rel=1e-6)


def test_the_tabulated_law_gives_back_the_temperature():
    law = range_law(SKIN)
    nodes = (np.arange(law.temperature_c.size) - law.zero_node) * NODE_J_M3
    warm = np.array([-70.0, -30.0, -12.3, -3.0, -0.61, 5.0, 37.0])

    again = np.interp(enthalpy_j_m3(SKIN, warm), nodes, law.temperature_c)

    assert again == pytest.approx(warm, abs=0.002)


STORES = ("unfrozen_j_m3k", "frozen_j_m3k", "latent_j_m3")


def test_the_nodes_hold_every_tissue_of_the_priors_from_minus_200_to_60_c():
    ends = [dict(zip(STORES, one, strict=True)) for one in itertools.product(*(PRIORS[name] for name in STORES))]

    for tissue in (FAT, *(Tissue(**one) for one in ends)):
        coldest, warmest = enthalpy_j_m3(tissue, np.array([-200.0, 60.0]))
        assert LEAST_J_M3 < coldest < 0 < warmest < MOST_J_M3
    law = range_law(SKIN)
    assert (law.zero_node, law.temperature_c.size) == (750 / 0.3, 2500 + 866 + 1)  # 260 / 0.3 is 866.7


@pytest.mark.parametrize("radius", [1.0, 2.5, 4.0, 7.5])
def test_a_column_face_lies_on_the_edge_of_the_contact(radius):
    faces = radial_faces_mm(radius, 0.1, past_edge_mm=1.4, outer_mm=16.0)

    assert np.abs(faces - radius).min() < 1e-9
    assert faces[0] == 0.0
    assert faces[-1] == pytest.approx(radius + 16.0)
    assert np.diff(faces).min() > 0.05


def test_a_row_face_lies_between_skin_and_fat():
    faces = depth_faces_mm(0.1, fine_to_mm=3.6, bottom_mm=18.0, boundary_mm=1.83)

    assert np.abs(faces - 1.83).min() < 1e-9
    assert faces[-1] == pytest.approx(18.0)


def test_rings_fill_their_disc():
    faces = radial_faces_mm(2.5, 0.1, past_edge_mm=1.4, outer_mm=16.0)
    mesh = cylinder_mesh(faces, np.array([0.0, 0.1, 0.2]), np.zeros(2, dtype=np.int64))

    assert mesh.area_m2.sum() == pytest.approx(np.pi * 0.0185**2)


def test_a_quantile_is_that_of_an_independent_library():
    values = [0.3, 5.0, 2.0, 2.5, 9.0, 1.0]

    for share in (0.1, 0.5, 0.9):
        assert quantile(values, share) == pytest.approx(np.quantile(values, share))


def test_a_heavy_value_draws_the_weighted_quantile_to_it():
    """The middles of the weights lie at 0.5, 1.5 and 51 of 100; the half is at 50."""
    found = weighted_quantile([3.0, 1.0, 2.0], [98.0, 1.0, 1.0], 0.5)

    assert found == pytest.approx(2.0 + 48.5 / 49.5)


@pytest.mark.parametrize(("share", "value"), [(0.0, 1.0), (1.0, 3.0)])
def test_a_weighted_quantile_stays_within_its_values(share, value):
    assert weighted_quantile([1.0, 2.0, 3.0], [1.0, 1.0, 1.0], share) == value
