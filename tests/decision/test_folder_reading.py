"""A rule folder: what it holds, and every fault of it at once, each with its place and with what would be right."""

import pytest

from decision.errors import Fault, RuleBookError
from decision.folder_reading import read_rule_folder, shipped_rules
from decision.rule_book import RuleBook
from tests.small_folder import in_yaml, line_of, rule, small_files, write

CONE = "method/use_a_cone.yaml"
EYE = "cautions/take_care_at_the_eye.yaml"


@pytest.fixture
def faults_of(tmp_path):
    """The faults of a folder, as text, after its files were changed."""

    def found(change):
        files = small_files()
        change(files)
        with pytest.raises(RuleBookError) as refusal:
            RuleBook(read_rule_folder(write(tmp_path / "rules", files)))
        return [str(fault) for fault in refusal.value.faults]

    return found


@pytest.fixture
def line(tmp_path):
    """The line on which a text begins in a file of the folder that was written."""
    return lambda name, beginning: line_of(tmp_path / "rules", name, beginning)


def put(name, *path, value):
    """Replace one value in one file."""

    def change(files):
        place = files[name]
        for step in path[:-1]:
            place = place[step]
        place[path[-1]] = value

    return change


# --- faults of one rule -----------------------------------------------------------------------------------

NAMED = "a rule file is named in lower-case words joined by underscores, ending in .yaml."
INPUTS_ARE = "Inputs are listed in rules/vocabulary.yaml."


@pytest.mark.parametrize(
    ("path", "value", "where", "said"),
    [
        (
            ("when", "base_with_mm"),
            "< 5",
            "base_with_mm",
            f'when.base_with_mm: not an input that this decision may read. Did you mean "base_width_mm"? {INPUTS_ARE}',
        ),
        (("when", "base_width_mm"), 12, "base_width_mm", None),
        (
            ("when", "base_width_mm"),
            "=< 12",
            "base_width_mm",
            'when.base_width_mm: "=< 12" is not a comparison; write one like ">= 10" or "[5..20)".',
        ),
        (
            ("when", "base_width_mm"),
            "<= 1200",
            "base_width_mm",
            'when.base_width_mm: "<= 1200": the limit is outside the range of the input, 0.5 to 300 mm.',
        ),
        (
            ("when", "site"),
            "eyelidskin",
            "site",
            'when.site: "eyelidskin" is not a value of site. Did you mean "eyelid_skin"? '
            "Allowed: trunk, eyelid_skin, pinna.",
        ),
        (("when", "infected"), "no", "infected", "when.infected: a yes-or-no input is asked with true or false."),
        (
            ("when", "cone_bores_mm"),
            ">= 5",
            "cone_bores_mm",
            "when.cone_bores_mm: cone_bores_mm is a list of numbers; a rule asks a quantity derived from it.",
        ),
        (
            ("conclude", "applicator"),
            "foam_tipp",
            "applicator",
            'conclude.applicator: "foam_tipp" is not an answer. Did you mean "foam_tip"? '
            "Allowed: cone, foam_tip, none.",
        ),
        (
            ("conclude", "applicator"),
            ["cone"],
            "applicator",
            'conclude.applicator: "[\'cone\']" is not an answer. Did you mean "cone"? Allowed: cone, foam_tip, none.',
        ),
        (
            ("conclude", "aplicator"),
            "cone",
            "aplicator",
            'conclude.aplicator: method concludes applicator. Did you mean "applicator"?',
        ),
        (("tittle",), "x", "tittle", 'tittle: not a field. Did you mean "title"?'),
        (("title",), "Short", "title", "title: String should have at least 10 characters; it is 'Short'."),
        (
            ("evidence", "certainty"),
            "some",
            "certainty",
            "evidence.certainty: Input should be 'high', 'moderate', 'low' or 'very_low'; it is 'some'.",
        ),
        (
            ("evidence", "certainty"),
            "high",
            "certainty",
            "evidence.certainty: without a citation the certainty is low or very_low.",
        ),
        (
            ("evidence", "species_direct"),
            True,
            "species_direct",
            "evidence.species_direct: nothing was measured without a citation.",
        ),
        (
            ("evidence", "limits"),
            "Nothing is said.",
            "limits",
            'evidence.limits: without a citation the limits must say "common practice, no source".',
        ),
        (
            ("evidence", "citations"),
            ["smiht_2020"],
            "- smiht_2020",
            'evidence.citations[0]: "smiht_2020" is not a source. Did you mean "smith_2020"? '
            "Sources are in rules/sources.yaml.",
        ),
        (
            ("unless",),
            {"base_width_mm": "< 5"},
            "unless",
            None,
        ),
    ],
)
def test_a_fault_of_a_rule_is_told_with_its_line_its_path_and_what_is_allowed(
    faults_of, line, path, value, where, said
):
    said = (
        said
        or {
            "when": 'when.base_width_mm: a number is compared in quotes, for example ">= 10" or "[5..20)".',
            "unless": "unless.base_width_mm: asked under `when` and under `unless`; say it in one test.",
        }[path[0]]
    )

    found = faults_of(put(CONE, *path, value=value))

    at = line(CONE, where) + (path == ("unless",))
    assert found == [f"rules/{CONE}:{at} {said}"]


