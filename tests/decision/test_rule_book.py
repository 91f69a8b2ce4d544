"""The rule book that answers: pins, digests, what an answer holds."""

import dataclasses
import datetime
import gc
import itertools
import json
import random

import orjson
import pytest
from hypothesis import given
from hypothesis import strategies as st

from decision import load_rule_book
from decision.errors import RuleBookError, UnknownVersion
from decision.folder_reading import read_rule_folder
from decision.rule_book import RuleBook
from tests.random_rules import CHANCES, STEADY, message, stated_facts
from tests.small_folder import small_files, write

CASE = {
    "as_of": "2026-11-24",
    "patient": {"species": "dog", "age_years": 11},
    "lesions": [{"lesion_id": "a", "base_width_mm": 4, "height_mm": 2, "infected": False, "site": "trunk"}],
    "equipment": {"cone_bores_mm": [6, 12]},
}


def altered(**lesion):
    return {**CASE, "lesions": [{**CASE["lesions"][0], **lesion}]}


@pytest.fixture
def book_with(tmp_path):
    """A book whose folder was changed before it was read."""
    made = []

    def make(change):
        files = small_files()
        change(files)
        made.append(RuleBook(read_rule_folder(write(tmp_path / f"rules{len(made)}", files))))
        return made[-1]

    yield make
    for book in made:
        book.close()


# --- versions ---------------------------------------------------------------------------------------------


def test_the_version_that_is_loaded_may_be_pinned(small_book):
    pinned = {**CASE, "rule_book_version": "2026.11.0"}

    assert small_book.recommend(pinned)["rule_book"] == {"version": "2026.11.0", "digest": small_book.digest}


@pytest.mark.parametrize("version", ["2026.11.1", "2026.12.0", "2025.01.0"])
def test_another_version_is_refused_and_never_replaced(small_book, version):
    with pytest.raises(UnknownVersion):
        small_book.recommend({**CASE, "rule_book_version": version})


def test_an_unknown_version_is_told_which_one_is_at_hand(small_book):
    with pytest.raises(UnknownVersion) as refusal:
        small_book.recommend({**CASE, "rule_book_version": "2026.11.1"})

    assert str(refusal.value) == "the rule book loaded is 2026.11.0; no other version is at hand."


# --- digests ----------------------------------------------------------------------------------------------


def test_the_same_case_has_the_same_conclusion_by_two_loads_of_the_same_rules(small_book, book_with):
    again = book_with(lambda files: None)

    assert again.recommend(CASE) == small_book.recommend(CASE)


def test_the_order_of_keys_in_a_case_does_not_matter(small_book):
    turned = json.loads(json.dumps(CASE, sort_keys=True))
    turned["lesions"] = [dict(reversed(turned["lesions"][0].items()))]

    assert small_book.recommend(turned) == small_book.recommend(CASE)


def test_ten_and_ten_point_nought_are_one_case(small_book):
    assert small_book.recommend(altered(base_width_mm=10)) == small_book.recommend(altered(base_width_mm=10.0))


@pytest.mark.parametrize(
    "changed",
    [
        {"base_width_mm": 4.5},  # the same rules hold, on another value
        {"infected": True},
        {"site": "pinna"},
        {"height_mm": 1},
    ],
)
def test_another_fact_is_another_conclusion(small_book, changed):
    digests = {small_book.recommend(one)["conclusion_digest"] for one in (CASE, altered(**changed))}

    assert len(digests) == 2


def test_the_name_of_a_lesion_is_part_of_the_case_digest(small_book):
    assert small_book.recommend(CASE)["case_digest"] != small_book.recommend(altered(lesion_id="b"))["case_digest"]


def test_another_wording_of_a_rule_leaves_the_conclusion_as_it_was(small_book, book_with):
    def reword(files):
        files["suitability/freeze_a_small_one.yaml"]["explanation"] = "Another explanation of the same rule."

    assert book_with(reword).recommend(CASE)["conclusion_digest"] == small_book.recommend(CASE)["conclusion_digest"]


def test_another_wording_of_a_rule_is_another_rule_book(small_book, book_with):
    def reword(files):
        files["suitability/freeze_a_small_one.yaml"]["explanation"] = "Another explanation of the same rule."

    assert book_with(reword).digest != small_book.digest


