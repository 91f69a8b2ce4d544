"""A plan held against its own estimate: no target out of reach, and what it does not do is said."""

from __future__ import annotations

import pytest

from decision.reach import Reach, halo_within, reach_note, reach_of

HALO = {"low": 1.0, "high": 2.0}


def estimate(*cycles, diameter=3.0):
    """An estimate with these cycles, each as (past the edge p50, p90, -25 C depth p90)."""
    listed = [
        {
            "cycle": number,
            "ice_depth_mm": {"p10": 0.0, "p50": 0.5, "p90": 1.0},
            "depth_minus25_mm": None if cold is None else {"p10": 0.0, "p50": 0.0, "p90": cold},
            "ice_past_edge_mm": None if middle is None else {"p10": -1.5, "p50": middle, "p90": farthest},
            "thaw_s": None,
        }
        for number, (middle, farthest, cold) in enumerate(cycles, 1)
    ]
    return {"by_applicator": [{"contact_diameter_mm": diameter, "by_cycle": listed}]}


def test_the_reach_is_counted_from_the_edge_of_the_lesion():
    found = reach_of(estimate((-0.8, -0.1, None)), {"base_width_mm": 2.0})

    assert found == Reach(pytest.approx(-0.3), pytest.approx(0.4), cold=False)


def test_the_last_cycle_counts():
    found = reach_of(estimate((0.1, 0.2, None), (0.5, 0.8, 0.3)), {"base_width_mm": 3.0})

    assert found == Reach(0.5, 0.8, cold=True)


@pytest.mark.parametrize(
    ("part", "known"),
    [
        (estimate(), {"base_width_mm": 2.0}),  # refused
        (estimate((-0.8, -0.1, None)), {}),
        (estimate((None, None, None)), {"base_width_mm": 2.0}),
        (estimate((-0.8, -0.1, None), diameter=None), {"base_width_mm": 2.0}),
    ],
)
def test_nothing_is_said_where_nothing_is_estimated(part, known):
    found = reach_of(part, known)

    assert (found, halo_within(HALO, found), reach_note(found, halo_dropped=False)) == (None, HALO, None)


@pytest.mark.parametrize(("farthest", "kept"), [(1.0, HALO), (0.99, None)])
def test_a_halo_stands_where_one_freeze_in_ten_reaches_it(farthest, kept):
    assert halo_within(HALO, Reach(0.2, farthest, cold=True)) == kept


@pytest.mark.parametrize(
    ("reach", "dropped", "said"),
    [
        (Reach(1.2, 1.8, cold=True), False, None),
        (Reach(1.2, 1.8, cold=False), False, "brings nothing to -25 C."),
        (Reach(-0.1, 0.3, cold=True), True, "may not reach the edge of the lesion."),
        (Reach(0.1, 0.6, cold=True), True, "no rim of it is to be aimed for."),
    ],
)
def test_what_a_plan_does_not_do_is_said_beside_it(reach, dropped, said):
    note = reach_note(reach, halo_dropped=dropped)

    assert (note or "").partition(" Expect")[0].endswith(said or "")
    assert (note is None) == (said is None)
