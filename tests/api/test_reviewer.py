"""What a reviewer asks over HTTP and by command: changes, reproductions, pinned versions, reports."""

import datetime
import json
import shutil
from pathlib import Path

import pytest

from api.app import create_app
from api.command.main import main
from api.settings import Settings
from decision import load_rule_book
from decision.reviewer.answer_record import record_of
from decision.reviewer.released import write_release
from tests.api.conftest import Asking, a_case

TOY = Path(__file__).parents[1] / "toy_rules"
TODAY = datetime.date(2026, 11, 24)


@pytest.fixture
def post(ask):
    return lambda path, body: ask("POST", path, json=body)


@pytest.fixture
def record(toy_book):
    case = toy_book.read(a_case(), today=TODAY)
    return json.loads(json.dumps(record_of(toy_book, case)))


@pytest.fixture
def rules(tmp_path):
    """A copy of the toy rules that may be changed and released."""
    return Path(shutil.copytree(TOY, tmp_path / "rules"))


@pytest.fixture
def case_file(tmp_path):
    path = tmp_path / "case.json"
    path.write_text(json.dumps(a_case()))
    return path


def run(capsys, *words):
    code = main([str(word) for word in words])
    return code, capsys.readouterr()


def later(rules, version="2027.01.0"):
    """The same rules under a later version, and one rule fewer."""
    book = rules / "rule_book.yaml"
    current = load_rule_book(rules)
    book.write_text(book.read_text().replace(current.version, version))
    next((rules / "cautions").glob("[!d]*.yaml")).unlink()
    current.close()
    return load_rule_book(rules)


def test_the_service_says_what_would_change_a_verdict(post):
    answer = post("/v1/what-would-change", a_case())

    lesion = answer.json()["lesions"][0]
    told = {fact["input"]: fact["value"] for change in lesion["singly"] for fact in change["facts"]}
    assert answer.status_code == 200
    assert (lesion["verdict"], told["longest_diameter_mm"]) == ("suitable", 10.0)
    assert answer.json()["evaluations"] > 0


def test_a_case_that_cannot_be_used_is_refused_by_pointer(post):
    answer = post("/v1/what-would-change", a_case(longest_diameter_mm=0.1))

    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "#/lesions/0/longest_diameter_mm"


def test_a_search_for_a_version_that_is_not_at_hand_is_refused(post):
    answer = post("/v1/what-would-change", {**a_case(), "rule_book_version": "2020.01.0"})

    assert answer.status_code == 404


def test_the_service_gives_a_recorded_answer_again(post, record):
    answer = post("/v1/reproductions", record)

    assert answer.status_code == 200
    assert answer.json()["same_conclusion"] and answer.json()["same_text"]


def test_a_verdict_that_was_changed_in_a_record_is_noticed(post, record):
    record["answer"]["lesions"][0]["suitability"]["verdict"] = "refer"

    found = post("/v1/reproductions", record).json()

    assert (found["same_conclusion"], found["matches_own_digest"]) == (False, False)


def test_the_command_says_that_a_record_was_changed(capsys, tmp_path, record):
    record["answer"]["lesions"][0]["suitability"]["verdict"] = "refer"
    path = tmp_path / "record.json"
    path.write_text(json.dumps(record))

    code, said = run(capsys, "--rules", TOY, "reproduce", path)

    assert code == 1
    assert "does not match its own digest" in said.out


def test_a_record_without_an_answer_is_refused_by_pointer(post, record):
    answer = post("/v1/reproductions", {"case": record["case"]})

    assert answer.status_code == 422
    assert [one["pointer"] for one in answer.json()["errors"]] == ["#/answer"]


def test_a_number_too_great_to_keep_is_refused_in_the_free_parts_of_a_record(post, record):
    answer = post("/v1/reproductions", {**record, "provenance": {"was/at": 1e15}})

    assert answer.status_code == 422
    (place,) = answer.json()["errors"]
    assert (place["pointer"], place["code"]) == ("#/provenance/was~1at", "too_great")


def test_a_case_that_pins_a_release_is_answered_by_it_over_http(rules):
    before = load_rule_book(rules)
    write_release(before, rules / "released")
    ask = Asking(create_app(later(rules), Settings()))

    now = ask("POST", "/v1/recommendations", json=a_case())
    pinned = ask("POST", "/v1/recommendations", json={**a_case(), "rule_book_version": before.version})

    assert now.json()["rule_book"]["version"] == "2027.01.0"
    assert pinned.json()["rule_book"] == {"version": before.version, "digest": before.digest}


def test_explain_prints_every_rule(capsys, case_file, toy_book):
    code, said = run(capsys, "--rules", TOY, "explain", case_file)

    rules = [rule.id for listed in toy_book.folder.rules.values() for rule in listed]
    assert code == 0
    assert all(rule in said.out for rule in rules)


def test_explain_writes_markdown(capsys, case_file):
    _, said = run(capsys, "--rules", TOY, "explain", case_file, "--markdown")

    assert said.out.startswith("# Why and why not: flank\n")


def test_what_would_change_prints_the_value_and_the_rule(capsys, case_file):
    code, said = run(capsys, "--rules", TOY, "what-would-change", case_file)

    assert code == 0
    assert "longest diameter: 10 mm, not 5 mm" in said.out
    assert "The engine was asked" in said.out


