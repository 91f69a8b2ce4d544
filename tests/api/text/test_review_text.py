"""What a reader sees of a review: the answer first, then why, what to change, the wait, the thaw, the band."""

import copy
import datetime
import io

import pytest
from rich.console import Console

from api.text.review_text import show_cycle_review, show_healing_review
from tests.visit_folder import CYCLE, HEALING

TODAY = datetime.date(2026, 11, 24)


@pytest.fixture
def printed(visit_book):
    """The printed review of a case, as plain text."""

    def show(case, width=100):
        console = Console(file=io.StringIO(), width=width, markup=False, highlight=False)
        if "cycle" in case:
            answer = visit_book.review_cycle(visit_book.read(case, today=TODAY, moment="during"))
            show_cycle_review(console, answer, visit_book)
        else:
            answer = visit_book.review_healing(visit_book.read(case, today=TODAY, moment="after"))
            show_healing_review(console, answer, visit_book)
        return console.file.getvalue()

    return show


def without(case, part, name):
    made = copy.deepcopy(case)
    del made[part][name]
    return made


def headings(page):
    return [line.split(" ─")[0] for line in page.splitlines() if " ──" in line]


def test_a_cycle_review_has_its_sections_in_the_order_of_need(printed):
    page = printed(CYCLE)

    assert page.index("REPEAT IT") < page.index("WHY")
    assert headings(page) == [
        "WHY",
        "NEXT TIME",
        "WAIT",
        "THAW",
        "ESTIMATE (COMPUTED, NOT MEASURED)",
        "NOTICE",
    ]


def test_the_thaw_stands_beside_its_band(printed):
    page = printed(CYCLE)

    assert "Observed 36 s; computed for this freeze: 24 to 50 s (middle 36)." in page
    assert "Beside that band: within the band." in page


def test_a_band_that_the_thaw_narrowed_says_so(printed):
    assert "Narrowed by the observed thaw: cycle 1" in " ".join(printed(CYCLE).split())
    assert "Narrowed" not in printed(without(CYCLE, "cycle", "observed_thaw_s"))


def test_a_thaw_that_fits_no_draw_narrows_nothing(printed):
    case = copy.deepcopy(CYCLE)
    case["cycle"]["observed_thaw_s"] = 900

    page = " ".join(printed(case).split())

    assert "Narrowed" not in page
    assert "The band is that without the observed thaw." in page


def test_a_cycle_of_which_little_is_known_says_why_there_is_no_band(printed):
    page = " ".join(printed(without(CYCLE, "cycle", "contact_seconds")).split())

    assert "Applicator, size, contact time and site give the band; one of them is not stated." in page


def test_an_open_question_is_asked(printed):
    page = printed(without(CYCLE, "cycle", "spilled"))

    assert "NO ANSWER YET" in page
    assert "TO ASK NEXT" in headings(page)


def test_a_healing_review_shows_dates_and_the_holidays_that_moved_one(printed):
    page = printed(HEALING)

    assert page.index("AS EXPECTED") < page.index("WHY")
    assert "Frozen on 2026-11-24, day 0." in page
    assert "Visit on 2026-12-29; 2026-12-25 is Christmas Day; 2026-12-28 is Boxing Day (observed)." in page


@pytest.mark.parametrize("width", [40, 60, 200])
def test_no_line_is_wider_than_the_terminal(printed, width):
    for case in (CYCLE, HEALING):
        assert max(len(line) for line in printed(case, width).splitlines()) <= width


def test_a_visit_where_no_holidays_are_known_says_so(printed):
    page = " ".join(printed({**HEALING, "region": "ZZ"}).split())

    assert "Visit on 2026-12-25. No public holidays are known here: look whether it is one." in page
