"""An answer is given again: identical, or each difference with its cause."""

import dataclasses
import datetime
import json

import pytest

from decision.errors import CaseError
from decision.folder_reading import read_rule_folder
from decision.reviewer.answer_record import record_of
from decision.reviewer.released import write_release
from decision.reviewer.reproduction import reproduce
from decision.reviewer.shelf import Shelf
from decision.rule_book import RuleBook
from tests.small_folder import write
from tests.visit_folder import HEALING, visit_files

NONE_RELEASED = Shelf(None)
OTHER = f"sha-256:{0:064}"


@pytest.fixture
def record(small_book, case_of):
    return json.loads(json.dumps(record_of(small_book, case_of(base_width_mm=12))))


@pytest.fixture
def raised(book_with):
    """The small book, changed: what is wide may be frozen with care unsampled."""
    files = {"suitability/sample_a_wide_one.yaml": None, "suitability/watch_the_ear.yaml": None}
    return book_with(files)


def causes(found):
    return [(one["what"], one["name"]) for one in found["causes"]]


def test_the_same_rule_book_gives_the_same_answer(record, small_book):
    found = reproduce(record, small_book, NONE_RELEASED)

    assert found["same_conclusion"] and found["same_text"] and found["recorded_book_at_hand"]
    assert found["causes"] == found["differences"] == []


def test_a_record_needs_no_more_than_case_and_answer(record, small_book):
    found = reproduce({"case": record["case"], "answer": record["answer"]}, small_book, NONE_RELEASED)

    assert found["same_text"]


def test_a_rule_book_that_changed_is_named_with_the_rules_that_did(record, raised):
    found = reproduce(record, raised, NONE_RELEASED)

    assert not found["same_conclusion"]
    assert causes(found) == [
        ("rule_book", "version"),
        ("rule", "suitability/sample_a_wide_one"),
        ("rule", "suitability/watch_the_ear"),
    ]
    assert {"pointer": "#/lesions/0/suitability/at_least", "was": "sample_first", "now": None} in found["differences"]


def test_the_release_that_answered_gives_the_same_answer_for_ever(record, raised, small_book, tmp_path):
    write_release(small_book, tmp_path / "released")
    shelf = Shelf(tmp_path)

    found = reproduce(record, raised, shelf)

    assert found["same_text"] and found["recorded_book_at_hand"]
    assert found["answered_by"]["digest"] == small_book.digest
    shelf.close()


@pytest.mark.parametrize(
    ("part", "value", "cause"),
    [
        ("freeze_table", {"version": "0", "digest": OTHER}, ("freeze_table", "version")),
        ("engine_version", "0.0.1", ("engine_version", "version")),
        ("answer_contract", 7, ("answer_contract", "version")),
        ("case_digest", OTHER, ("case", "digest")),
    ],
)
def test_what_is_no_longer_the_same_is_told_though_the_answer_is(record, small_book, part, value, cause):
    record["answer"][part] = value

    found = reproduce(record, small_book, NONE_RELEASED)

    assert causes(found) == [cause]
    assert found["same_conclusion"]


def test_another_text_is_told_and_is_no_other_conclusion(record, small_book):
    record["answer"]["notice"] = "Another notice."

    found = reproduce(record, small_book, NONE_RELEASED)

    assert found["same_conclusion"] and not found["same_text"]
    assert [one["pointer"] for one in found["differences"]] == ["#/notice"]


def tampered(record, change):
    change(record["answer"])
    return record


@pytest.mark.parametrize(
    "change",
    [
        lambda answer: answer["lesions"][0]["suitability"].update(verdict="suitable"),
        lambda answer: answer["lesions"][0]["suitability"].pop("verdict"),
        lambda answer: answer["lesions"][0]["suitability"].update(at_least=None),
        lambda answer: answer["lesions"][0]["suitability"]["reasons"].pop(),
        lambda answer: answer["lesions"][0]["suitability"]["reasons"][0].update(rule="suitability/another"),
        lambda answer: answer["lesions"].append(answer["lesions"][0]),
        lambda answer: answer["lesions"][0].update(method={"applicator": "cone"}),
        lambda answer: answer.update(status="data-required"),
        lambda answer: answer.update(lesions=7),
    ],
)
def test_an_answer_that_was_changed_beside_its_digest_is_no_same_conclusion(record, small_book, change):
    found = reproduce(tampered(record, change), small_book, NONE_RELEASED)

    assert found["same_conclusion"] is False
    assert found["matches_own_digest"] is False
    assert found["differences"]


def test_numbers_and_dates_of_a_changed_answer_are_held_against_its_digest(visit_book):
    record = healing_record(visit_book, {})
    milestone = next(one for one in record["answer"]["calendar"] if one["milestone"] == "recheck")
    milestone["to_day"] += 1

    found = reproduce(record, visit_book, NONE_RELEASED)

    assert found["matches_own_digest"] is False


def test_an_answer_with_its_trace_matches_its_digest(small_book, case_of):
    case = case_of(base_width_mm=12)
    answer = json.loads(json.dumps(small_book.recommend(case, trace=True)))

    found = reproduce({"case": dict(case.plain), "answer": answer}, small_book, NONE_RELEASED)

    assert found["same_conclusion"] and found["matches_own_digest"]
    assert not found["same_text"]


