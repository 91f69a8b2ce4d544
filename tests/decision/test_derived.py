"""Derived quantities: as the vocabulary declares them, and never known before every completion agrees."""

import itertools
import random

import pytest
from hypothesis import given

from decision.derived import DERIVED, derive
from decision.folder_reading import shipped_rules
from decision.strict_yaml import read_yaml
from decision.vocabulary import Input
from decision.vocabulary_file import read_vocabulary
from tests.random_rules import CHANCES, STEADY, cells

VOCABULARY, _ = read_vocabulary(read_yaml((shipped_rules() / "vocabulary.yaml").read_text(), file="vocabulary.yaml")[0])
INPUTS = VOCABULARY.inputs
NAMES = [one.name for one in INPUTS.values() if one.derived]

# Limits that the definitions name. Between two of them a quantity made of conditions cannot change.
LIMITS = {
    "age_years": (2.0, 3.0),
    "weeks_present": (12.0, 17.0, 52.0),
    "base_width_mm": (6.0,),
    "width_before_mm": (3.5, 4.0, 4.5),
    "width_now_mm": (3.5, 4.0, 4.5),
}
# Quantities that ask the freeze table are unknown where it gives no answer, whatever is stated.
OF_EARLIER_BOOKS = ["height_to_width"]  # 2026.11.0 names it, and can be asked for ever
BY_CONDITIONS = [name for name in NAMES if name not in {"reach_mm", "raised_share", "far_side_s", "thaw_against_band"}]
BY_CONDITIONS.remove("may_be_through")


def values(name: str, chance: random.Random) -> list:
    """Values of a parent, in the order in which its danger rises, or in that of the file."""
    one = INPUTS[name]
    if one.type == "boolean":
        return [False, True]
    if one.type == "code":
        return [code for step in steps(one) for code in step]
    if one.type == "numbers":
        return [tuple(chance.sample((2.5, 3.0, 5.0, 8.0, 12.0, 20.0), chance.randint(1, 4)))]
    return sorted({*cells(one, LIMITS.get(name, ())), *(chance.uniform(one.low, min(one.high, 40)) for _ in range(3))})


def steps(one: Input) -> list[list[str]]:
    """The codes of an input in the order of danger, those of equal danger together."""
    ordered = one.risk if isinstance(one.risk, list) else list(one.allowed)
    return [step if isinstance(step, list) else [step] for step in ordered]


def height(name: str, value) -> float:
    """Where a value stands in the order of its input."""
    one = INPUTS[name]
    if one.type == "code":
        return next(i for i, step in enumerate(steps(one)) if value in step)
    return float(value)


def stated(name: str, chance: random.Random) -> dict:
    """Every parent of a quantity, stated."""
    return {parent: chance.choice(values(parent, chance)) for parent in INPUTS[name].parents}


def test_the_vocabulary_and_the_functions_name_the_same_quantities():
    assert sorted([*NAMES, *OF_EARLIER_BOOKS]) == sorted(DERIVED)


@pytest.mark.parametrize("name", NAMES)
@STEADY
@given(CHANCES)
def test_a_quantity_moves_with_each_parent_in_the_declared_direction(name: str, chance: random.Random):
    facts = stated(name, chance)

    for parent, direction in INPUTS[name].parents.items():
        if direction == "none":
            continue
        found = [(height(parent, value), DERIVED[name]({**facts, parent: value})) for value in values(parent, chance)]
        heights = [(at, height(name, value)) for at, value in found if value is not None]
        for (low, before), (high, after) in itertools.combinations(sorted(heights), 2):
            wrong = low < high and (before > after if direction == "rises" else before < after)
            assert not wrong, (parent, facts)