@pytest.mark.parametrize("outcome", ["holds", "fails", "unknown"])
def test_a_rule_without_an_example_of_each_outcome_is_refused(faults_of, line, outcome):
    def change(files):
        examples = files[CONE]["examples"]
        files[CONE]["examples"] = [one for one in examples if one["outcome"] != outcome]

    said = "is unknown" if outcome == "unknown" else outcome
    assert faults_of(change) == [f"rules/{CONE}:{line(CONE, 'examples')} examples: no example where the rule {said}."]


@pytest.mark.parametrize("field", ["title", "purpose", "explanation", "when", "conclude", "evidence", "maintenance"])
def test_a_rule_without_a_required_field_is_refused(faults_of, field):
    def change(files):
        del files[CONE][field]

    assert faults_of(change) == [f"rules/{CONE}:1 {field}: this field is required and is not there."]


def test_an_example_that_does_not_come_out_as_written_is_refused(faults_of, line):
    found = faults_of(put(CONE, "examples", 0, "case", value={"base_width_mm": 12.1}))

    said = '"example 0" says the rule holds, but it fails.'
    assert found == [f"rules/{CONE}:{line(CONE, 'outcome: holds')} examples[0].outcome: {said}"]


def test_an_example_that_states_a_derived_quantity_is_refused(faults_of, line):
    found = faults_of(put(CONE, "examples", 0, "case", value={"needed_bore_mm": 5}))

    said = 'needed_bore_mm cannot be stated in an example of this rule. Did you mean "cone_bores_mm"?'
    assert found == [f"rules/{CONE}:{line(CONE, 'needed_bore_mm: 5')} examples[0].case.needed_bore_mm: {said}"]


@pytest.mark.parametrize("value", ["wide", True, 301, None, [5]])
def test_an_example_with_an_impossible_value_is_refused(faults_of, line, value):
    found = faults_of(put(CONE, "examples", 0, "case", value={"base_width_mm": value, "height_mm": 1}))

    place = f"{line(CONE, 'height_mm: 1') - (1 + isinstance(value, list))} examples[0].case.base_width_mm"
    assert found == [f"rules/{CONE}:{place}: the value is not one that this input can have."]


@pytest.mark.parametrize("sizes", [5, [], [5, 41], ["wide"], [True]])
def test_an_example_with_impossible_sizes_is_refused(faults_of, line, sizes):
    found = faults_of(put(CONE, "examples", 0, "case", value={"cone_bores_mm": sizes}))

    place = f"{line(CONE, 'cone_bores_mm')} examples[0].case.cone_bores_mm"
    assert found == [f"rules/{CONE}:{place}: the value is not one that this input can have."]


