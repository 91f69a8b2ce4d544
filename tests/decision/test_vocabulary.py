"""The vocabulary: what an input is, and each way in which its description can disagree with itself."""

import pytest

from decision.nearest import nearest
from decision.strict_yaml import Document
from decision.vocabulary import Input
from decision.vocabulary_file import read_vocabulary
from tests.small_folder import small_files


def read(change=None):
    data = small_files()["vocabulary.yaml"]
    if change:
        change(data["inputs"])
    return read_vocabulary(Document("vocabulary.yaml", data, {}))


def faults_after(name, **fields):
    """The faults, as path and message, of the vocabulary in which one input was described otherwise."""
    _, faults = read(lambda inputs: inputs[name].update(fields))
    return [(fault.path, fault.message) for fault in faults]


def test_inputs_keep_the_order_of_the_file():
    vocabulary, _ = read()

    assert list(vocabulary.inputs) == list(small_files()["vocabulary.yaml"]["inputs"])


def test_inputs_are_found_by_whom_they_are_about():
    vocabulary, _ = read()

    assert [one.name for one in vocabulary.about("equipment")] == ["cryogen", "cone_bores_mm", "foam_tips_mm"]


def test_inputs_are_found_by_their_check_list():
    vocabulary, _ = read()

    assert [one.name for one in vocabulary.in_group("lesion_signs")] == ["infected", "swells"]


def test_a_yes_or_no_input_of_a_check_list_is_absent_when_false():
    vocabulary, _ = read()

    assert vocabulary.inputs["infected"].absent is False


def test_a_presumed_whole_number_is_a_number_like_any_other():
    vocabulary, _ = read()

    assert type(vocabulary.inputs["similar_lesions"].presumed) is float


def test_what_is_presumed_in_a_review_is_asked_before_the_freeze():
    said = {"value": "skin_tag", "because": "It was named before the freeze."}
    vocabulary, faults = read(lambda inputs: inputs["known_diagnosis"].update(presume_in_review=said))
    one = vocabulary.inputs["known_diagnosis"]

    assert not faults
    assert [one.presumed_at(moment) for moment in ("before", "during", "after")] == [None, "skin_tag", "skin_tag"]
    assert one.presumed_because == "It was named before the freeze."


@pytest.mark.parametrize("moment", ["before", "during", "after"])
def test_what_is_always_presumed_is_presumed_at_every_moment(moment):
    vocabulary, _ = read()

    assert vocabulary.inputs["pregnant"].presumed_at(moment) is False


def test_a_presumed_false_stays_false_and_is_not_zero():
    vocabulary, _ = read()

    assert vocabulary.inputs["pregnant"].presumed is False


@pytest.mark.parametrize(
    ("name", "clinical"),
    [
        ("species", True),  # about the patient
        ("site", True),  # about the lesion
        ("sampled", True),  # computed from facts about the lesion
        ("cryogen", False),  # equipment
        ("practice_freezes_done", False),  # operator
    ],
)
def test_only_equipment_and_operator_do_not_tell_of_the_animal(name, clinical):
    vocabulary, _ = read()

    assert (vocabulary.on_the_shelf(vocabulary.inputs[name]) == ()) is clinical


def test_a_quantity_computed_from_equipment_too_does_not_tell_of_the_animal_alone():
    vocabulary, _ = read(lambda inputs: inputs["needed_bore_mm"]["from"].update(cone_bores_mm="none"))

    assert vocabulary.on_the_shelf(vocabulary.inputs["needed_bore_mm"]) != ()


def test_the_answer_of_a_decision_tells_of_the_animal():
    vocabulary, _ = read()

    assert vocabulary.on_the_shelf(Input("suitability", "decision", "code", "May it be frozen?")) == ()


@pytest.mark.parametrize(
    ("name", "label"),
    [
        ("base_width_mm", "base width"),
        ("weight_kg", "weight"),
        ("age_years", "age"),
        ("mm_from_margin", "mm from margin"),
        ("infected", "infected"),
    ],
)
def test_a_label_is_the_name_in_words_without_its_unit(name, label):
    assert Input(name, "lesion", "number", "How much?").label == label