@pytest.mark.parametrize("name", NAMES)
@STEADY
@given(CHANCES)
def test_a_quantity_known_from_some_facts_is_the_same_whatever_else_is_learnt(name: str, chance: random.Random):
    facts = stated(name, chance)
    some = {parent: value for parent, value in facts.items() if chance.random() < 0.6}

    known = DERIVED[name](some)

    assert known is None or DERIVED[name](facts) == known


@pytest.mark.parametrize("name", BY_CONDITIONS)
@STEADY
@given(CHANCES)
def test_a_quantity_is_unknown_exactly_when_two_completions_differ(name: str, chance: random.Random):
    facts = stated(name, chance)
    missing = chance.sample(list(facts), min(len(facts), chance.choice((1, 2, 2))))
    some = {parent: value for parent, value in facts.items() if parent not in missing}

    choices = [cells(INPUTS[parent], LIMITS.get(parent, ())) for parent in missing]
    completions = [{**some, **dict(zip(missing, chosen, strict=True))} for chosen in itertools.product(*choices)]
    reached = {DERIVED[name](completion) for completion in completions}

    assert DERIVED[name](some) == (reached.pop() if len(reached) == 1 else None)


@pytest.mark.parametrize("name", NAMES)
def test_a_quantity_of_which_nothing_is_stated_is_unknown(name):
    assert DERIVED[name]({}) is None


@pytest.mark.parametrize("name", NAMES)
@STEADY
@given(CHANCES)
def test_a_quantity_lies_in_its_declared_range(name: str, chance: random.Random):
    one, value = INPUTS[name], DERIVED[name](stated(name, chance))

    fits = {
        "number": lambda: type(value) is float and one.low <= value <= one.high,
        "boolean": lambda: type(value) is bool,
        "code": lambda: value in one.allowed,
    }
    assert value is None or fits[one.type]()


def test_only_what_is_settled_is_derived():
    assert derive({"base_width_mm": 4.0, "diagnosis_basis": "none"}) == {
        "sampled": False,
        "needed_bore_mm": 5.5,
        "classic_look": False,  # a look can name a lesion only where the diagnosis rests on it
    }


@pytest.mark.parametrize(
    ("facts", "answer"),
    [
        ({"diagnosis_basis": "cytology", "known_diagnosis": "papilloma"}, True),
        ({"diagnosis_basis": "histology", "known_diagnosis": "melanoma"}, True),
        ({"diagnosis_basis": "histology", "known_diagnosis": "none"}, False),  # a sample that named nothing
        ({"diagnosis_basis": "appearance", "known_diagnosis": "papilloma"}, False),
        ({"diagnosis_basis": "nondiagnostic"}, False),
        ({"known_diagnosis": "none"}, False),
        ({"diagnosis_basis": "cytology"}, None),
        ({"known_diagnosis": "papilloma"}, None),
    ],
)
def test_a_lesion_is_sampled_when_a_sample_named_it(facts, answer):
    assert DERIVED["sampled"](facts) is answer


WART = {"known_diagnosis": "papilloma"}


@pytest.mark.parametrize(
    ("facts", "answer"),
    [
        ({**WART, "species": "dog", "age_years": 1.9, "weeks_present": 11.9}, True),
        ({**WART, "species": "dog", "age_years": 2.0, "weeks_present": 11.9}, False),
        ({**WART, "species": "dog", "age_years": 1.9, "weeks_present": 12.0}, False),
        ({**WART, "species": "horse", "age_years": 2.9, "weeks_present": 16.9}, True),
        ({**WART, "species": "horse", "age_years": 2.9, "weeks_present": 17.0}, False),
        ({**WART, "species": "cattle", "age_years": 1.9, "weeks_present": 51.9}, True),
        ({**WART, "species": "cattle", "age_years": 1.9, "weeks_present": 52.0}, False),
        ({**WART, "species": "cat"}, False),
        ({**WART, "species": "dog", "age_years": 1.9, "weeks_present": 1.0, "known_diagnosis": "none"}, False),
        ({**WART, "species": "dog", "age_years": 1.9, "weeks_present": 1.0, "known_diagnosis": "melanoma"}, False),
        (
            {
                "species": "dog",
                "age_years": 2.9,
                "weeks_present": 11.0,
                "known_diagnosis": "histiocytoma",
                "diagnosis_basis": "cytology",
            },
            True,
        ),
        (
            {
                "species": "dog",
                "age_years": 2.9,
                "weeks_present": 11.0,
                "known_diagnosis": "histiocytoma",
                "diagnosis_basis": "appearance",  # a histiocytoma is named by a sample only
            },
            False,
        ),
        ({**WART, "species": "dog", "age_years": 1.9}, None),
    ],
)
def test_the_clock_runs_for_young_animals_within_the_usual_weeks(facts, answer):
    assert DERIVED["clock_running"](facts) is answer


