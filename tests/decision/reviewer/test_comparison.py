"""What a change of the rules does, in boxes: exact, which every case of the small folder confirms."""

import itertools

import pytest

from decision.folder_reading import read_rule_folder
from decision.reviewer.comparison import compare
from decision.reviewer.joined_boxes import JoinedBoxes
from decision.rule_book import RuleBook
from tests.random_rules import message
from tests.small_folder import small_files, write
from tests.visit_folder import visit_files

SAMPLE, EAR = "suitability/sample_a_wide_one.yaml", "suitability/watch_the_ear.yaml"


def ladder(found):
    return next(one for one in found.ladders if one.ladder == "suitability")


def with_answer(name, answer):
    data = small_files()[name]
    data["conclude"] = {"verdict": answer}
    return {name: data}


def test_the_same_rules_answer_every_case_the_same(small_book):
    found = compare(small_book, small_book)

    assert found.rules.none
    assert not ladder(found).less_cautious and not ladder(found).more_cautious


def test_a_rule_that_goes_makes_some_cases_less_cautious(small_book, book_with):
    found = compare(small_book, book_with({SAMPLE: None}))

    assert found.rules.withdrawn == ("suitability/sample_a_wide_one",)
    assert found.less_cautious
    assert {box.rule for box in ladder(found).less_cautious} == {"suitability/sample_a_wide_one"}
    assert not ladder(found).more_cautious


def test_a_rule_that_comes_makes_some_cases_more_cautious(small_book, book_with):
    found = compare(book_with({EAR: None}), small_book)

    assert found.rules.added == ("suitability/watch_the_ear",)
    assert not found.less_cautious
    assert ladder(found).more_cautious


def test_another_answer_of_a_rule_is_told_with_what_a_case_answers(small_book, book_with):
    found = compare(small_book, book_with(with_answer(EAR, "do_not_freeze")))

    assert [(one.rule, one.changed) for one in found.rules.changed] == [("suitability/watch_the_ear", ("conclusion",))]
    assert {(box.was, box.now) for box in ladder(found).more_cautious} <= {
        ("watch", "do_not_freeze"),
        ("sample_first", "do_not_freeze"),
    }


def test_another_word_changes_no_box(small_book, book_with):
    data = small_files()[EAR]
    data["purpose"] = "Give the tests of the engine something else to run."

    found = compare(small_book, book_with({EAR: data}))

    assert [one.changed for one in found.rules.changed] == [("words",)]
    assert not ladder(found).less_cautious and not ladder(found).more_cautious


def test_another_limit_is_told_as_the_widths_between_both(small_book, book_with):
    data = small_files()[SAMPLE]
    data["when"] = {"base_width_mm": ">= 12"}
    for example in data["examples"]:
        example["case"]["base_width_mm"] = 12

    found = compare(small_book, book_with({SAMPLE: data}))

    assert {box.where["base_width_mm"] for box in ladder(found).less_cautious} == {"at least 10 and under 12"}


@pytest.mark.parametrize(
    "changed",
    [{SAMPLE: None}, {EAR: None}, with_answer(EAR, "sample_first"), with_answer(SAMPLE, "watch")],
    ids=["no sampling", "no ear", "ear sampled", "wide watched"],
)
def test_boxes_say_of_every_case_what_both_engines_answer(small_book, book_with, changed):
    other = book_with(changed)
    joined = JoinedBoxes.of(small_book.folder, other.folder, "suitability")
    cells = joined.cells
    read = ["site", "base_width_mm", "known_diagnosis", "diagnosis_basis", "infected", "cold_reaction"]
    values = [[value for value in cells.values[name] if value is not None] for name in read]
    less, more = list(joined.less_cautious()), list(joined.more_cautious())
    assert less or more
    node = joined.node
    for case in (dict(zip(read, chosen, strict=True)) for chosen in itertools.product(*values)):
        was, now = (_at_least(book, case) for book in (small_book, other))
        moved = (node.rank(now) > node.rank(was)) - (node.rank(now) < node.rank(was))
        full = {**{name: cells.values[name][0] for name in cells.values}, **case}
        assert (_inside(full, less, cells), _inside(full, more, cells)) == (moved < 0, moved > 0), (case, was, now)