def test_another_limit_that_decides_is_another_conclusion(small_book, book_with):
    def lower(files):
        narrow = files["suitability/freeze_a_small_one.yaml"]
        narrow["when"]["base_width_mm"] = "< 3"
        for example, width in zip(narrow["examples"], (2.9, 3, 2.9), strict=True):
            example["case"]["base_width_mm"] = width

    assert book_with(lower).recommend(CASE)["conclusion_digest"] != small_book.recommend(CASE)["conclusion_digest"]


@STEADY
@given(st.data(), CHANCES)
def test_a_case_concludes_the_same_every_time_and_in_every_order_of_its_facts(small_book, data, chance: random.Random):
    known = data.draw(stated_facts(small_book.folder, "patient", "lesion", "equipment"))
    shuffled = dict(chance.sample(list(known.items()), len(known)))

    answers = [small_book.recommend(message(one, small_book.vocabulary)) for one in (known, shuffled)]

    assert answers[0] == answers[1]


# --- what an answer holds ---------------------------------------------------------------------------------


def test_a_case_as_data_is_read_with_the_date_of_today(small_book):
    undated = {name: part for name, part in CASE.items() if name != "as_of"}
    before = datetime.datetime.now(tz=datetime.UTC).date()

    as_of = datetime.date.fromisoformat(small_book.recommend(undated)["as_of"])

    assert before <= as_of <= datetime.datetime.now(tz=datetime.UTC).date()


def test_an_answer_can_be_written_as_json(small_book):
    answer = small_book.recommend(CASE, trace=True)

    assert json.loads(orjson.dumps(answer)) == json.loads(json.dumps(answer))


def test_the_trace_is_told_only_when_asked_for(small_book):
    plain, traced = (small_book.recommend(CASE, trace=trace)["lesions"][0] for trace in (False, True))

    assert traced.keys() - plain.keys() == {"outranked", "still_open", "did_not_apply", "not_told"}


def test_the_trace_does_not_change_the_rest(small_book):
    plain, traced = (small_book.recommend(CASE, trace=trace) for trace in (False, True))
    for name in ("outranked", "still_open", "did_not_apply", "not_told"):
        del traced["lesions"][0][name]

    assert traced == plain


def test_lesions_are_answered_in_the_order_of_the_case(small_book):
    lesions = [{"lesion_id": name} for name in ("z", "a", "m")]

    answers = small_book.recommend({"patient": {}, "lesions": lesions})["lesions"]

    assert [one["lesion_id"] for one in answers] == ["z", "a", "m"]


@STEADY
@given(st.data())
def test_a_lesion_is_answered_the_same_alone_and_beside_another(small_book, data):
    lesions = [{"lesion_id": name, **data.draw(stated_facts(small_book.folder, "lesion"))} for name in ("a", "b")]

    together = small_book.recommend({"patient": {}, "lesions": lesions})["lesions"]

    assert together == [small_book.recommend({"patient": {}, "lesions": [lesion]})["lesions"][0] for lesion in lesions]


@pytest.mark.parametrize(
    ("lesions", "status"),
    [
        ([{"infected": True}], "success"),
        ([{"site": "pinna"}], "data-requested"),  # watch stands, more could make it more cautious
        ([{}], "data-required"),
        ([{"infected": True}, {"site": "pinna"}], "data-requested"),
        ([{"infected": True}, {"site": "pinna"}, {}], "data-required"),
    ],
)
def test_the_status_is_that_of_the_lesion_answered_least(small_book, lesions, status):
    case = {"patient": {}, "lesions": [{"lesion_id": f"l{i}", **one} for i, one in enumerate(lesions)]}

    assert small_book.recommend(case)["status"] == status


def test_the_sources_cited_by_a_reason_are_given_in_full(book_with):
    def cite(files):
        evidence = files["suitability/leave_an_infected_one.yaml"]["evidence"]
        evidence.update(citations=["smith_2020"], limits="Only one animal was seen.")

    sources = book_with(cite).recommend(altered(infected=True))["sources"]

    assert sources == {"smith_2020": "Smith A. A source invented for tests. Nowhere, 2020."}


def test_a_source_that_no_reason_cites_is_not_given(book_with):
    def cite(files):
        evidence = files["suitability/leave_an_infected_one.yaml"]["evidence"]
        evidence.update(citations=["smith_2020"], limits="Only one animal was seen.")

    assert book_with(cite).recommend(CASE)["sources"] == {}


