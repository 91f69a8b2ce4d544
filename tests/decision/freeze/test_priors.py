"""Draws: evenly spread points, and ranges turned into tissue and contact."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from scipy.stats import qmc

from decision.freeze.priors import CONTACTS, DIMENSIONS, PRIORS, draw, nominal
from decision.freeze.sobol import sobol_points


def test_the_plain_sequence_is_that_of_an_independent_library():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        expected = qmc.Sobol(16, scramble=False).random(128)

    assert np.abs(np.array(sobol_points(128, 16, seed=None)) - expected).max() < 1e-8


def test_shifted_points_stay_evenly_spread_and_inside():
    points = np.array(sobol_points(128, DIMENSIONS, seed=5))

    assert points.min() > 0.0
    assert points.max() < 1.0
    counts = [np.histogram(points[:, n], bins=16, range=(0, 1))[0] for n in range(DIMENSIONS)]
    assert np.abs(np.array(counts) - 8).max() == 0


def test_the_same_seed_gives_the_same_points():
    assert sobol_points(8, 3, seed=1) == sobol_points(8, 3, seed=1)
    assert sobol_points(8, 3, seed=1) != sobol_points(8, 3, seed=2)


def many_draws(applicator="cone", site="trunk"):
    return [draw(point, applicator, site) for point in sobol_points(1024, DIMENSIONS, seed=3)]


@pytest.mark.parametrize("name", PRIORS)
def test_a_triangular_range_keeps_its_ends_and_its_mean(name):
    low, middle, high = PRIORS[name]
    values = [getattr(one, name) for one in many_draws()]

    assert low <= min(values) and max(values) <= high
    assert np.mean(values) == pytest.approx((low + middle + high) / 3.0, rel=0.01)


@pytest.mark.parametrize(("applicator", "median"), [("cone", 1500.0), ("foam_tip", 400.0)])
def test_the_contact_film_has_its_median_and_its_spread(applicator, median):
    films = np.array([one.film_w_m2k for one in many_draws(applicator)])

    assert np.median(films) == pytest.approx(median, rel=0.02)
    assert np.quantile(films, 0.8413) / np.median(films) == pytest.approx(1.7, rel=0.03)


@pytest.mark.parametrize(("site", "surface_c", "perfusion"), [("trunk", 34, 1e-3), ("distal", 28, 5e-4),
                                                              ("mucosa", 36, 4e-3)])  # fmt: skip
def test_a_site_class_sets_temperature_and_perfusion(site, surface_c, perfusion):
    drawn = many_draws(site=site)

    assert np.mean([one.surface_c for one in drawn]) == pytest.approx(surface_c, abs=0.05)
    assert max(one.surface_c for one in drawn) <= surface_c + 2.5
    assert np.median([one.perfusion_1_s for one in drawn]) == pytest.approx(perfusion, rel=0.02)


def test_keratin_lies_in_series_with_the_contact():
    """1 / (1/1500 + 1e-4) = 1304 W/m2K."""
    assert nominal("cone", "trunk").contact_w_m2k == pytest.approx(1304.3, abs=0.1)


def test_the_cryogen_is_never_colder_or_warmer_than_stated():
    for applicator, contact in CONTACTS.items():
        values = [one.cryogen_c for one in many_draws(applicator)]
        assert contact.coldest_c <= min(values) and max(values) <= contact.warmest_c
