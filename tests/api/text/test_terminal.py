"""What a reader sees: the verdict first, everything in plain text, no line wider than the terminal."""

from __future__ import annotations

import datetime
import io

import pytest
from rich.console import Console

from api.text.terminal import show_recommendation
from decision import load_rule_book
from tests.small_folder import rule, small_files, write

SMALL = {
    "species": "dog",
    "similar_lesions": 1,
    "site": "trunk",
    "base_width_mm": 4,
    "height_mm": 2,
    "ruled_out": ["general_health", "lesion_signs"],
    "cryogen": "ether",
    "cone_bores_mm": [8],
    "practice_freezes_done": 3,
}


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    files = small_files()
    files["cautions/mind_a_cat.yaml"] = rule(
        {"species": "cat"},
        {"urgency": "critical", "summary": "It scratches.", "detail": "Wear gloves."},
        ("holds", {"species": "cat"}),
        ("fails", {"species": "dog"}),
        ("unknown", {}),
    )
    files["suitability/watch_the_ear.yaml"]["evidence"] |= {"citations": ["smith_2020"], "species_direct": True}
    loaded = load_rule_book(write(tmp_path_factory.mktemp("small") / "rules", files))
    yield loaded
    loaded.close()


@pytest.fixture
def page(book):
    """The printed answer for the facts given, as plain text."""

    def show(width=100, trace=False, **facts):
        case = {"as_of": "2026-11-24", "patient": {}, "lesions": [{"lesion_id": "flank"}]}
        for name, value in facts.items():
            about = None if name == "ruled_out" else book.vocabulary.inputs[name].about
            if about is None:
                case["patient"]["ruled_out"], case["lesions"][0]["ruled_out"] = value[:1], value[1:]
            elif about == "lesion":
                case["lesions"][0][name] = value
            else:
                case.setdefault(about, {})[name] = value
        answer = book.recommend(book.read(case, today=datetime.date(2026, 11, 24)), trace=trace)
        console = Console(file=io.StringIO(), width=width, markup=False, highlight=False)
        show_recommendation(console, answer, book)
        return console.file.getvalue()

    return show


def headings(page):
    """The headings of a page, in their order."""
    return [line.split(" ─")[0] for line in page.splitlines() if " ──" in line]


def test_the_verdict_stands_before_its_reasons(page):
    text = page(**SMALL)

    assert 0 < text.index("MAY BE FROZEN") < text.index("WHY")


def test_a_permission_is_followed_by_its_reasons_and_what_to_do(page):
    assert headings(page(**SMALL)) == [
        "WHY",
        "METHOD",
        "PLAN",
        "ESTIMATE (COMPUTED, NOT MEASURED)",
        "PREPARATION",
        "PRECAUTIONS",
        "NOTICE",
    ]


def test_what_stands_against_a_permission_is_said_with_it(page):
    shown = page(**{**SMALL, "cone_bores_mm": [30]})

    assert "MAY BE FROZEN, BUT NOTHING AT HAND FITS" in shown
    assert "PLAN" not in headings(shown)


def test_a_refusal_shows_no_plan_and_says_what_to_do_instead(page):
    shown = headings(page(**{**SMALL, "base_width_mm": 12, "diagnosis_basis": "none"}))

    assert ("METHOD" in shown, "PLAN" in shown, "INSTEAD" in shown) == (False, False, True)


def test_a_reason_shows_each_finding_with_the_value_and_its_unit(page):
    assert "base width is under 10 mm: met (here: 4 mm)" in page(**SMALL)


def test_a_reason_says_what_it_says_of_the_verdict(page):
    assert "It says: watch it." in page(site="pinna")


def test_a_reason_without_a_source_says_so(page):
    assert "Evidence: very low certainty, good practice; common practice, no source." in page(**SMALL)


def test_a_citation_says_what_it_was_measured_in_and_is_given_in_full(page):
    text = page(site="pinna", species="dog", width=400)

    assert "[smith_2020]; measured in this species, not with this kind of cryogen." in text
    assert "[smith_2020] Smith A. A source invented for tests. Nowhere, 2020." in text


def test_a_citation_says_in_which_other_species_it_was_measured(page):
    text = page(site="pinna", species="horse", width=400)

    assert "[smith_2020]; measured in dogs, not in this species; not with this kind of cryogen." in text


def test_the_plan_shows_windows_and_counts(page):
    text = page(**SMALL)

    assert ("20 to 25 s" in text, "2 cycles" in text) == (True, True)


def test_a_range_that_is_open_is_told_in_words(page):
    facts = {**SMALL, "ruled_out": ["general_health"]}

    assert 'it could become "do not freeze"' in page(**facts)


def test_a_presumption_says_what_it_could_bring_if_it_is_wrong(page):
    facts = {**SMALL, "ruled_out": [], "infected": False}

    assert "cold reaction: no. If wrong, it could become: do not freeze." in page(**facts)


def test_a_critical_caution_stands_under_the_verdict_as_well(page):
    text = page(**{**SMALL, "species": "cat"})

    assert text.index("Critical: It scratches.") < text.index("WHY")
    assert "critical: It scratches." in text


def test_no_more_than_five_questions_are_listed(page):
    text = page()

    listed = text.split("TO ASK NEXT")[1].split("and ")[0].count("Bears on: ")
    assert (listed, "more" in text) == (5, True)


def test_the_trace_lists_open_rules_with_what_they_wait_for(page):
    text = page(trace=True, species="dog")

    assert "RULES THAT ARE OPEN" in text
    assert "site: pinna: not stated" in text


def test_the_foot_names_the_rule_book(page, book):
    last = page(**SMALL).splitlines()[-1]

    assert last == f"Rule book 2026.11.0, digest {book.digest[8:20]}. Answered as of 2026-11-24."


@pytest.mark.parametrize("width", [40, 60, 120])
def test_no_line_is_wider_than_the_terminal(page, width):
    assert [line for line in page(width=width, **SMALL).splitlines() if len(line) > width] == []


def test_a_page_without_a_terminal_has_no_colour(page):
    assert "\x1b" not in page(**SMALL)


def test_brackets_of_a_rule_are_printed_as_they_stand(book):
    console = Console(file=io.StringIO(), width=100, markup=False)
    answer = book.recommend({"patient": {}, "lesions": [{"lesion_id": "flank"}]})
    answer["notice"] = "a window [5..20) mm [bold]"

    show_recommendation(console, answer, book)

    assert "a window [5..20) mm [bold]" in console.file.getvalue()
