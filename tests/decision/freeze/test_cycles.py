"""What a change of cycle does to the numbers of the first."""

from __future__ import annotations

import pytest

from decision.freeze.cycles import NO_CHANGE, Change, changed

# p10, p50, p90 of ice, -25 C, -40 C, ice radius, -25 C radius, thaw, surface.
FIRST = [
    1.0,
    2.0,
    3.0,
    0.0,
    0.5,
    1.0,
    0.0,
    0.0,
    0.2,
    4.0,
    4.5,
    5.0,
    0.0,
    3.5,
    4.0,
    40.0,
    60.0,
    80.0,
    -50.0,
    -40.0,
    -30.0,
]


def test_no_change_changes_nothing():
    assert changed(FIRST, NO_CHANGE) == FIRST


def test_each_quantity_is_changed_in_its_own_way():
    change = Change((1.2, 1.1, 1.1), (0.1, 0.1, 0.2), (0.0, 0.0, 0.1), (1.5, 1.25, 1.125), 0.25, -2.0)

    later = changed(FIRST, change)

    assert later[0:3] == pytest.approx([1.2, 2.2, 3.3])
    assert later[3:6] == pytest.approx([0.1, 0.6, 1.2])
    assert later[6:9] == pytest.approx([0.0, 0.0, 0.3])
    assert later[9:12] == [4.25, 4.75, 5.25]
    assert later[12:15] == FIRST[12:15]
    assert later[15:18] == [60.0, 75.0, 90.0]
    assert later[18:21] == [-52.0, -42.0, -32.0]


def test_a_change_never_puts_quantiles_out_of_order():
    steep = Change((3.0, 1.0, 0.5), (0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (1.0, 1.0, 1.0), 0.0, 0.0)

    assert changed(FIRST, steep)[0:3] == [3.0, 3.0, 3.0]
