"""What is told and asked beside a verdict: what only matters for a freeze is silent where none is given."""

import datetime

import pytest

from decision.folder_reading import read_rule_folder
from decision.rule_book import RuleBook
from tests.small_folder import rule, small_files, write

TODAY = datetime.date(2026, 11, 24)
SMALL = {"site": "trunk", "base_width_mm": 4, "infected": False}
VERDICTS = {
    "suitable": SMALL,
    "suitable_with_care": {**SMALL, "site": "eyelid_skin"},
    "watch": {**SMALL, "site": "pinna"},
    "sample_first": {**SMALL, "base_width_mm": 12, "diagnosis_basis": "none"},
    "do_not_freeze": {**SMALL, "infected": True},
    None: {"site": "trunk"},
}
ORDER = ["suitable", "suitable_with_care", "watch", "sample_first", "do_not_freeze"]
CAUTION = "cautions/mind_the_swelling.yaml"
ID = "cautions/mind_the_swelling"


def files_with(**limits):
    """The small rules with one more caution, which may have limits."""
    files = small_files()
    fields = files["cautions/decision.yaml"]["fields"]
    fields |= {name: {"limit_of": "suitability", "optional": True} for name in ("told_up_to", "asked_up_to")}
    files[CAUTION] = rule(
        {"swells": True},
        {"urgency": "info", "summary": "It swells.", "detail": "So hold it short.", **limits},
        ("holds", {"swells": True}),
        ("fails", {"swells": False}),
        ("unknown", {}),
    )
    return files


@pytest.fixture(scope="module")
def answer(tmp_path_factory):
    """An answer of the small rules with one more caution, under any limits."""
    books = {}

    def book_with(limits):
        key = tuple(limits.items())
        if key not in books:
            folder = write(tmp_path_factory.mktemp("spoken") / "rules", files_with(**limits))
            books[key] = RuleBook(read_rule_folder(folder))
        return books[key]

    def answered(verdict, limits, **lesion):
        book = book_with(limits)
        stated = {"lesion_id": "l", **VERDICTS[verdict], **lesion}
        case = {"patient": {"species": "dog", "ruled_out": ["general_health"]}, "lesions": [stated]}
        found = book.recommend(book.read(case, today=TODAY), trace=True)["lesions"][0]
        assert found["suitability"]["verdict"] == verdict
        return found

    yield answered
    for book in books.values():
        book.close()


def told(found):
    return ID in [reason["rule"] for one in found["cautions"] for reason in one["reasons"]]


def asked(found):
    return "swells" in [one["input"] for one in found["ask_next"]]


@pytest.mark.parametrize("verdict", VERDICTS)
def test_without_a_limit_a_caution_is_told_and_asked_for_beside_every_verdict(answer, verdict):
    assert told(answer(verdict, {}, swells=True))
    assert asked(answer(verdict, {}))


@pytest.mark.parametrize("last", ORDER)
@pytest.mark.parametrize("verdict", VERDICTS)
def test_a_caution_is_told_and_asked_for_up_to_its_limit_and_while_no_verdict_stands(answer, verdict, last):
    speaks = verdict is None or ORDER.index(verdict) <= ORDER.index(last)

    assert told(answer(verdict, {"told_up_to": last}, swells=True)) == speaks
    assert asked(answer(verdict, {"told_up_to": last})) == speaks


@pytest.mark.parametrize("verdict", VERDICTS)
def test_what_is_no_longer_asked_for_is_told_all_the_same(answer, verdict):
    limits = {"asked_up_to": "suitable_with_care"}

    assert told(answer(verdict, limits, swells=True))
    assert asked(answer(verdict, limits)) == (verdict in ("suitable", "suitable_with_care", None))


def test_a_caution_that_is_silent_stands_in_the_trace(answer):
    found = answer("watch", {"told_up_to": "suitable_with_care"}, swells=True)

    assert [one["rule"] for one in found["not_told"]] == [ID]
    assert not [one for key in ("did_not_apply", "still_open") for one in found[key] if one["rule"] == ID]


def test_a_limit_moves_no_verdict_no_digest_of_outcomes_and_no_range(answer):
    limited, plain = (answer("watch", limits, swells=True) for limits in ({"told_up_to": "suitable"}, {}))

    assert limited["suitability"] == plain["suitability"]
    assert limited["status"] == plain["status"]


# --- reasons --------------------------------------------------------------------------------------------------


def reasons_beside(tmp_path, beside, lesion):
    files = small_files()
    files["suitability/decision.yaml"]["no_reason_beside"] = beside
    book = RuleBook(read_rule_folder(write(tmp_path / "rules", files)))
    case = {"patient": {"species": "dog", "ruled_out": ["general_health"]}, "lesions": [{"lesion_id": "l", **lesion}]}
    found = book.recommend(book.read(case, today=TODAY), trace=True)["lesions"][0]
    book.close()
    return [one["rule"] for one in found["suitability"]["reasons"]], [one["rule"] for one in found["outranked"]]


WIDE_AND_INFECTED = {"site": "pinna", "base_width_mm": 12, "diagnosis_basis": "none", "infected": True}
INFECTED, WIDE, EAR = (
    "suitability/leave_an_infected_one",
    "suitability/sample_a_wide_one",
    "suitability/watch_the_ear",
)


def test_every_rule_that_holds_is_a_reason_where_the_ladder_silences_none(tmp_path):
    assert reasons_beside(tmp_path, {}, WIDE_AND_INFECTED)[0] == [INFECTED, WIDE, EAR]


def test_an_answer_is_no_reason_beside_one_that_silences_it_though_another_is_more_cautious(tmp_path):
    reasons, outranked = reasons_beside(tmp_path, {"watch": ["sample_first"]}, WIDE_AND_INFECTED)

    assert reasons == [INFECTED, WIDE]
    assert outranked == [WIDE, EAR]


def test_an_answer_is_a_reason_where_none_holds_that_silences_it(tmp_path):
    reasons, _ = reasons_beside(tmp_path, {"watch": ["sample_first"]}, {**WIDE_AND_INFECTED, "base_width_mm": 4})

    assert reasons == [INFECTED, EAR]


def test_a_permission_that_a_caution_raises_to_is_silenced_as_well(tmp_path):
    lesion = {"site": "eyelid_skin", "base_width_mm": 4, "infected": True}

    assert reasons_beside(tmp_path, {"suitable_with_care": ["do_not_freeze"]}, lesion)[0] == [INFECTED]
