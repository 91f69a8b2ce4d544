"""The shipped table: bounds on every node, trends on every line, solver off the nodes."""

from __future__ import annotations

import json
import math
import random
from itertools import pairwise

import numpy as np
import pytest

from decision.freeze.build_table import merged
from decision.freeze.contact import freeze_and_thaw, patch
from decision.freeze.interpolation import blend, corners, place
from decision.freeze.priors import DIMENSIONS, SITES, draw, nominal
from decision.freeze.sobol import sobol_points
from decision.freeze.table_file import DRAW_UNITS, QUANTITIES, TABLE, digest, read_table
from decision.freeze.table_runs import THICKNESS_MM, through_pieces
from decision.freeze.table_statistics import through_thin_tissue
from tests.decision.freeze.one_dimension import deepest_ice_mm

APPLICATORS = ("cone", "foam_tip")
ICE, COLD, COLDER, THAW = 0, 1, 2, 5
HEAT = 7


@pytest.fixture(scope="module")
def file():
    return read_table()


@pytest.fixture(scope="module")
def bands(file):
    """Quantiles by applicator and site: diameter x time x quantity x quantile."""
    return {
        (applicator, site): np.array(file.bands[applicator][site]).reshape(
            len(file.diameter_mm[applicator]), len(file.contact_s), len(QUANTITIES), 3
        )
        for applicator in APPLICATORS
        for site in SITES
    }


@pytest.fixture(scope="module")
def draws(file):
    """Draws by applicator and site: diameter x time x quantity x draw, in their units."""
    return {
        (applicator, site): np.array(file.draws[applicator][site], dtype=float).reshape(
            len(file.diameter_mm[applicator]), len(file.contact_s), len(QUANTITIES), file.draw_count
        )
        * np.array(DRAW_UNITS)[:, None]
        for applicator in APPLICATORS
        for site in SITES
    }


def test_the_digest_is_that_of_the_content():
    stored = json.loads(TABLE.read_text(encoding="utf-8"))

    assert stored["digest"] == digest(stored)


def test_the_table_is_small():
    assert TABLE.stat().st_size < 3_000_000


def test_every_node_has_its_quantiles_in_order(bands):
    for numbers in bands.values():
        assert (np.diff(numbers, axis=3) >= 0.0).all()


def test_colder_zones_lie_within_warmer_ones(bands, draws):
    for numbers in [*bands.values(), *draws.values()]:
        assert (numbers[:, :, COLDER] <= numbers[:, :, COLD] + 1e-9).all()
        assert (numbers[:, :, COLD] <= numbers[:, :, ICE] + 1e-9).all()
        assert (numbers[:, :, COLDER] >= 0.0).all()


def test_the_bands_are_the_quantiles_of_the_draws(bands, draws):
    for where, numbers in bands.items():
        for rank, share in enumerate((0.1, 0.5, 0.9)):
            again = np.quantile(draws[where], share, axis=3)
            assert np.abs(again[:, :, :5] - numbers[:, :, :5, rank]).max() < 0.002
            assert np.abs(again[:, :, 5:] - numbers[:, :, 5:, rank]).max() < 0.02


def test_no_heat_is_drawn_beyond_what_the_film_lets_through(file):
    for applicator in APPLICATORS:
        for site in SITES:
            one = nominal(applicator, site)
            most_j_mm2_s = one.contact_w_m2k * (one.surface_c - one.cryogen_c) / 1e6
            for row in file.nominal[applicator][site]:
                for seconds, reading in zip(file.contact_s, row, strict=True):
                    assert 0.0 < reading[HEAT] <= most_j_mm2_s * seconds


@pytest.mark.parametrize("site", SITES)
def test_no_ice_is_deeper_than_under_perfect_contact_without_an_edge(file, site):
    for applicator in APPLICATORS:
        one = nominal(applicator, site)
        for number, seconds in enumerate(file.contact_s):
            bound = deepest_ice_mm(one, seconds, fat_below=SITES[site].fat_below)
            deepest = max(row[number][ICE] for row in file.nominal[applicator][site])
            assert 0.0 < deepest <= bound + 0.05


@pytest.mark.parametrize("site", SITES)
def test_no_draw_is_deeper_than_its_own_perfect_contact(file, draws, site):
    points = sobol_points(file.draw_count, DIMENSIONS, seed=file.seed)
    for number in range(0, file.draw_count, 16):
        one = draw(points[number], "cone", site)
        bound = deepest_ice_mm(one, file.contact_s[-1], fat_below=SITES[site].fat_below)
        assert draws["cone", site][:, -1, ICE, number].max() <= bound + 0.05


def test_ice_deepens_with_diameter_and_with_time(bands):
    for numbers in bands.values():
        ice = numbers[:, :, ICE, :]
        assert np.diff(ice, axis=0).min() >= -0.05
        assert np.diff(ice, axis=1).min() >= -0.05
        assert ice[-1, -1, 1] > ice[0, 0, 1]


def test_thaw_lengthens_with_diameter_and_with_time_while_the_cryogen_lasts(file, bands):
    """A foam tip of 2 mm holds 3.0 MJ/m2 and loses 57 kW/m2 to the air alone: dry before 40 s."""
    for (applicator, _), numbers in bands.items():
        thaw = numbers[:, :, THAW, :]
        lasts = np.array(file.diameter_mm[applicator]) >= 3.0
        assert np.diff(thaw, axis=0)[:, :6].min() >= -1.0
        assert np.diff(thaw[lasts], axis=1).min() >= -1.0


