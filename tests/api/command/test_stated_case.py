"""The case that a command line states: files, standard input and options."""

from __future__ import annotations

import io
import json
import sys

import pytest

from api.command.command_line import parser
from api.command.stated_case import UnreadableCase, stated_case
from api.command.usage import UnusableLine
from api.problems import Problem

DOG = {"patient": {"species": "dog"}, "lesions": [{"lesion_id": "flank", "longest_diameter_mm": 5}]}
IN_YAML = "patient: {species: dog}\nlesions: [{lesion_id: flank, longest_diameter_mm: 5}]\n"
TWO = "patient: {}\nlesions: [{lesion_id: ear}, {lesion_id: flank}]\n"


@pytest.fixture
def stated(toy_book, tmp_path):
    """Read the words after `recommend`, with the text of a file by its name."""

    def read(*words, **files):
        for name, text in files.items():
            (tmp_path / name.replace("_", ".")).write_text(text)
        words = [str(tmp_path / word) if word.startswith("case.") else word for word in words]
        return stated_case(parser(toy_book.vocabulary).parse_args(["recommend", *words]), toy_book.vocabulary)

    return read


def test_yaml_and_json_state_the_same_case(stated):
    in_yaml = stated("case.yaml", case_yaml=IN_YAML)
    in_json = stated("case.json", case_json=json.dumps(DOG))

    assert in_yaml == in_json == DOG


def test_json_is_known_by_its_look_where_the_name_does_not_say(stated):
    assert stated("case.txt", case_txt=json.dumps(DOG)) == DOG


def test_the_case_may_stand_beside_a_title_and_what_is_expected(stated):
    text = json.dumps({"title": "A dog", "case": DOG, "expect": []})

    assert stated("case.json", case_json=text) == DOG


def test_a_dash_reads_standard_input(stated, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(IN_YAML.encode())))

    assert stated("-") == DOG


def test_options_alone_make_a_case_of_one_lesion(stated):
    case = stated("--species", "cat", "--longest-diameter-mm", "4", "--ulcerated", "no", "--bores-mm", "5", "8")

    assert case == {
        "patient": {"species": "cat"},
        "lesions": [{"lesion_id": "lesion", "longest_diameter_mm": 4.0, "ulcerated": False}],
        "equipment": {"bores_mm": [5.0, 8.0]},
    }


def test_an_option_replaces_the_fact_of_the_file(stated):
    case = stated("case.yaml", "--longest-diameter-mm", "12", case_yaml=IN_YAML)

    assert case["lesions"] == [{"lesion_id": "flank", "longest_diameter_mm": 12.0}]


def test_a_ticked_check_list_is_added_once(stated):
    text = "patient: {}\nlesions: [{lesion_id: flank, ruled_out: [checked]}]\n"

    case = stated("case.yaml", "--ruled-out", "checked", case_yaml=text)

    assert case["lesions"][0]["ruled_out"] == ["checked"]


def test_an_option_describes_the_lesion_that_is_named(stated):
    case = stated("case.yaml", "--lesion", "ear", "--ulcerated", "yes", case_yaml=TWO)

    assert case["lesions"] == [{"lesion_id": "ear", "ulcerated": True}, {"lesion_id": "flank"}]


def test_an_option_must_say_which_of_two_lesions_it_describes(stated):
    with pytest.raises(UnusableLine, match="--ulcerated: say which lesion by --lesion and its lesion_id; 2 fit"):
        stated("case.yaml", "--ulcerated", "yes", case_yaml=TWO)


def test_the_date_and_the_version_can_be_stated(stated):
    case = stated("--as-of", "2026-01-02", "--rule-book-version", "2026.11.0")

    assert (case["as_of"], case["rule_book_version"]) == ("2026-01-02", "2026.11.0")


def test_a_repeated_key_in_yaml_is_told_with_its_line(stated):
    with pytest.raises(UnreadableCase, match=r"case\.yaml:2 patient: this key stands twice"):
        stated("case.yaml", case_yaml="patient: {}\npatient: {}\n")


def test_a_repeated_key_in_json_is_told_with_its_place(stated):
    with pytest.raises(Problem, match="/patient: this key stands more than once"):
        stated("case.json", case_json='{"patient": {}, "patient": {}}')


def test_a_file_that_is_no_text_is_refused(stated, tmp_path):
    (tmp_path / "case.yaml").write_bytes(b"\xff\xfe\x00")

    with pytest.raises(UnreadableCase, match=r"case\.yaml: this is not UTF-8 text"):
        stated("case.yaml")


@pytest.mark.parametrize("text", ["- dog", "dog", "7", ""])
def test_what_is_no_case_is_left_for_the_reader_of_cases_to_refuse(stated, text):
    assert not isinstance(stated("case.yaml", case_yaml=text), dict)


def test_a_part_that_is_no_object_takes_no_option(stated):
    with pytest.raises(UnusableLine, match="--species cannot be added: in the case, patient is not an object"):
        stated("case.yaml", "--species", "dog", case_yaml="patient: dog\nlesions: []\n")