# --- conclusions of the three kinds -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (20, "write a window: {low: 20, high: 25}."),
        ({"low": 20}, "write a window: {low: 20, high: 25}."),
        ({"low": 25, "high": 20}, "the value must rise and lie from 3 to 40 s."),
        ({"low": 2, "high": 20}, "the value must rise and lie from 3 to 40 s."),
        ({"low": 20, "high": 41}, "the value must rise and lie from 3 to 40 s."),
        ({"low": "20", "high": 25}, "the value must be a number."),
        ({"low": True, "high": 25}, "the value must be a number."),
    ],
)
def test_a_window_rises_and_lies_in_its_range(faults_of, line, value, said):
    name = "plan/hold_a_cone.yaml"

    found = faults_of(put(name, "conclude", "contact_s", value=value))

    assert found == [f"rules/{name}:{line(name, 'contact_s')} conclude.contact_s: {said}"]


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("urgency", "urgent", '"urgent" is not allowed. Allowed: info, warning, critical.'),
        ("urgency", {"a": 1}, "\"{'a': 1}\" is not allowed. Allowed: info, warning, critical."),
        ("summary", "x" * 121, "a text of 1 to 120 characters."),
        ("summary", "", "a text of 1 to 120 characters."),
        ("summary", 5, "a text of 1 to 120 characters."),
        (
            "raises_to",
            "refuse",
            '"refuse" is not allowed. Allowed: suitable, suitable_with_care, watch, sample_first, do_not_freeze.',
        ),
    ],
)
def test_a_statement_has_the_fields_of_its_decision(faults_of, line, key, value, said):
    found = faults_of(put(EYE, "conclude", key, value=value))

    assert found == [f"rules/{EYE}:{line(EYE, key)} conclude.{key}: {said}"]


def test_a_statement_without_a_required_field_is_refused(faults_of, line):
    def change(files):
        del files[EYE]["conclude"]["detail"]

    assert faults_of(change) == [
        f"rules/{EYE}:{line(EYE, 'conclude')} conclude.detail: "
        "this field of the conclusion is required and is not there."
    ]


def test_two_rules_that_give_one_quantity_two_values_for_the_same_case_are_refused(faults_of, line):
    thrice = rule(
        {"height_mm": "[1.5..2)", "site": "pinna"},
        {"cycles": 3},
        ("holds", {"height_mm": 1.5, "site": "pinna"}),
        ("fails", {"height_mm": 2}),
        ("unknown", {}),
    )

    found = faults_of(lambda files: files.update({"plan/freeze_thrice.yaml": thrice}))

    assert found == [
        f"rules/plan/freeze_once.yaml:{line('plan/freeze_once.yaml', 'cycles:')} conclude.cycles: "
        'cycles: "freeze_once" and "freeze_thrice" '
        "say different values for the same case: height_mm 1.5, site pinna. "
        'A decision with hit policy "unique" allows one.'
    ]


# --- faults between files ---------------------------------------------------------------------------------


def require_the_last(files):
    files["cautions/decision.yaml"]["requires"]["decisions"] = ["method"]


def add_colliding_inputs(files):
    inputs = files["vocabulary.yaml"]["inputs"]
    inputs["liquid"] = inputs["costarring"] = inputs["infected"]


def rename_sampled(files):
    inputs = files["vocabulary.yaml"]["inputs"]
    inputs["sampeld"] = inputs.pop("sampled")
    for name in [name for name in files if "sample" in name or name == "method/decision.yaml"]:
        if "decision" not in name:
            del files[name]


