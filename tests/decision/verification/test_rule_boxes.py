"""Rules as boxes, against the naive judge and against the functions that compute derived quantities."""

import random

import pytest

from decision.derived import ALWAYS_KNOWN, DERIVED, FLOORED, STAYS_KNOWN, derive, ways_of
from decision.rule_folder import RuleFolder
from decision.verification.case_search import CaseSearch
from decision.verification.cells import Cells
from decision.verification.rule_boxes import RuleBoxes
from tests.kleene import outcome
from tests.random_books import every_case, folder_of, random_files
from tests.small_folder import rule, small_files

CASES = 300
EVERY_OUTCOME = [(said, {}) for said in ("holds", "fails", "unknown")]


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


@pytest.mark.parametrize("name", sorted(STAYS_KNOWN))
def test_what_is_said_to_stay_known_does_and_moves_up_as_the_vocabulary_says(name, shipped_book):
    inputs, chance = shipped_book.vocabulary.inputs, random.Random(name)
    search = CaseSearch(RuleBoxes(shipped_book.folder), chance)
    tried = 0

    while tried < CASES:
        case = search.case_in(known_box(name, search), "during")
        if case is None:
            continue
        one = inputs[chance.choice(sorted(STAYS_KNOWN[name]))]
        end = one.high if inputs[name].parents[one.name] == "rises" else one.low
        riskier = chance.uniform(case[one.name], end)

        assert DERIVED[name]({**case, one.name: riskier}) >= DERIVED[name](case)
        tried += 1


def known_box(name: str, search: CaseSearch) -> int:
    cells = search.cells
    return cells.with_places(cells.whole, name, [0, 1])  # false or true, never unknown


@pytest.mark.parametrize(
    ("name", "parent"), [(name, parent) for name, parents in FLOORED.items() for parent in parents]
)
def test_what_is_said_to_be_computed_from_a_whole_number_does_not_see_the_fraction(name, parent, shipped_book):
    chance = random.Random(name)
    search = CaseSearch(RuleBoxes(shipped_book.folder), chance)

    for _ in range(CASES):
        case = search.case_in(search.cells.whole, "during")
        whole = float(chance.randint(1, 9))

        assert DERIVED[name]({**case, parent: whole}) == DERIVED[name]({**case, parent: whole + chance.random() / 2})


def test_an_exception_of_two_tests_is_a_box_for_each_test_not_met(tmp_path):
    files = small_files()
    files["suitability/odd.yaml"] = rule(
        {"infected": True},
        {"verdict": "watch"},
        *EVERY_OUTCOME,
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
        *EVERY_OUTCOME,
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


def test_a_review_reads_the_numbers_of_the_plan_for_the_applicator_in_hand(tmp_path):
    files = small_files()
    files["vocabulary.yaml"]["inputs"]["applicator_used"] = {
        "about": "cycle",
        "type": "code",
        "question": "With which applicator?",
        "allowed": {"cone": "a cone", "foam_tip": "a foam tip"},
        "risk": "none",
    }
    files["plan/freeze_thrice.yaml"] = rule({"method": "cone"}, {"cycles": 3}, *EVERY_OUTCOME)
    files["cycle_review/decision.yaml"] = {
        "question": "Was it enough?",
        "hit_policy": "priority",
        "concludes": "answer",
        "moments": ["during"],
        "answers": {"repeat": "again", "adequate": "enough"},
        "requires": {"inputs_about": ["lesion", "cycle"], "decisions": ["plan"]},
    }
    files["cycle_review/again.yaml"] = rule({"cycles": ">= 3"}, {"answer": "repeat"}, *EVERY_OUTCOME)
    folder = folder_of(files, tmp_path / "rules")
    boxes = RuleBoxes(folder)

    (box,) = boxes.of(folder.rule("cycle_review", "again"))

    assert boxes.cells.narrow(box) == ["applicator_used"]
    assert boxes.cells.contains(box, {"applicator_used": "cone"})