@pytest.mark.parametrize(
    ("name", "fields", "path", "message"),
    [
        ("species", {"allowed": {}}, "inputs.species.allowed", "a code needs its allowed values."),
        ("species", {"risk": "rises"}, "inputs.species.risk", "the risk of a code is none, or its codes in order."),
        (
            "species",
            {"risk": ["dog", "cat"]},
            "inputs.species.risk",
            "list each allowed code once, from the least to the most risky.",
        ),
        (
            "species",
            {"risk": ["dog", ["cat", "dog"], "horse"]},
            "inputs.species.risk",
            "list each allowed code once, from the least to the most risky.",
        ),
        ("age_years", {"unit": None}, "inputs.age_years", "a number needs a unit and a range."),
        ("age_years", {"range": None}, "inputs.age_years", "a number needs a unit and a range."),
        ("age_years", {"range": [120, 0]}, "inputs.age_years.range", "the range must rise."),
        (
            "age_years",
            {"risk": ["young", "old"]},
            "inputs.age_years.risk",
            "list each allowed code once, from the least to the most risky.",
        ),
        (
            "infected",
            {"group": "lesion_sings"},
            "inputs.infected.group",
            'lesion_sings is not a check list. Did you mean "lesion_signs"?',
        ),
        (
            "infected",
            {"group": "general_health"},
            "inputs.infected.group",
            "this check list is about the patient.",
        ),
        (
            "height_mm",
            {"group": "lesion_signs"},
            "inputs.height_mm.group",
            "only codes and yes-or-no inputs stand in a check list.",
        ),
        ("infected", {"absent": True}, "inputs.infected.absent", "absent is false for a yes-or-no input."),
        (
            "site",
            {"group": "lesion_signs"},
            "inputs.site.absent",
            "a code in a check list says which value means absent.",
        ),
        (
            "pregnant",
            {"presume": {"value": 0, "because": "A reason."}},
            "inputs.pregnant.presume.value",
            "the presumed value is not one that this input can have.",
        ),
        (
            "similar_lesions",
            {"presume": {"value": True, "because": "A reason."}},
            "inputs.similar_lesions.presume.value",
            "the presumed value is not one that this input can have.",
        ),
        (
            "similar_lesions",
            {"presume": {"value": 0, "because": "A reason."}},
            "inputs.similar_lesions.presume.value",
            "the presumed value is not one that this input can have.",
        ),
        (
            "site",
            {"presume": {"value": "trunc", "because": "A reason."}},
            "inputs.site.presume.value",
            "the presumed value is not one that this input can have.",
        ),
        (
            "site",
            {"presume_in_review": {"value": "trunc", "because": "A reason."}},
            "inputs.site.presume_in_review.value",
            "the presumed value is not one that this input can have.",
        ),
        (
            "pregnant",
            {"presume_in_review": {"value": False, "because": "A reason."}},
            "inputs.pregnant.presume_in_review",
            "what is always presumed is presumed in a review too.",
        ),
        (
            "sampled",
            {"presume": {"value": True, "because": "A reason."}},
            "inputs.sampled.presume.value",
            "the presumed value is not one that this input can have.",
        ),
        (
            "needed_bore_mm",
            {"from": {"base_with_mm": "rises"}},
            "inputs.needed_bore_mm.from.base_with_mm",
            'not an input. Did you mean "base_width_mm"?',
        ),
        (
            "needed_bore_mm",
            {"from": {"height_to_width": "rises"}},
            "inputs.needed_bore_mm.from.height_to_width",
            "a derived quantity is computed from stated inputs only.",
        ),
        (
            "sampled",
            {"from": {}},
            "inputs.sampled.from",
            "a derived quantity, and no other, names what it is computed from.",
        ),
        (
            "infected",
            {"from": {"site": "none"}},
            "inputs.infected.from",
            "a derived quantity, and no other, names what it is computed from.",
        ),
    ],
)
def test_an_input_that_disagrees_with_itself_is_one_fault_at_its_path(name, fields, path, message):
    assert faults_after(name, **fields) == [(path, message)]


@pytest.mark.parametrize("name", ["Species", "base width", "base-width", "2nd_width", ""])
def test_an_input_is_named_in_lower_case_words(name):
    _, faults = read(lambda inputs: inputs.update({name: inputs["infected"]}))

    assert [fault.message for fault in faults] == ["an input is named in lower-case words joined by underscores."]