@pytest.mark.parametrize(
    ("change", "name", "written", "path", "said"),
    [
        (
            put("method/decision.yaml", "given", "suitability", value=["sutable"]),
            "method/decision.yaml",
            "- sutable",
            "given.suitability[0]",
            '"sutable" is not an answer of suitability. Did you mean "suitable"?',
        ),
        (
            put("cautions/decision.yaml", "fields", "raises_to", "answer_of", value="suitabilty"),
            "cautions/decision.yaml",
            "answer_of: suitabilty",
            "fields.raises_to.answer_of",
            '"suitabilty" is no decision with answers. Did you mean "suitability"?',
        ),
        (
            put("suitability/decision.yaml", "requires", "decisions", value=["cautoins"]),
            "suitability/decision.yaml",
            "- cautoins",
            "requires.decisions[0]",
            '"cautoins" is no decision. Did you mean "cautions"?',
        ),
        (
            rename_sampled,
            "vocabulary.yaml",
            "sampeld:",
            "inputs.sampeld",
            'sampeld is derived, and nothing computes it. Did you mean "sampled"?',
        ),
    ],
)
def test_what_one_file_says_of_another_is_refused_at_its_line(faults_of, line, change, name, written, path, said):
    found = faults_of(change)

    assert found == [f"rules/{name}:{line(name, written)} {path}: {said}"]


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (
            require_the_last,
            "rules: these decisions require each other in a ring: "
            "alternatives, cautions, method, plan, precautions, preparation, suitability.",
        ),
        (
            lambda files: files.update({"cauton/some_rule.yaml": files[EYE]}),
            'rules/cauton: holds rules and no decision.yaml. Did you mean "cautions"?',
        ),
        (
            lambda files: files.update({"released/decision.yaml": files["cautions/decision.yaml"]}),
            "rules/released/decision.yaml: no decision may have this name.",
        ),
        (
            lambda files: files.update({"Cautions2/decision.yaml": files["cautions/decision.yaml"]}),
            "rules/Cautions2/decision.yaml: no decision may have this name.",
        ),
        (
            lambda files: files.update({"method/Use-it.yaml": files[CONE]}),
            f"rules/method/Use-it.yaml: {NAMED}",
        ),
        (
            lambda files: files.update({"method/use_it.yml": files[CONE]}),
            f"rules/method/use_it.yml: {NAMED}",
        ),
        (
            add_colliding_inputs,
            'vocabulary.yaml liquid: the matcher cannot tell this name from "costarring" '
            "(they share a 32-bit hash); rename one.",
        ),
        (
            lambda files: files["vocabulary.yaml"]["inputs"].update(sid=files["vocabulary.yaml"]["inputs"]["infected"]),
            "vocabulary.yaml sid: this name is reserved by the matcher; choose another.",
        ),
        (
            lambda files: files["vocabulary.yaml"]["inputs"].update(
                method=files["vocabulary.yaml"]["inputs"]["infected"]
            ),
            "vocabulary.yaml method: a decision has this name; choose another.",
        ),
    ],
)
def test_files_that_do_not_fit_together_are_refused(faults_of, change, fault):
    assert faults_of(change) == [fault]


@pytest.mark.parametrize("name", ["rule_book.yaml", "sources.yaml"])
def test_a_required_file_that_is_not_there_is_a_fault(faults_of, name):
    found = faults_of(lambda files: files.pop(name))

    assert found == [f"rules/{name}: this file is required and cannot be read as UTF-8 text."]


def test_a_missing_vocabulary_is_among_the_faults(faults_of):
    found = faults_of(lambda files: files.pop("vocabulary.yaml"))

    assert "rules/vocabulary.yaml: this file is required and cannot be read as UTF-8 text." in found


@pytest.mark.parametrize("text", ["", "- 1\n", "only words\n"])
def test_a_file_without_fields_is_a_fault(faults_of, text):
    found = faults_of(lambda files: files.update({"rule_book.yaml": text}))

    assert found == ["rules/rule_book.yaml:1: the file must hold fields, one `name: value` a line."]


def test_a_file_that_is_no_text_is_a_fault(tmp_path):
    folder = write(tmp_path / "rules", small_files())
    (folder / CONE).write_bytes(b"title: \xff\xfe\n")

    with pytest.raises(RuleBookError) as refusal:
        read_rule_folder(folder)

    assert (
        Fault(f"rules/{CONE}", 0, "", "this file is required and cannot be read as UTF-8 text.") in refusal.value.faults
    )


