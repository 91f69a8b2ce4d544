"""Cutting regions by boxes, against looking at every cell."""

import itertools
import random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from decision.verification.box_cover import Rows, gaps, pieces
from tests.random_rules import CHANCES, STEADY


def cells_of(rows: Rows, box: int) -> set[tuple[int, ...]]:
    """The cells of a box, each as one bit for every row."""
    choices = [[bit for bit in bits(row) if box & bit] for row in rows.rows]
    return set(itertools.product(*choices))


def bits(row: int) -> list[int]:
    return [1 << place for place in range(row.bit_length()) if row >> place & 1]


def random_box(chance: random.Random, rows: Rows) -> int:
    """A box that says nothing about some inputs and holds a case."""
    box = 0
    for row in rows.rows:
        allowed = bits(row)
        keep = allowed if chance.random() < 0.5 else chance.sample(allowed, chance.randint(1, len(allowed)))
        box |= sum(keep)
    return box


def random_boxes(chance: random.Random) -> tuple[Rows, list[int]]:
    rows = Rows.of([chance.randint(1, 4) for _ in range(chance.randint(1, 5))])
    return rows, [random_box(chance, rows) for _ in range(chance.randint(0, 8))]


@STEADY
@given(CHANCES)
def test_the_pieces_hold_each_cell_of_the_region_once(chance):
    rows, boxes = random_boxes(chance)
    region = random_box(chance, rows)

    found = [cells_of(rows, piece) for piece, _ in pieces(rows, region, boxes)]

    assert sum(len(cells) for cells in found) == len(cells_of(rows, region))
    assert set().union(*found) == cells_of(rows, region)


@STEADY
@given(CHANCES)
def test_a_piece_lies_inside_one_box_or_is_met_by_none(chance):
    rows, boxes = random_boxes(chance)
    region = random_box(chance, rows)

    for piece, inside in pieces(rows, region, boxes):
        met = [box for box in boxes if cells_of(rows, box) & cells_of(rows, piece)]

        assert inside == any(cells_of(rows, piece) <= cells_of(rows, box) for box in boxes)
        assert inside or not met


@STEADY
@given(CHANCES)
def test_there_is_a_gap_exactly_when_some_cell_lies_in_no_box(chance):
    rows, boxes = random_boxes(chance)
    covered = set().union(*(cells_of(rows, box) for box in boxes))

    found = list(gaps(rows, rows.whole, boxes))

    assert set().union(*(cells_of(rows, gap) for gap in found)) == cells_of(rows, rows.whole) - covered


@STEADY
@given(CHANCES, st.randoms(use_true_random=False))
def test_the_order_of_boxes_does_not_matter(chance, order):
    rows, boxes = random_boxes(chance)
    shuffled = list(boxes)
    order.shuffle(shuffled)

    first, second = (list(gaps(rows, rows.whole, listed)) for listed in (boxes, shuffled))

    assert bool(first) == bool(second)


@STEADY
@given(CHANCES)
def test_one_more_box_never_opens_a_gap(chance):
    rows, boxes = random_boxes(chance)
    assume(boxes)
    assume(not list(gaps(rows, rows.whole, boxes[1:])))

    assert not list(gaps(rows, rows.whole, boxes))


@pytest.mark.parametrize("sizes", [[1], [2, 3], [1, 1, 5], [4, 2, 3, 1]])
def test_a_box_holds_a_case_when_every_row_has_a_cell_left(sizes):
    rows = Rows.of(sizes)

    emptied = [rows.whole & ~row for row in rows.rows]

    assert rows.holds_a_case(rows.whole)
    assert not any(rows.holds_a_case(box) for box in emptied)


def test_without_boxes_the_whole_region_is_one_gap():
    rows = Rows.of([2, 3])

    assert list(gaps(rows, rows.whole, [])) == [rows.whole]


def test_forty_inputs_that_no_single_box_covers_are_cut_without_trying_every_cell():
    rows = Rows.of([10] * 40)
    low = sum(row & -row for row in rows.rows)  # the first cell of each row
    halves = [rows.whole & ~row | row & low for row in rows.rows]
    others = [rows.whole & ~(row & low) for row in rows.rows]

    found = list(gaps(rows, rows.whole, [*halves[:20], *others[:19]]))

    assert not found