@pytest.mark.parametrize(
    ("fields", "path", "message"),
    [
        ({"about": "animal"}, "inputs.site.about", "Input should be 'patient', 'lesion', 'equipment', "),
        ({"kind": "code"}, "inputs.site.kind", "not a field."),
        ({"alowed": {}}, "inputs.site.alowed", 'not a field. Did you mean "allowed"?'),
        ({"question": "Eh?"}, "inputs.site.question", "String should have at least 8 characters; it is 'Eh?'."),
        ({"range": [1]}, "inputs.site.range", "List should have at least 2 items after validation, not 1"),
    ],
)
def test_a_field_that_does_not_fit_says_what_is_allowed(fields, path, message):
    (found,) = faults_after("site", **fields)

    assert (found[0], found[1][: len(message)]) == (path, message)


def test_every_fault_of_a_vocabulary_is_reported():
    def change(inputs):
        inputs["age_years"]["range"] = [3, 1]
        inputs["infected"]["group"] = "nothing"
        inputs["species"]["risk"] = "rises"

    assert len(read(change)[1]) == 3


@pytest.mark.parametrize(
    ("name", "said"), [("longest_diamater_mm", ' Did you mean "longest_diameter_mm"?'), ("qqq", ""), (5, "")]
)
def test_the_nearest_name_is_offered_only_when_it_is_near(name, said):
    assert nearest(name, ["age_years", "longest_diameter_mm"]) == said


# --- what would prove a presumption wrong ----------------------------------------------------------------


def presumed(name, **presume):
    """The vocabulary and its faults, where one presumption says more."""
    vocabulary, faults = read(lambda inputs: inputs[name]["presume"].update(presume))
    return vocabulary.inputs[name], [(fault.path, fault.message) for fault in faults]


@pytest.mark.parametrize(
    ("written", "read_as", "stated", "still"),
    [
        ("any", (), {"infected": False}, False),
        (True, (True,), {"infected": False}, True),
        (True, (True,), {"infected": True}, False),
        (False, (False,), {}, True),
    ],
)
def test_a_presumption_names_what_would_prove_it_wrong(written, read_as, stated, still):
    one, faults = presumed("pregnant", unless_stated={"infected": written})

    assert (one.presumed_unless, faults) == ({"infected": read_as}, [])
    assert one.presumed_beside(stated) is still


def test_codes_that_would_prove_it_wrong_are_listed():
    one, faults = presumed("pregnant", unless_stated={"species": ["cat", "horse"]})

    assert faults == []
    assert [one.presumed_beside({"species": code}) for code in ("dog", "cat", "horse")] == [True, False, False]


@pytest.mark.parametrize(
    ("presume", "path", "message"),
    [
        ({"unless_stated": {"infecte": "any"}}, "unless_stated.infecte", 'not an input. Did you mean "infected"?'),
        (
            {"unless_stated": {"similar_lesions": "any"}},
            "unless_stated.similar_lesions",
            "another input, which can be stated, proves a presumption wrong.",
        ),
        (
            {"unless_stated": {"sampled": "any"}},
            "unless_stated.sampled",
            "another input, which can be stated, proves a presumption wrong.",
        ),
        (
            {"unless_stated": {"species": "cow"}},
            "unless_stated.species",
            "write any, or values that this input can have.",
        ),
        (
            {"unless_stated": {"age_years": "old"}},
            "unless_stated.age_years",
            "write any, or values that this input can have.",
        ),
        ({"charted_alike": "species"}, "charted_alike", "not an input about the lesion."),
        ({"charted_alike": "sit"}, "charted_alike", 'not an input about the lesion. Did you mean "site"?'),
    ],
)
def test_what_would_prove_it_wrong_is_an_input_with_such_a_value(presume, path, message):
    _, faults = presumed("similar_lesions", **presume)

    assert faults == [(f"inputs.similar_lesions.presume.{path}", message)]


def test_only_a_number_counts_what_is_charted():
    _, faults = presumed("pregnant", charted_alike="site")

    said = "only a number about the patient or the lesion counts what is charted."
    assert faults == [("inputs.pregnant.presume.charted_alike", said)]