def test_a_folder_that_is_not_there_has_faults_and_no_rules(tmp_path):
    with pytest.raises(RuleBookError, match="holds no decision: no folder with"):
        read_rule_folder(tmp_path / "nowhere")


@pytest.mark.parametrize(
    ("version", "said"), [("26.11.0", "String should match pattern"), (20261, "Input should be a valid string")]
)
def test_the_version_of_a_rule_book_is_a_calendar_version(faults_of, version, said):
    (found,) = faults_of(put("rule_book.yaml", "version", value=version))

    assert found.startswith(f"rules/rule_book.yaml:2 version: {said}")


# --- all at once ------------------------------------------------------------------------------------------


def break_seven_things(files):
    files[CONE]["when"]["base_with_mm"] = "< 5"
    files[CONE]["conclude"]["applicator"] = "funnel"
    files[EYE]["evidence"]["citations"] = ["nobody_1900"]
    files["vocabulary.yaml"]["inputs"]["age_years"]["range"] = [3, 1]
    files["rule_book.yaml"]["version"] = "one"
    files["sources.yaml"]["smith_2020"]["kind"] = "rumour"
    files["plan/freeze_twice.yaml"] = in_yaml(files["plan/freeze_twice.yaml"]).replace("'>= 2'", ">= 2")


def test_every_fault_of_every_file_is_reported_at_once(faults_of):
    found = faults_of(break_seven_things)

    assert [fault.split(":")[0] for fault in found] == [
        f"rules/{EYE}",
        f"rules/{CONE}",
        f"rules/{CONE}",
        "rules/plan/freeze_twice.yaml",
        "rules/rule_book.yaml",
        "rules/sources.yaml",
        "rules/vocabulary.yaml",
    ]


def test_the_message_ends_with_the_count_and_says_that_nothing_was_loaded(tmp_path):
    files = small_files()
    break_seven_things(files)

    with pytest.raises(RuleBookError) as refusal:
        read_rule_folder(write(tmp_path / "rules", files))

    assert str(refusal.value).splitlines()[-1] == "7 faults. Nothing was loaded."


def test_one_fault_is_counted_as_one(tmp_path):
    files = small_files()
    files[CONE]["when"]["base_width_mm"] = 5

    with pytest.raises(RuleBookError, match=r"1 fault\. Nothing was loaded\.$"):
        read_rule_folder(write(tmp_path / "rules", files))


# --- what a folder holds ----------------------------------------------------------------------------------


def test_decisions_stand_after_those_they_require(small_folder):
    order = [node.name for node in small_folder.decisions]

    assert all(order.index(name) < order.index(node.name) for node in small_folder.decisions for name in node.requires)


def test_a_rule_is_named_by_its_path(small_folder):
    assert small_folder.rule("method", "use_a_cone").id == "method/use_a_cone"


@pytest.mark.parametrize(("decision", "name"), [("method", "use_a_funnel"), ("methods", "use_a_cone")])
def test_a_rule_that_is_not_there_is_none(small_folder, decision, name):
    assert small_folder.rule(decision, name) is None


def test_cautions_may_not_read_what_stands_on_the_shelf(faults_of):
    (found,) = faults_of(put(EYE, "when", value={"cryogen": "ether"}))

    assert "when.cryogen: not an input that this decision may read." in found


def test_a_decision_may_read_a_quantity_only_when_it_may_read_its_parents(faults_of):
    def change(files):
        files["vocabulary.yaml"]["inputs"]["needed_bore_mm"]["from"]["cryogen"] = "none"
        files[EYE]["when"] = {"needed_bore_mm": "> 5"}

    (found,) = faults_of(change)

    assert "when.needed_bore_mm: not an input that this decision may read." in found


def test_the_digest_does_not_change_with_the_order_of_the_parts_of_a_file(tmp_path, small_folder):
    files = {name: dict(reversed(data.items())) for name, data in small_files().items() if isinstance(data, dict)}

    turned = read_rule_folder(write(tmp_path / "rules", files))

    assert turned.digest == small_folder.digest


