"""A lesion that stands in the pool."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decision.freeze.answers import FreezeRefusal
from decision.freeze.bathed import bathed_share
from decision.freeze.raised_lesion import RaisedShare, raised_share

# Width, bore, fill; share at -25 C for heights 1, 2, 3, 4 mm, from an independent solver.
INDEPENDENT = [
    (2, 5, 4.5, (1.00, 1.00, 1.00, 1.00)),
    (3, 5, 4.5, (1.00, 1.00, 1.00, 1.00)),
    (5, 8, 4.5, (1.00, 0.89, 0.86, 0.27)),
    (5, 8, 6.0, (1.00, 0.98, 0.97, 0.96)),
    (6, 12, 4.5, (0.97, 0.73, 0.49, 0.16)),
    (6, 12, 6.0, (1.00, 0.88, 0.83, 0.74)),
    (8, 12, 6.0, (0.96, 0.73, 0.55, 0.38)),
]


@pytest.mark.parametrize(("width", "bore", "fill", "shares"), INDEPENDENT)
def test_the_share_agrees_with_an_independent_solver(width, bore, fill, shares):
    found = [raised_share(width, height, bore, fill).share_minus25 for height in (1, 2, 3, 4)]

    print(width, bore, fill, found, shares)
    assert found == pytest.approx(shares, abs=0.06)


def test_a_narrow_lesion_as_high_as_a_shallow_pool_is_where_two_solvers_differ():
    """3 mm wide, 3 mm fill: a second solver gave 0.96, 0.43 and 0.19 for 2, 3 and 4 mm.

    At 3 mm the coldest that most of the lesion gets lies within four degrees of -25 C, so
    a small difference in the film at its tip swings the share; ours is 0.96. At 2 and at
    4 mm both agree: height beyond the fill is lost.
    """
    two, three, four = (raised_share(3, height, 5, 3).share_minus25 for height in (2, 3, 4))

    assert two == pytest.approx(0.96, abs=0.06)
    assert four == pytest.approx(0.19, abs=0.12)
    assert two >= three >= four


def test_a_node_is_what_the_solver_says():
    assert raised_share(5, 2, 8, 4.5).share_minus25 == pytest.approx(bathed_share(5, 2, 8, 4.5, 22.0), abs=5e-4)


@given(width=st.floats(1, 8), height=st.floats(1, 4), fill=st.floats(3, 6))
def test_a_share_is_a_share(width, height, fill):
    found = raised_share(width, height, 12, fill)

    assert isinstance(found, RaisedShare)
    assert 0.0 <= found.share_minus25 <= 1.0


def test_a_share_says_that_it_is_nominal():
    assert "Nominal values only" in raised_share(3, 2, 5, 4.5).statement


@pytest.mark.parametrize(
    ("question", "reason"),
    [
        ((5, 2, 5, 4.5), "lesion_width_mm is 5; in a bore of 5 mm it must be 4 mm or less, so that the pool "
                         "surrounds it."),
        ((3, 5, 8, 4.5), "height_mm is 5; it must be from 1 to 4 mm."),
        ((3, 2, 13, 4.5), "bore_mm is 13; it must be from 4 to 12 mm."),
        ((3, 2, 8, float("nan")), "fill_mm is nan; it must be from 3 to 6 mm."),
        ((0.5, 2, 8, 4.5), "lesion_width_mm is 0.5; it must be from 1 to 10 mm."),
    ],
)  # fmt: skip
def test_a_lesion_outside_the_table_is_refused(question, reason):
    assert raised_share(*question) == FreezeRefusal(reason)