def test_the_notice_is_that_of_the_rule_book(small_book):
    assert small_book.recommend(CASE)["notice"] == "For tests of the engine only; it says nothing about animals."


# --- method and plan --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bores", "size", "available"),
    [
        ([6, 12], 6.0, True),
        ([12], None, False),
        ([], None, False),
    ],
)
def test_a_cone_is_sized_from_those_at_hand(small_book, bores, size, available):
    method = small_book.recommend({**CASE, "equipment": {"cone_bores_mm": bores}})["lesions"][0]["method"]

    assert (method["contact_diameter_mm"], method["available"]) == (size, available)


def test_sizes_that_are_not_stated_are_not_taken_for_none(small_book):
    method = small_book.recommend({**CASE, "equipment": {}})["lesions"][0]["method"]

    assert (method["contact_diameter_mm"], method["available"]) == (None, None)


def test_when_nothing_at_hand_fits_there_is_no_plan(small_book):
    answer = small_book.recommend({**CASE, "equipment": {"cone_bores_mm": [12]}})["lesions"][0]

    assert (answer["method"]["applicator"], answer["plan"]) == ("cone", None)


def test_when_nothing_at_hand_fits_the_verdict_stays(small_book):
    answer = small_book.recommend({**CASE, "equipment": {"cone_bores_mm": [12]}})["lesions"][0]

    assert answer["suitability"]["verdict"] == "suitable"


def test_a_plan_gives_what_its_rules_say(small_book):
    plan = small_book.recommend(CASE)["lesions"][0]["plan"]

    assert (plan["cycles"], plan["contact_s"]) == (2, {"low": 20, "high": 25})


def test_a_quantity_that_no_rule_settles_is_null(small_book):
    lesion = {name: value for name, value in CASE["lesions"][0].items() if name != "height_mm"}

    assert small_book.recommend({**CASE, "lesions": [lesion]})["lesions"][0]["plan"]["cycles"] is None


def test_cautions_are_given_whatever_the_verdict(small_book):
    cautions = small_book.recommend(altered(infected=True, site="eyelid_skin"))["lesions"][0]["cautions"]

    assert [one["summary"] for one in cautions] == ["The eye is near."]


def test_the_most_urgent_caution_comes_first(small_book):
    case = {**altered(site="eyelid_skin"), "patient": {"cold_reaction": True, "pregnant": True}}

    cautions = small_book.recommend(case)["lesions"][0]["cautions"]

    assert [one["urgency"] for one in cautions] == ["critical", "warning", "info"]


# --- loading ----------------------------------------------------------------------------------------------


def test_a_folder_is_loaded_by_its_path(tmp_path):
    book = load_rule_book(write(tmp_path / "rules", small_files()))

    answer = book.recommend(CASE)
    book.close()

    assert answer["lesions"][0]["suitability"]["verdict"] == "suitable"


def test_a_book_with_a_fault_is_not_loaded_at_all(tmp_path):
    files = small_files()
    files["plan/freeze_once.yaml"]["when"]["height_mm"] = 2

    with pytest.raises(RuleBookError):
        load_rule_book(write(tmp_path / "rules", files))


def test_books_that_were_closed_leave_nothing_behind(tmp_path):
    folder = write(tmp_path / "rules", small_files())

    def objects_after(reloads):
        for _ in range(reloads):
            load_rule_book(folder).close()
        gc.collect()
        return len(gc.get_objects())

    before = objects_after(30)  # fills what is kept for the last few vocabularies

    assert objects_after(30) - before < 100


def test_two_books_answer_side_by_side(book_with):
    def forbid(files):
        files["suitability/leave_an_infected_one.yaml"]["conclude"]["verdict"] = "watch"

    one, other = book_with(lambda files: None), book_with(forbid)

    verdicts = [
        book.recommend(altered(infected=True))["lesions"][0]["suitability"]["verdict"]
        for book in itertools.chain.from_iterable([(one, other)] * 2)
    ]

    assert verdicts == ["do_not_freeze", "watch"] * 2


def test_the_order_in_which_rules_are_kept_does_not_change_the_conclusion(small_folder, small_book):
    turned = {name: rules[::-1] for name, rules in small_folder.rules.items()}
    book = RuleBook(dataclasses.replace(small_folder, rules=turned))

    digest = book.recommend(CASE)["conclusion_digest"]
    book.close()

    assert digest == small_book.recommend(CASE)["conclusion_digest"]
