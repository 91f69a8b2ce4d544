"""The sheet for the owner: when to call, what to do, what is normal, when; or what happens instead."""

import pytest

from api.papers.owner_sheet import MOST_LETTERS
from decision.folder_reading import read_rule_folder, shipped_rules
from tests.api.papers.conftest import FORBIDDEN, UNSETTLED, a_case

AFTER_A_FREEZE = ("crust", "maggots", "Frozen on", "healed over")


def titles(paper):
    return [one.title for one in paper.shown]


def test_a_freeze_has_alarms_first_and_in_a_frame(paper):
    sheet = paper("owner-sheet", a_case())

    assert titles(sheet) == ["", "Call the same day", "What to do", "This is normal", "When to expect what"]
    assert [one.alarm for one in sheet.shown] == [False, True, False, False, False]


def test_every_step_of_the_aftercare_stands_on_the_sheet(paper, visit_book):
    sheet = paper("owner-sheet", a_case())

    steps = {one["step"] for one in visit_book.recommend(a_case())["lesions"][0]["aftercare"]}
    assert {point.text for section in sheet.shown for point in section.points} == steps


def test_dates_are_those_of_the_calendar(paper):
    dates = paper("owner-sheet", a_case()).shown[-1]

    # day 2 to 10 and 14 to 28 from 24 November; the recheck stands above
    assert [(row.label, row.value) for row in dates.rows] == [
        ("26 Nov to 4 Dec", "Crust"),
        ("8 to 22 Dec", "Healed over"),
    ]


def test_the_next_visit_is_the_working_day_of_the_recheck(paper):
    (row,) = paper("owner-sheet", a_case()).shown[0].rows

    # day 31 is Christmas Day, a Friday; Monday is a holiday in Scotland too
    assert (row.label, row.value) == ("Next visit", "Tuesday 29 December 2026, at")


def test_names_are_blanks(paper):
    sheet = paper("owner-sheet", a_case())

    assert [(row.value, row.blank) for row in sheet.head] == [
        ("", "animal"),
        ("", "practice"),
        ("", "telephone"),
        ("", "out_of_hours"),
    ]


@pytest.mark.parametrize("case", [FORBIDDEN, UNSETTLED])
def test_without_a_permission_there_is_no_care_of_a_freeze(paper, text_of, case):
    sheet = paper("owner-sheet", case)

    assert sheet.title == "What happens instead of freezing"
    assert [word for word in AFTER_A_FREEZE if word in text_of(sheet)] == []


def test_a_verdict_against_it_says_what_was_decided(paper, text_of):
    assert "What was decided: watch it." in text_of(paper("owner-sheet", FORBIDDEN))


def test_what_happens_instead_is_said_with_its_time(paper, text_of):
    text = text_of(paper("owner-sheet", a_case(base_width_mm=10, diagnosis_basis="none")))

    assert "Take a biopsy. When: within two weeks." in text


def test_plain_words_of_the_rule_book_go_before_its_own(paper, text_of, shipped):
    (lesion,) = shipped.long_case["lesions"]
    case = {**shipped.long_case, "lesions": [{**lesion, "known_diagnosis": "melanoma"}]}

    text = text_of(paper("owner-sheet", case, shipped.book))

    (answer,) = shipped.book.recommend(case)["lesions"]
    nodes = {node.name: node for node in shipped.book.folder.decisions}
    plain = nodes["alternatives"].fields["what"]["plain"]
    assert answer["alternatives"]
    assert all(plain[one["what"]] in text for one in answer["alternatives"])
    assert f"What was decided: {nodes['suitability'].plain[answer['suitability']['verdict']]}" in text


def test_a_case_that_is_not_settled_says_so(paper, text_of):
    assert "It is not settled yet whether it may be frozen" in text_of(paper("owner-sheet", UNSETTLED))


def test_a_permission_without_anything_that_fits_is_no_freeze(paper, text_of):
    case = a_case()
    case["equipment"]["cone_bores_mm"] = [15]

    text = text_of(paper("owner-sheet", case))

    assert "Nothing at hand here can freeze it" in text
    assert [word for word in AFTER_A_FREEZE if word in text] == []


def test_details_are_left_out_before_the_type_gets_small_but_never_those_of_an_alarm(paper, shipped):
    case = {**a_case(), **shipped.long_case}

    sheet = paper("owner-sheet", case, book=shipped.book)

    alarm, *others = [section for section in sheet.shown if section.points]
    assert sum(map(len, sheet.texts())) > MOST_LETTERS  # as much as it gets, so that others have no details
    assert all(point.detail for point in alarm.points)
    assert not any(point.detail for section in others for point in section.points)


def test_every_alternative_and_every_verdict_has_words_for_an_owner():
    decisions = {one.name: one for one in read_rule_folder(shipped_rules()).decisions}
    ladder, what = decisions["suitability"], decisions["alternatives"].fields["what"]
    forbidding = [code for code in ladder.answers if ladder.rank(code) >= ladder.rank(ladder.stands_unsettled_from)]

    assert list(what["plain"]) == list(what["one_of"])
    assert list(ladder.plain) == forbidding
