"""What a change of the rules does, in boxes: exact, which every case of the small folder confirms."""

import itertools

import pytest

from decision.reviewer.comparison import compare
from decision.reviewer.joined_boxes import JoinedBoxes
from tests.small_folder import small_files

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
    cells = joined.boxes.cells
    read = ["site", "base_width_mm", "known_diagnosis", "diagnosis_basis", "infected", "cold_reaction"]
    values = [[value for value in cells.values[name] if value is not None] for name in read]
    less, more = list(joined.less_cautious()), list(joined.more_cautious())
    assert less or more
    node = joined.after.node
    for case in (dict(zip(read, chosen, strict=True)) for chosen in itertools.product(*values)):
        was, now = (_at_least(book, case) for book in (small_book, other))
        moved = (node.rank(now) > node.rank(was)) - (node.rank(now) < node.rank(was))
        full = {**{name: cells.values[name][0] for name in cells.values}, **case}
        assert (_inside(full, less, cells), _inside(full, more, cells)) == (moved < 0, moved > 0), (case, was, now)


def _inside(case, pieces, cells):
    return any(cells.contains(piece, case) for piece, _ in pieces)


def _at_least(book, case):
    lesion = {name: value for name, value in case.items() if name != "cold_reaction"}
    patient = {"species": "dog", "cold_reaction": case["cold_reaction"]}
    data = {"as_of": "2026-11-24", "patient": patient, "lesions": [{"lesion_id": "one", **lesion}]}
    return book.recommend(data)["lesions"][0]["suitability"]["at_least"]