@pytest.mark.parametrize(
    ("file", "part"),
    [
        ("suitability/decision.yaml", "answers"),
        ("vocabulary.yaml", "inputs"),
        ("suitability/watch_the_ear.yaml", "when"),
    ],
    ids=["answers of a ladder", "inputs of the vocabulary", "tests of a rule"],
)
def test_the_digest_changes_with_an_order_that_speaks(tmp_path, small_folder, file, part):
    files = small_files()
    if part == "when":
        files[file][part] = {"infected": False, **files[file][part]}
        small_folder = read_rule_folder(write(tmp_path / "before", files))
    files[file][part] = dict(reversed(files[file][part].items()))

    assert read_rule_folder(write(tmp_path / "rules", files)).digest != small_folder.digest


@pytest.mark.parametrize(
    "change",
    [
        put(CONE, "when", "base_width_mm", value="< 12"),
        put(CONE, "explanation", value="This text explains a little more than it did before."),
        put("sources.yaml", "smith_2020", "year", value=2021),
        put("vocabulary.yaml", "inputs", "site", "question", value="Where on the body?"),
    ],
)
def test_the_digest_changes_with_anything_that_is_written(tmp_path, small_folder, change):
    files = small_files()
    change(files)

    assert read_rule_folder(write(tmp_path / "rules", files)).digest != small_folder.digest


def test_the_digest_does_not_change_with_the_name_of_the_folder(tmp_path, small_folder):
    assert read_rule_folder(write(tmp_path / "elsewhere", small_files())).digest == small_folder.digest


def test_the_shipped_folder_stands_beside_the_package_whatever_the_working_directory(tmp_path, monkeypatch):
    write(tmp_path / "rules", small_files())
    monkeypatch.chdir(tmp_path)

    assert shipped_rules().parent != tmp_path


# --- limits, and what is no reason ---------------------------------------------------------------------------

LADDER, CAUTIONS = "suitability/decision.yaml", "cautions/decision.yaml"
LIMIT = {"limit_of": "suitability", "optional": True}


def faults_after(faults_of, change):
    return [fault.partition(": ")[2] for fault in faults_of(change)]


@pytest.mark.parametrize(
    ("name", "field", "said"),
    [
        ("told_up_to", {**LIMIT, "limit_of": "suitabilty"}, 'is no decision with answers. Did you mean "suitability"?'),
        ("told_up_to", {**LIMIT, "optional": False}, "is optional and named told_up_to or asked_up_to."),
        ("told_up_to", {"text": 20, "optional": True}, "is optional and named told_up_to or asked_up_to."),
        ("told_till", LIMIT, "is optional and named told_up_to or asked_up_to."),
    ],
)
def test_a_limit_is_of_a_ladder_and_has_its_name(faults_of, name, field, said):
    found = faults_after(faults_of, put(CAUTIONS, "fields", name, value=field))

    assert [one for one in found if one.endswith(said)]


def test_a_limit_is_an_answer_of_its_ladder(faults_of):
    def change(files):
        files[CAUTIONS]["fields"]["told_up_to"] = LIMIT
        files[EYE]["conclude"]["told_up_to"] = "cone"

    (found,) = faults_after(faults_of, change)

    assert found.startswith('"cone" is not allowed.')


@pytest.mark.parametrize(
    ("beside", "said"),
    [
        ({"suitabel": ["watch"]}, '"suitabel" is not one of the answers. Did you mean "suitable"?'),
        ({"suitable": ["wacth"]}, '"wacth" is not one of the answers. Did you mean "watch"?'),
        ({"watch": ["suitable"]}, "only more cautious answers silence an answer."),
        ({"watch": ["watch"]}, "only more cautious answers silence an answer."),
    ],
)
def test_only_a_more_cautious_answer_silences_an_answer(faults_of, beside, said):
    assert faults_after(faults_of, put(LADDER, "no_reason_beside", value=beside)) == [said]