FOAM, CONE = "method/use_foam_at_the_eye.yaml", "method/use_a_cone.yaml"


def foam_with_care_only():
    data = small_files()[FOAM]
    data["when"] = {"suitability": "suitable_with_care", "site": "eyelid_skin"}
    for example in data["examples"]:
        example["case"] = {"suitability": "suitable_with_care", **example["case"]} if example["case"] else {}
    return {FOAM: data}


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ({}, {FOAM: None}),
        ({CONE: None}, {}),
        ({}, {"cautions/take_care_at_the_eye.yaml": None, **foam_with_care_only()}),
        (foam_with_care_only(), {"cautions/take_care_at_the_eye.yaml": None, **foam_with_care_only()}),
    ],
    ids=["no foam", "a cone", "no care and foam with care only", "care goes, foam with care stays"],
)
def test_a_ladder_that_another_one_opens_is_compared_where_both_books_ask_it(book_with, was, now):
    before, after = book_with(was), book_with(now)
    joined = JoinedBoxes.of(before.folder, after.folder, "method")
    cells, node = joined.cells, joined.node
    read = ["site", "base_width_mm", "known_diagnosis", "diagnosis_basis", "infected", "cold_reaction", "cryogen"]
    values = [[value for value in cells.values[name] if value is not None] for name in read]
    less, more = list(joined.less_cautious()), list(joined.more_cautious())
    assert less or more
    for case in (dict(zip(read, chosen, strict=True)) for chosen in itertools.product(*values)):
        found = [_ranges(book, case).get("method") for book in (before, after)]
        ranks = [node.rank(one.at_least) for one in found if one]
        moved = (ranks[1] > ranks[0]) - (ranks[1] < ranks[0]) if len(ranks) == 2 else 0
        full = {**{name: cells.values[name][0] for name in cells.values}, **case}
        assert (_inside(full, less, cells), _inside(full, more, cells)) == (moved < 0, moved > 0), (case, found)


def test_another_plan_is_told_by_the_review_that_reads_it(tmp_path):
    files = visit_files()
    repeat = files["cycle_review/repeat_the_first.yaml"]
    repeat["when"]["cycles"] = ">= 2"
    for example in repeat["examples"]:
        example["case"] = {**example["case"], "cycles": 2} if example["case"] else {}
    before = RuleBook(read_rule_folder(write(tmp_path / "before", files)))
    files["plan/freeze_once.yaml"]["conclude"] = {"cycles": 2}
    after = RuleBook(read_rule_folder(write(tmp_path / "after", files)))

    found = next(one for one in compare(before, after).ladders if one.ladder == "cycle_review")

    boxes = (*found.less_cautious, *found.more_cautious)
    assert boxes
    assert all(box.shown for box in boxes)


def test_every_ladder_of_the_shipped_rules_is_compared(shipped_book):
    found = compare(shipped_book, shipped_book)

    assert {one.ladder for one in found.ladders} == {"suitability", "method", "cycle_review", "healing_review"}
    assert found.not_compared == ()
    assert not any(one.less_cautious or one.more_cautious for one in found.ladders)


def test_decisions_without_answers_are_named_by_the_rules_that_change(small_book, book_with):
    files = {"plan/freeze_once.yaml": None, "suitability/watch_the_ear.yaml": None}

    found = compare(small_book, book_with(files))

    assert found.rules.decisions == ["plan", "suitability"]
    assert found.statements == ["plan"]


def test_a_ladder_with_other_answers_is_not_compared(small_book, book_with):
    node = small_files()["method/decision.yaml"]
    node["answers"] = {**node["answers"], "nothing_at_all": "nothing"}

    found = compare(small_book, book_with({"method/decision.yaml": node}))

    assert found.not_compared == ("method",)


def _inside(case, pieces, cells):
    return any(cells.contains(piece, case) for piece, _ in pieces)


def _at_least(book, case):
    return _ranges(book, case)["suitability"].at_least


def _ranges(book, case):
    (run,) = book.runs(book.checked(message(case, book.vocabulary)))
    return run.ranges