CLASSIC = {
    "species": "dog",
    "lesion_kind": "frond_wart",
    "diagnosis_basis": "appearance",
    "known_diagnosis": "papilloma",
    "base_width_mm": 6.0,
    "colour": "pink",
    "change_4_weeks": "none",
    "surface": "intact",
    "site": "trunk",
}


@pytest.mark.parametrize(
    ("changed", "answer"),
    [
        ({}, True),
        ({"base_width_mm": 6.1}, False),
        ({"colour": "dark"}, False),
        ({"change_4_weeks": "slow"}, False),
        ({"change_4_weeks": "unknown"}, False),
        ({"surface": "ulcer_without_cause"}, False),
        ({"diagnosis_basis": "none"}, False),
        ({"known_diagnosis": "mast_cell_tumour"}, False),
        ({"lesion_kind": "dome_nodule"}, False),
        ({"species": "cat"}, False),
        ({"species": "horse"}, None),  # its age decides
        ({"species": "horse", "age_years": 2.9}, True),
        ({"species": "horse", "age_years": 3.0}, False),
        ({"species": "cattle", "age_years": 1.9}, True),
        ({"species": "cattle", "age_years": 2.0}, False),
        ({"species": "horse", "age_years": 2.9, "lesion_kind": "stalked_tag"}, False),
        *[({"site": site}, False) for site in ("digit", "coronary_band", "eyelid_margin", "mouth", "perianal")],
        *[({"site": site}, False) for site in ("scrotum", "nasal_planum", "ear_canal", "vulva", "mammary")],
    ],
)
def test_a_look_names_a_lesion_only_when_nothing_speaks_against_it(changed, answer):
    assert DERIVED["classic_look"]({**CLASSIC, **changed}) is answer


@pytest.mark.parametrize(("width", "bore"), [(0.5, 2.0), (4.0, 5.5), (300.0, 301.5)])
def test_a_cone_is_a_millimetre_and_a_half_wider_than_the_lesion(width, bore):
    assert DERIVED["needed_bore_mm"]({"base_width_mm": width}) == bore


@pytest.mark.parametrize(
    ("facts", "ratio"),
    [
        ({"height_mm": 3.0, "base_width_mm": 2.0}, 1.5),
        ({"height_mm": 0.0}, 0.0),  # flat, whatever the width
        ({"height_mm": 3.0}, None),
        ({"base_width_mm": 2.0}, None),
    ],
)
def test_height_is_held_against_width(facts, ratio):
    assert DERIVED["height_to_width"](facts) == ratio


@pytest.mark.parametrize(
    ("tissue", "bleeds", "snipped"),
    [
        (True, False, True),
        (True, True, False),
        (False, None, False),
        (None, True, False),
        (True, None, None),
        (None, False, None),
    ],
)
def test_nothing_is_snipped_where_the_patient_bleeds_easily(tissue, bleeds, snipped):
    stated = {"tissue_will_be_submitted": tissue, "bleeding_disorder": bleeds}

    assert DERIVED["snipped_first"]({name: one for name, one in stated.items() if one is not None}) is snipped
