"""The axisymmetric solver: energy, the disc formula, reference cases, trends."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from decision.freeze import contour
from decision.freeze.contact import freeze_and_thaw, patch, repeat_freezes
from decision.freeze.mesh import cylinder_mesh, depth_faces_mm, radial_faces_mm
from decision.freeze.priors import CONTACTS, nominal
from decision.freeze.solver import (
    Air,
    Pace,
    branch,
    cool,
    films,
    make_body,
    thaw,
    touched,
)
from decision.freeze.tissue import SKIN

# Independent reference solver (plain explicit steps, 0.1 mm cells): contact radius mm, film
# W/m2K, site C, contact s; depth of ice, -10, -25 and -40 C, ice radius mm, heat J and
# surface C, all at the end of contact; thaw s.
REFERENCE = {
    "a": ((2.5, 1300.0, 34.0, 20.0), (1.54, 1.03, 0.314, 0.0), 2.94, 18.60, -32.5, 34.75),
    "b": ((4.0, 1300.0, 34.0, 20.0), (1.74, 1.25, 0.496, 0.0), 4.48, 44.7, -35.6, 61.5),
    "c": ((6.0, 1300.0, 28.0, 20.0), (1.88, 1.38, 0.597, 0.0), 6.60, 94.4, -37.0, 103.0),
    "d": ((2.5, 380.0, 34.0, 30.0), (0.87, 0.123, 0.0, 0.0), 2.47, 11.98, -11.7, 18.0),
    "e": ((1.5, 380.0, 28.0, 30.0), (0.59, 0.0, 0.0, 0.0), 1.45, 4.37, -8.6, 8.25),
}


def skin_under_a_disc(radius_mm, site_c, blood_c=38.0, tissue=SKIN, cell_mm=0.1):
    """Uniform skin, warmer towards the body, and bare films; 10 W/m2K of air at 22 C."""
    depth = depth_faces_mm(cell_mm, fine_to_mm=3.6, bottom_mm=18.0)
    level = 0.5 * (depth[1:] + depth[:-1])
    radial = radial_faces_mm(radius_mm, cell_mm, past_edge_mm=1.4, outer_mm=16.0)
    mesh = cylinder_mesh(radial, depth, np.zeros(level.size, dtype=np.int64))
    start = site_c + (blood_c - site_c) * (1.0 - np.exp(-level / 8.0))
    body = make_body(mesh, (tissue,), start_c=start, blood_c=blood_c)
    return body, films(body, Air()), int(np.searchsorted(radial, radius_mm - 1e-9))


def energy_j(body):
    """Heat content of all tissue in joules, from 0 at the start of freezing."""
    mesh = body.mesh
    inside = np.arange(mesh.area_m2.size)[None, :] < mesh.width[:, None]
    volume = np.diff(mesh.depth_m)[:, None] * mesh.area_m2[None, :]
    return float((body.state.enthalpy_j_m3 * volume * inside).sum())


@pytest.mark.parametrize("case", REFERENCE)
def test_a_reference_case_is_met(case):
    (radius_mm, film, site_c, seconds), depths, ice_radius, heat_j, surface, thaw_s = REFERENCE[case]
    body, bare, columns = skin_under_a_disc(radius_mm, site_c)
    held = touched(bare, columns, film, -57.0)
    before_j = energy_j(body)

    cool(body, held, seconds, first_s=0.01)

    found = [contour.depth_mm(body, warm) for warm in (-0.6, -10.0, -25.0, -40.0)]
    drawn_j = contour.heat_drawn_j(body)
    radius = contour.radius_mm(body, -0.6)
    end_c = contour.surface_c(body, held)
    thawed_s = thaw(body, bare, longest_s=300.0)
    residual = (energy_j(body) - before_j - body.state.heat_j.sum()) / drawn_j
    print(f"6{case}: depths {np.round(found, 3).tolist()} radius {radius:.3f} heat {drawn_j:.2f} J"
          f" surface {end_c:.2f} C thaw {thawed_s:.2f} s energy residual {residual:.1e}")  # fmt: skip
    assert found == pytest.approx(depths, abs=0.04)
    assert radius == pytest.approx(ice_radius, abs=0.04)
    assert drawn_j == pytest.approx(heat_j, rel=0.01)
    assert end_c == pytest.approx(surface, abs=0.2)
    assert thawed_s == pytest.approx(thaw_s, abs=1.0)
    assert abs(residual) < 1e-10


def disc_flux_error(cell_mm: float) -> float:
    """Relative error of the heat flow into an isothermal disc after 4000 s."""
    radius_mm, seconds, drop_c = 5.0, 4000.0, 20.0
    faces = depth_faces_mm(cell_mm, fine_to_mm=5.0, bottom_mm=250.0)
    rings = radial_faces_mm(radius_mm, cell_mm, past_edge_mm=5.0, outer_mm=250.0)
    fine = np.arange(0.0, radius_mm - 1e-9, cell_mm)
    rings = np.concatenate([fine, rings[rings > radius_mm - 1e-9]])
    still = replace(SKIN, perfusion_1_s=0.0, metabolic_w_m3=0.0)
    rows = faces.size - 1
    body = make_body(
        cylinder_mesh(rings, faces, np.zeros(rows, dtype=np.int64)),
        (still,),
        start_c=np.full(rows, 34.0),
        blood_c=34.0,
    )
    bare = films(body, Air(1e-9, 34.0))
    held = touched(bare, fine.size, 1e9, 34.0 - drop_c)
    slow = Pace(first_s=0.05, longest_s=10.0, growth=1.05)
    cool(body, held, seconds - 20.0, first_s=0.05, pace=slow)
    before_j = contour.heat_drawn_j(body)
    cool(body, held, 20.0, first_s=10.0, pace=slow)
    flow_w = (contour.heat_drawn_j(body) - before_j) / 20.0
    radius_m = radius_mm * 1e-3
    late_s = seconds - 10.0
    diffusivity = still.unfrozen_w_mk / still.unfrozen_j_m3k
    exact_w = 4.0 * still.unfrozen_w_mk * radius_m * drop_c
    exact_w *= 1.0 + 2.0 * radius_m / (math.pi**1.5 * math.sqrt(diffusivity * late_s))
    return flow_w / exact_w - 1.0


def test_the_flow_into_a_cold_disc_follows_the_formula_at_first_order():
    coarse, fine = disc_flux_error(0.5), disc_flux_error(0.25)

    print(f"disc: {100 * coarse:+.3f} % at 0.5 mm, {100 * fine:+.3f} % at 0.25 mm, "
          f"ratio {coarse / fine:.3f}")  # fmt: skip
    assert 100.0 * fine == pytest.approx(-1.8, abs=0.5)
    assert 1.8 <= coarse / fine <= 2.2


def test_a_branch_leaves_its_trunk_alone():
    body, bare, columns = skin_under_a_disc(2.5, 34.0, cell_mm=0.25)
    cool(body, touched(bare, columns, 1300.0, -57.0), 5.0, first_s=0.01)
    before = body.state.enthalpy_j_m3.copy()

    thaw(branch(body), bare, longest_s=100.0)

    assert np.array_equal(body.state.enthalpy_j_m3, before)


def test_a_thaw_that_does_not_come_in_time_is_none():
    body, bare, columns = skin_under_a_disc(2.5, 34.0, cell_mm=0.25)
    cool(body, touched(bare, columns, 1300.0, -57.0), 20.0, first_s=0.01)

    assert thaw(body, bare, longest_s=10.0) is None


def ice_mm(**changes) -> float:
    diameter = changes.pop("diameter_mm", 6.0)
    seconds = changes.pop("contact_s", 20.0)
    one = replace(nominal("cone", "distal"), **changes)
    return freeze_and_thaw(patch("cone", diameter, "distal", one), [seconds])[0].ice_depth_mm


@pytest.mark.parametrize(
    ("name", "rising", "values"),
    [
        ("diameter_mm", True, (3.0, 4.5, 7.0, 10.0, 15.0)),
        ("contact_s", True, (5.0, 10.0, 18.0, 28.0, 40.0)),
        ("film_w_m2k", True, (600.0, 1000.0, 1600.0, 2600.0, 4000.0)),
        ("surface_c", False, (26.0, 29.0, 32.0, 35.0, 38.0)),
        ("cryogen_c", False, (-70.0, -65.0, -60.0, -55.0, -50.0)),
    ],
)
def test_ice_depth_rises_or_falls_with_one_input(name, rising, values):
    depths = [ice_mm(**{name: value}) for value in values]

    steps = np.diff(depths) if rising else -np.diff(depths)
    print(f"{name}: {np.round(depths, 3).tolist()}")
    assert steps.min() >= -0.05
    assert steps.sum() > 0.0


@pytest.mark.parametrize(("film_w_m2k", "drawn_mj_m2"), [(600.0, 0.616), (1200.0, 0.913), (2400.0, 1.186)])
def test_the_pool_balance_of_an_eight_millimetre_cone(film_w_m2k, drawn_mj_m2):
    body, bare, columns = skin_under_a_disc(4.0, 34.0)

    cool(body, touched(bare, columns, film_w_m2k, -57.0), 22.0, first_s=0.01)

    drawn = contour.heat_drawn_j(body) / (math.pi * 0.004**2) / 1e6
    print(f"pool: film {film_w_m2k:g}: {drawn:.4f} MJ/m2 (published {drawn_mj_m2})")
    assert drawn == pytest.approx(drawn_mj_m2, rel=0.02)


# An independent solver: contact, diameter, seconds, wait; -25 C depth and thaw of cycles 1-3.
CYCLES = [
    ("cone", 5, 20, 0, (0.32, 0.39, 0.41), (36, 47, 51)),
    ("cone", 8, 20, 0, (0.50, 0.64, 0.66), (68, 91, 98)),
    ("cone", 12, 20, 60, (0.56, 0.67, None), (110, 140, None)),
    ("cone", 8, 20, 180, (0.50, 0.53, None), (68, 75, None)),
    ("foam_tip", 5, 30, 0, (0.0, 0.0, 0.0), (19, 26, 28)),
]


@pytest.mark.parametrize(("applicator", "diameter", "seconds", "wait_s", "cold_mm", "thaw_s"), CYCLES)
def test_later_cycles_agree_with_an_independent_solver(applicator, diameter, seconds, wait_s, cold_mm, thaw_s):
    one = nominal(applicator, "trunk")

    found = repeat_freezes(patch(applicator, diameter, "trunk", one), seconds, 3, wait_s)

    for reading, cold, thawed in zip(found, cold_mm, thaw_s, strict=True):
        print(applicator, diameter, wait_s, round(reading.depth_minus25_mm, 3), round(reading.thaw_s, 1))
        assert cold is None or reading.depth_minus25_mm == pytest.approx(cold, abs=0.02)
        assert thawed is None or reading.thaw_s == pytest.approx(thawed, abs=2.5)


def test_an_empty_foam_tip_no_longer_cools():
    one = nominal("foam_tip", "distal")
    small = patch("foam_tip", 2.0, "distal", one)
    starved = replace(small, foam_charge_j=0.2 * small.foam_charge_j)

    full, empty = (freeze_and_thaw(p, [40.0])[0] for p in (patch("foam_tip", 2.0, "distal", one),
                                                           starved))  # fmt: skip

    assert empty.surface_end_c > full.surface_end_c + 5.0
    assert empty.heat_j_mm2 < full.heat_j_mm2


def test_strong_contact_is_the_published_one():
    assert CONTACTS["cone"].strong_w_m2k == 3000.0
    assert CONTACTS["foam_tip"].strong_w_m2k == 800.0
