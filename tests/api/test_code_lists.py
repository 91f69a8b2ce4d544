"""The code lists are those of the rule book, committed as FHIR CodeSystems, and served."""

import json
import re
import shutil

import pytest

from api.code_lists import CANONICAL, Meaning, code_lists_of
from api.code_systems import code_system_files
from api.command.main import main
from api.released.committed import COMMITTED
from decision.folder_reading import read_rule_folder, shipped_rules

FOLDER = COMMITTED.parent / "code-lists"
NAMES = [
    "card-topic",
    "diagnosis",
    "finding",
    "finding-value",
    "lesion-kind",
    "override-reason",
    "problem",
    "procedure",
    "site",
    "species",
]


@pytest.fixture(scope="module")
def lists():
    return code_lists_of(read_rule_folder(shipped_rules()))


def test_the_committed_lists_are_those_of_the_rules(lists):
    files = code_system_files(lists)

    assert files.keys() == {f"{name}.json" for name in NAMES}
    for name, text in files.items():
        assert (FOLDER / name).read_text(encoding="utf-8") == text, "Write them anew: thawline code-lists"


@pytest.mark.parametrize("name", NAMES)
def test_a_list_is_a_code_system_under_cc0(name):
    system = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))

    assert system["resourceType"] == "CodeSystem"
    assert system["url"] == CANONICAL + name
    assert system["copyright"].startswith("CC0 1.0")
    assert re.fullmatch("[A-Z][A-Za-z0-9_]{1,254}", system["name"])
    assert system["count"] == len(system["concept"]) == len({one["code"] for one in system["concept"]})
    assert all(re.fullmatch(r"[^\s]+", one["code"]) and one["display"] for one in system["concept"])


def test_every_input_about_patient_and_lesion_can_be_stated(lists):
    findings = lists.lists["finding"].concepts
    vocabulary = lists.vocabulary

    assert {one.name for about in ("patient", "lesion") for one in vocabulary.about(about)} <= findings.keys()
    assert {
        group.name for group in vocabulary.groups.values() if group.about in ("patient", "lesion")
    } <= findings.keys()


def test_every_value_of_every_input_has_a_code_that_states_it(lists):
    for about in ("patient", "lesion"):
        for one in lists.vocabulary.about(about):
            for value in [True, False] if one.type == "boolean" else one.allowed:
                coding = lists.coding_of(one, value)
                assert lists.fact(lists.meaning(coding["system"], coding["code"])) == (one.name, value)


def test_a_code_of_another_system_or_none_of_a_list_means_nothing(lists):
    for system, code in [
        ("https://other.example/species", "dog"),
        (CANONICAL + "species", "dgo"),
        (CANONICAL + "speices", "dog"),
        ("species", "dog"),
        ("", ""),
    ]:
        assert lists.meaning(system, code) is None


def test_a_finding_states_nothing_by_itself(lists):
    assert lists.fact(Meaning("finding", "weight_kg")) is None


def test_a_rule_book_with_fewer_inputs_has_fewer_lists(toy_book):
    lists = code_lists_of(toy_book.folder)

    assert sorted(lists.lists) == [
        "card-topic",
        "finding",
        "finding-value",
        "override-reason",
        "problem",
        "procedure",
        "species",
    ]
    assert "checked" in lists.lists["finding"].concepts


def test_a_list_is_served_and_need_not_be_sent_again(ask):
    answer = ask("GET", "/fhir/CodeSystem/species")

    assert answer.headers["content-type"] == "application/fhir+json"
    assert [one["code"] for one in answer.json()["concept"]] == ["dog", "cat", "horse"]
    again = ask("GET", "/fhir/CodeSystem/species", headers={"If-None-Match": answer.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_a_list_is_served_as_plain_json_to_who_asks_for_that(ask):
    answer = ask("GET", "/fhir/CodeSystem/species", headers={"Accept": "application/json"})

    assert answer.headers["content-type"] == "application/json"


def test_a_list_that_is_not_there_is_a_problem(ask):
    answer = ask("GET", "/fhir/CodeSystem/weather")

    assert (answer.status_code, answer.headers["content-type"]) == (404, "application/problem+json")


def test_the_command_compares_and_writes(tmp_path, capsys):
    shutil.copytree(shipped_rules(), tmp_path / "rules", ignore=shutil.ignore_patterns("released"))
    command = ["--rules", str(tmp_path / "rules"), "code-lists"]

    assert main([*command, "--check"]) == 1
    assert "Run: thawline code-lists" in capsys.readouterr().out
    assert main(command) == 0
    assert main([*command, "--check"]) == 0
    assert capsys.readouterr().out == ""
    assert (tmp_path / "openapi" / "code-lists" / "site.json").is_file()


def test_the_committed_lists_are_compared_by_the_command():
    assert main(["code-lists", "--check"]) == 0
