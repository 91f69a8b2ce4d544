"""Rules as boxes, against the naive judge and against the functions that compute derived quantities."""

import random

import pytest

from decision.cells import Cells
from decision.derived import ALWAYS_KNOWN, DERIVED, derive, ways_of
from decision.rule_boxes import RuleBoxes
from decision.rule_folder import RuleFolder
from tests.kleene import outcome
from tests.random_books import every_case, folder_of, random_files
from tests.small_folder import rule, small_files

CASES = 300


def random_case(folder: RuleFolder, cells: Cells, chance: random.Random) -> dict:
    stated = [name for name, one in folder.vocabulary.inputs.items() if not one.derived and name in cells.values]
    return cells.pick(cells.whole, stated, chance)


@pytest.mark.parametrize("seed", range(25))
def test_a_rule_holds_exactly_where_one_of_its_boxes_contains_the_case(seed, tmp_path):
    folder = folder_of(random_files(random.Random(seed)), tmp_path / "rules")
    boxes = RuleBoxes(folder)
    rules = [one for node in ("cautions", "suitability") for one in folder.rules[node]]

    for case in every_case(folder):
        for one in rules:
            holds = outcome(one.written, {**case, **derive(case)}) == "holds"
            assert any(boxes.cells.contains(box, case) for box in boxes.of(one)) == holds


@pytest.mark.parametrize("name", [name for name in DERIVED if ways_of(name) is not None])
def test_what_is_stated_in_ways_is_what_the_function_computes(name, shipped_book):
    cells, chance = RuleBoxes(shipped_book.folder).cells, random.Random(name)
    ways = ways_of(name)
    assert ways is not None

    for _ in range(CASES):
        case = random_case(shipped_book.folder, cells, chance)
        way = chance.choice([way for stated in ways.values() for way in stated])
        for parent, allowed in way.items():  # near a way, where a slip would show
            if chance.random() < 0.8:
                case[parent] = chance.choice(sorted(allowed)) if isinstance(allowed, frozenset) else allowed[0]
        met = [value for value, stated in ways.items() if any(in_full(one, case) for one in stated)]

        assert DERIVED[name](case) == (met[0] if met else False)


def in_full(way, case) -> bool:
    return all(
        case[name] in allowed if isinstance(allowed, frozenset) else allowed[0] <= case[name] < allowed[1]
        for name, allowed in way.items()
    )


@pytest.mark.parametrize("name", sorted(ALWAYS_KNOWN))
def test_what_is_called_always_known_is_known_when_everything_is_stated(name, shipped_book):
    cells, chance = RuleBoxes(shipped_book.folder).cells, random.Random(name)

    for _ in range(CASES):
        assert DERIVED[name](random_case(shipped_book.folder, cells, chance)) is not None


def test_an_exception_of_two_tests_is_a_box_for_each_test_not_met(tmp_path):
    files = small_files()
    files["suitability/odd.yaml"] = rule(
        {"infected": True},
        {"verdict": "watch"},
        *[(said, {}) for said in ("holds", "fails", "unknown")],
        unless={"site": "pinna", "base_width_mm": ">= 10"},
    )
    folder = folder_of(files, tmp_path / "rules")

    boxes = RuleBoxes(folder)

    assert len(boxes.of(folder.rule("suitability", "odd"))) == 2


def test_a_rule_that_contradicts_what_it_rests_on_has_no_box(tmp_path):
    files = small_files()
    files["suitability/odd.yaml"] = rule(
        {"sampled": True, "known_diagnosis": "none"},
        {"verdict": "watch"},
        *[(said, {}) for said in ("holds", "fails", "unknown")],
    )
    folder = folder_of(files, tmp_path / "rules")

    assert RuleBoxes(folder).of(folder.rule("suitability", "odd")) == ()


def test_a_rule_is_read_by_the_inputs_its_derived_quantities_rest_on(small_folder):
    boxes = RuleBoxes(small_folder)

    assert boxes.read_by([small_folder.rule("suitability", "sample_a_wide_one")]) == {
        "base_width_mm",
        "diagnosis_basis",
        "known_diagnosis",
    }


def test_what_is_computed_with_numbers_is_free_and_may_be_unknown(tmp_path):
    files = small_files()
    files["vocabulary.yaml"]["inputs"]["raised_share"] = {
        "about": "derived",
        "type": "number",
        "question": "How much of it is reached?",
        "unit": "of it",
        "range": [0, 1],
        "risk": "falls",
        "from": {"base_width_mm": "none", "height_mm": "none", "cone_bores_mm": "none", "cryogen": "none"},
    }
    folder = folder_of(files, tmp_path / "rules")

    boxes = RuleBoxes(folder)

    assert set(boxes.free()) == {"needed_bore_mm", "height_to_width", "raised_share"}
    assert None in boxes.cells.values["raised_share"]
    assert None not in boxes.cells.values["needed_bore_mm"]