def test_a_record_that_is_written_can_be_reproduced(capsys, case_file, tmp_path):
    _, said = run(capsys, "--rules", TOY, "record", case_file)
    path = tmp_path / "record.json"
    path.write_text(said.out)

    code, said = run(capsys, "--rules", TOY, "reproduce", path)

    assert (code, said.out.splitlines()[0]) == (0, "Identical.")


def test_a_record_that_would_be_answered_otherwise_ends_with_1(capsys, case_file, tmp_path, rules):
    _, said = run(capsys, "--rules", TOY, "record", case_file)
    path = tmp_path / "record.json"
    path.write_text(said.out)
    next((rules / "suitability").glob("freeze*.yaml")).unlink()

    code, said = run(capsys, "--rules", rules, "reproduce", path)

    assert code == 1
    assert "Another conclusion." in said.out
    assert "rule suitability/freeze" in said.out


def test_replay_prints_a_report(capsys, tmp_path, rules):
    next((rules / "suitability").glob("freeze*.yaml")).unlink()
    cases = tmp_path / "cases.jsonl"
    cases.write_text(json.dumps(a_case()) + "\n")

    code, said = run(capsys, "replay", cases, "--against", TOY, "--and", rules, "--workers", "1")

    assert code == 0
    assert "no longer answered" in said.out


def test_replay_of_a_file_that_is_not_there_is_a_usage_fault(capsys, tmp_path):
    code, said = run(capsys, "replay", tmp_path / "none.jsonl", "--against", TOY, "--and", TOY)

    assert code == 2
    assert "cannot be read" in said.err


def test_compare_fails_on_request_when_a_case_is_answered_less_cautiously(capsys, rules):
    next((rules / "suitability").glob("sample*.yaml")).unlink()

    code, said = run(capsys, "compare", TOY, rules, "--no-less-cautious")

    assert code == 1
    assert "less cautious, by suitability/sample" in said.out


def changelog(rules, text=""):
    (rules.parent / "CHANGELOG.md").write_text(f"# Changelog\n\n## Unreleased\n\n{text}\n")


def test_before_the_first_release_no_recommendation_can_have_changed(capsys, rules):
    code, said = run(capsys, "--rules", rules, "changelog")

    assert code == 0
    assert said.out.startswith("No rule book is released yet")


def test_the_rules_as_released_change_no_recommendation(capsys, rules):
    run(capsys, "--rules", rules, "release")

    code, said = run(capsys, "--rules", rules, "changelog")

    assert code == 0
    assert said.out.startswith("The rules are those of the released rule book")


def test_a_verdict_that_changes_unsaid_fails_the_check_until_the_changelog_names_it(capsys, rules):
    write_release(load_rule_book(rules), rules / "released")
    book = rules / "rule_book.yaml"
    book.write_text(book.read_text().replace(load_rule_book(rules).version, "2027.01.0"))
    next((rules / "suitability").glob("sample*.yaml")).unlink()
    changelog(rules)

    code, said = run(capsys, "--rules", rules, "changelog")
    changelog(
        rules,
        "### Recommendations that change\n\n"
        "- Less cautious: `suitability/sample_a_lasting_lesion_first` is withdrawn;\n  a wide lesion stays unsampled.",
    )
    again, _ = run(capsys, "--rules", rules, "changelog")

    assert (code, again) == (1, 0)
    assert 'names suitability/sample_a_lasting_lesion_first and says "less cautious"' in said.out


def test_no_command_takes_rules_that_changed_under_a_released_version(capsys, rules):
    run(capsys, "--rules", rules, "release")
    next((rules / "cautions").glob("[!d]*.yaml")).unlink()
    changelog(rules)

    for command in ("check", "changelog", "release", "evidence"):
        code, said = run(capsys, "--rules", rules, command)

        assert code != 0
        assert "Raise the version in rule_book.yaml" in said.out + said.err


def test_evidence_counts_rules(capsys):
    code, said = run(capsys, "--rules", TOY, "evidence")

    assert code == 0
    assert "nobody_2020 (L" in said.out


def test_evidence_is_written_as_a_page_with_charts(capsys):
    code, said = run(capsys, "--rules", TOY, "evidence", "--html")

    assert code == 0
    assert said.out.startswith("<!doctype html>")
    assert "<svg" in said.out


def test_without_prints_what_falls(capsys):
    code, said = run(capsys, "--rules", TOY, "without", "nobody_2020")

    assert code == 0
    assert "falls: Sample a lesion of 10 mm or more that has lasted a month" in said.out


def test_without_an_unknown_source_names_the_nearest(capsys):
    code, said = run(capsys, "--rules", TOY, "without", "nobody_2021")

    assert code == 2
    assert 'Did you mean "nobody_2020"?' in said.err


def test_release_keeps_the_rule_book_once(capsys, rules):
    for _ in range(2):
        code, said = run(capsys, "--rules", rules, "release")

        assert code == 0
    assert [path.name for path in (rules / "released").glob("*.json")] == [said.out.strip()]


def test_a_rule_book_that_changed_under_its_version_is_not_released_again(capsys, rules):
    run(capsys, "--rules", rules, "release")
    next((rules / "suitability").glob("sample*.yaml")).unlink()

    code, said = run(capsys, "--rules", rules, "release")

    assert code == 1
    assert "Raise the version in rule_book.yaml" in said.err