def test_a_foam_tip_never_brings_half_of_freezes_to_minus_25(bands):
    for site in SITES:
        assert bands["foam_tip", site][:, :, COLD, 1].max() == 0.0


def off_grid_points(file, count=80):
    generator = random.Random(80)
    for number in range(count):
        applicator = APPLICATORS[number % 4 == 3]
        axis = file.diameter_mm[applicator]
        site = generator.choice(sorted(SITES))
        diameter = generator.uniform(axis[0], axis[-1])
        yield applicator, site, diameter, generator.uniform(file.contact_s[0], file.contact_s[-1])


def test_eighty_freezes_between_the_nodes_agree_with_the_solver(file):
    errors = []
    for applicator, site, diameter, seconds in off_grid_points(file):
        solved = freeze_and_thaw(patch(applicator, diameter, site, nominal(applicator, site)), [seconds])[0]
        around = corners(place(file.diameter_mm[applicator], diameter), place(file.root_contact_s, math.sqrt(seconds)))
        looked_up = blend(file.nominal[applicator][site], around)
        errors.append(
            [
                looked_up[ICE] - solved.ice_depth_mm,
                looked_up[COLD] - solved.depth_minus25_mm,
                looked_up[THAW] - solved.thaw_s,
            ]
        )
    size = np.abs(np.array(errors))
    rms = np.sqrt((size**2).mean(axis=0))
    print(f"off grid, {len(errors)}: rms {np.round(rms, 3).tolist()} worst {np.round(size.max(axis=0), 3).tolist()}"
          " (ice mm, -25 C mm, thaw s)")  # fmt: skip
    assert len(errors) == 80
    assert size[:, 0].max() <= 0.06
    assert size[:, 1].max() <= 0.08
    assert size[:, 2].max() <= 1.5


# Medians of an independent run: 256 draws, 0.25 mm cells (which read ice 0.1 mm coarser).
# applicator, site, diameter, seconds; ice p10 p50 p90; -25 C p50; thaw p10 p50 p90.
INDEPENDENT = [
    ("cone", "trunk", 5, 20, (1.2, 1.6, 2.0), 0.4, (24, 37, 49)),
    ("cone", "trunk", 8, 25, (1.7, 2.3, 2.7), 0.7, (53, 80, 103)),
    ("cone", "trunk", 12, 30, (2.1, 2.8, 3.2), 1.0, (102, 151, 187)),
    ("cone", "distal", 8, 20, (1.5, 2.0, 2.4), 0.6, (49, 68, 89)),
    ("cone", "mucosa", 12, 20, (1.3, 1.9, 2.4), 0.6, (52, 78, 101)),
    ("foam_tip", "trunk", 5, 30, (0.2, 0.9, 1.6), 0.0, (4, 18, 34)),
    ("foam_tip", "distal", 3, 20, (0.0, 0.4, 0.9), 0.0, (1, 6, 14)),
]


@pytest.mark.parametrize(("applicator", "site", "diameter", "seconds", "ice", "cold", "thaw"), INDEPENDENT)
def test_the_band_agrees_with_an_independent_run(file, applicator, site, diameter, seconds, ice, cold, thaw):
    row = blend(
        file.bands[applicator][site],
        corners(place(file.diameter_mm[applicator], diameter), place(file.root_contact_s, math.sqrt(seconds))),
    )

    print(applicator, site, diameter, seconds, [round(one, 2) for one in (*row[:6], *row[15:18])])
    assert row[0:3] == pytest.approx(ice, abs=0.2)
    assert row[4] == pytest.approx(cold, abs=0.12)
    assert row[15:18] == pytest.approx(thaw, abs=3.0, rel=0.1)


def test_the_axes_rise(file):
    for axis in (*file.diameter_mm.values(), file.contact_s):
        assert all(low < high for low, high in pairwise(axis))


def runs_of_thin_tissue(times):
    """The same seconds by draw at every node, as the pieces of a build hold them."""
    runs = [[[seconds, None] for _ in THICKNESS_MM] for seconds in times]
    return {piece.name: {"runs": runs} for piece in through_pieces()}


def test_a_quantile_that_more_draws_than_that_never_come_to_is_none():
    part = through_thin_tissue(runs_of_thin_tissue([10.0, 20.0, 30.0, None]))

    node = part["bands"]["cone"]["air"][0][0]
    assert node == [13.0, 25.0, None, None, None, None, 0.25, 1.0]  # of 10, 20, 30 and one that never comes


def test_the_error_of_seconds_is_a_share_of_them():
    part = through_thin_tissue(runs_of_thin_tissue([8.0, 9.0, 10.0, 11.0, 12.0] * 4))

    slower = through_thin_tissue(runs_of_thin_tissue([16.0, 18.0, 20.0, 22.0, 24.0] * 4))
    assert part["sampling_error_share"] == slower["sampling_error_share"]
    assert 0.0 < part["sampling_error_share"]["ice_s"][1] < 0.2


def test_the_quantiles_of_thin_tissue_are_known_to_a_fifth(file):
    error = file.through["sampling_error_share"]

    print("thin tissue, standard errors as shares of p10, p50, p90:", error)
    assert all(0.0 < one < 0.2 for one in error["ice_s"])


def test_a_new_band_of_thin_tissue_leaves_every_other_part_as_it_was():
    stored = json.loads(TABLE.read_text(encoding="utf-8"))

    table = merged(stored, {"bands": "new"})

    assert table["through"] == {"bands": "new"}
    assert {name for name, part in stored.items() if table.get(name) != part} == {"through", "built_on", "digest"}