def test_without_an_answer_of_that_digest_nothing_is_said_of_the_record(record, raised):
    assert reproduce(record, raised, NONE_RELEASED)["matches_own_digest"] is None


def test_ten_and_ten_point_nought_are_no_difference(record, small_book):
    record["case"]["lesions"][0]["base_width_mm"] = 12.0

    assert reproduce(record, small_book, NONE_RELEASED)["same_text"]


@pytest.mark.parametrize(
    ("record", "pointer"),
    [
        ([], "#"),
        ({"answer": {}}, "#/case"),
        ({"case": {}}, "#/answer"),
        ({"case": {}, "answer": {}}, "#/answer/as_of"),
        ({"case": {}, "answer": {}, "owner": "nobody"}, "#"),
    ],
)
def test_a_record_that_cannot_be_used_is_refused_at_its_place(record, pointer, small_book):
    with pytest.raises(CaseError) as refused:
        reproduce(record, small_book, NONE_RELEASED)

    assert pointer in [fault.pointer for fault in refused.value.faults]


def test_a_fault_of_the_case_is_told_at_its_place_in_the_record(record, small_book):
    record["case"]["lesions"][0]["base_width_mm"] = 9000

    with pytest.raises(CaseError) as refused:
        reproduce(record, small_book, NONE_RELEASED)

    assert [fault.pointer for fault in refused.value.faults] == ["#/case/lesions/0/base_width_mm"]


def test_a_record_says_in_prov_words_what_was_used_and_generated_by_whom(record):
    told = record["provenance"]

    assert {one["prov:entity"] for one in told["used"].values()} == {
        "thawline:case",
        "thawline:rule-book",
        "thawline:freeze-table",
    }
    assert [one["prov:entity"] for one in told["wasGeneratedBy"].values()] == ["thawline:answer"]
    assert [one["prov:agent"] for one in told["wasAssociatedWith"].values()] == list(told["agent"])


def test_what_relations_name_in_a_record_stands_in_it(record):
    told = record["provenance"]
    named = {"prov:entity": told["entity"], "prov:activity": told["activity"], "prov:agent": told["agent"]}

    for relation in ("used", "wasGeneratedBy", "wasAssociatedWith"):
        for ends in told[relation].values():
            assert all(end in named[kind] for kind, end in ends.items())


def test_a_record_made_twice_is_the_same(record, small_book, case_of):
    assert json.loads(json.dumps(record_of(small_book, case_of(base_width_mm=12)))) == record


def test_a_wish_for_a_version_that_is_gone_does_not_stop_a_reproduction(small_book, case_of, record):
    record["case"]["rule_book_version"] = "2020.01.0"

    found = reproduce(record, small_book, NONE_RELEASED)

    assert found["same_conclusion"]
    assert found["causes"] == []


def test_a_moment_that_the_rule_book_does_not_decide_is_refused(small_book, record):
    record["case"] = {"patient": {}, "lesion": {}, "healing": {}}

    with pytest.raises(CaseError, match="decides nothing after the freeze"):
        reproduce(record, small_book, NONE_RELEASED)


@pytest.fixture(scope="module")
def visit_book(tmp_path_factory):
    book = RuleBook(read_rule_folder(write(tmp_path_factory.mktemp("visit") / "rules", visit_files())))
    yield book
    book.close()


def healing_record(book, settled):
    """A record of the healing review, given when the library knew the settled days otherwise than it does now."""
    case = book.read(HEALING, today=datetime.date(2026, 12, 5), moment="after")
    case = case._replace(holidays=dataclasses.replace(case.holidays, settled=settled))
    return json.loads(json.dumps(record_of(book, case)))


def recheck(answer):
    return next(one["visit_on"] for one in answer["calendar"] if one["milestone"] == "recheck")


@pytest.mark.parametrize(
    ("then", "visit_on"),
    [
        ({}, "2026-12-29"),  # as the library has it: the 25th, and the 28th for Boxing Day
        ({datetime.date(2026, 12, 25): None}, "2026-12-25"),  # a library that did not know Christmas Day yet
        ({datetime.date(2026, 12, 29): "A day of mourning"}, "2026-12-30"),  # one that knew a day more
    ],
)
def test_a_newer_library_of_holidays_changes_no_answer_that_was_given(visit_book, then, visit_on):
    record = healing_record(visit_book, then)

    found = reproduce(record, visit_book, NONE_RELEASED)

    assert recheck(record["answer"]) == visit_on
    assert found["same_conclusion"] and found["same_text"]


def test_days_that_the_record_never_looked_at_are_the_librarys(visit_book):
    record = healing_record(visit_book, {datetime.date(2026, 12, 25): None})
    record["answer"]["calendar"] = []

    found = reproduce(record, visit_book, NONE_RELEASED)

    assert [recheck({"calendar": one["now"]}) for one in found["differences"]] == ["2026-12-29"]


@pytest.mark.parametrize("calendar", [7, [7], [{"from_date": 7, "visit_on": "2026-12-29"}], [{"visit_on": "soon"}]])
def test_a_recorded_calendar_that_cannot_be_read_settles_nothing_and_is_told(visit_book, calendar):
    record = healing_record(visit_book, {})
    record["answer"]["calendar"] = calendar

    found = reproduce(record, visit_book, NONE_RELEASED)

    assert not found["same_conclusion"] and found["matches_own_digest"] is False
    assert found["differences"]
