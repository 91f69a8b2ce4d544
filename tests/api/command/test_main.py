"""The command as a whole: what it prints, where, and with which exit code."""

from __future__ import annotations

import asyncio
import subprocess
import sys
from pathlib import Path

import durable_rules_engine
import httpx
import pytest

from api.app import create_app
from api.command.main import main
from api.settings import Settings
from tests.small_folder import rule, small_files, write

TOY = str(Path(__file__).parents[2] / "toy_rules")
CASE = """
as_of: "2026-11-24"
patient: {species: dog}
lesions: [{lesion_id: flank, longest_diameter_mm: 5, ulcerated: false}]
"""


@pytest.fixture
def case_file(tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text(CASE)
    return path


def run(capsys, *words):
    """Run the command on the toy rules; the exit code, standard output and standard error."""
    code = main(["--rules", TOY, *map(str, words)])
    said = capsys.readouterr()
    return code, said.out, said.err


async def sent_by_the_service(book, case):
    """The body that the service answers a case with."""
    transport = httpx.ASGITransport(app=create_app(book, Settings()))
    async with httpx.AsyncClient(transport=transport, base_url="http://service.invalid") as client:
        return (await client.post("/v1/recommendations", json=case)).text


def program(*words, **options):
    """Run the command as a process of its own."""
    command = [sys.executable, "-m", "api", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, **options)


def test_a_case_is_answered_with_exit_code_0(capsys, case_file):
    code, out, err = run(capsys, "recommend", case_file)

    assert (code, "MAY BE FROZEN" in out, err) == (0, True, "")


def test_json_is_what_the_service_sends(capsys, case_file, toy_book):
    code, out, _ = run(capsys, "recommend", case_file, "--json")

    case = {
        "as_of": "2026-11-24",
        "patient": {"species": "dog"},
        "lesions": [{"lesion_id": "flank", "longest_diameter_mm": 5, "ulcerated": False}],
    }
    assert (code, out) == (0, asyncio.run(sent_by_the_service(toy_book, case)) + "\n")


def test_json_holds_the_trace_when_asked_for(capsys, case_file):
    _, out, _ = run(capsys, "recommend", case_file, "--json", "--trace")

    assert '"did_not_apply":[{"rule":"cautions/mind_the_cold"' in out


def test_a_case_that_cannot_be_used_is_told_by_pointer_and_what_is_allowed(capsys):
    code, out, err = run(capsys, "recommend", "--longest-diameter-mm", "500")

    said = "#/lesions/0/longest_diameter_mm: longest_diameter_mm must be a number from 0.5 to 300 mm."
    assert (code, out, err.splitlines()[0]) == (3, "", said)


def test_a_misspelt_code_is_a_usage_fault_with_the_nearest_code(capsys):
    code, _, err = run(capsys, "recommend", "--species", "dgo")

    assert (code, 'Did you mean "dog"? Allowed: dog, cat, horse.' in err) == (2, True)


def test_a_file_that_is_not_there_is_a_usage_fault(capsys):
    code, _, err = run(capsys, "recommend", "nowhere.yaml")

    assert (code, err) == (2, "thawline: nowhere.yaml cannot be read: No such file or directory.\n")


def test_another_version_of_the_rule_book_is_refused(capsys):
    code, out, err = run(capsys, "recommend", "--rule-book-version", "2020.01.0")

    assert (code, out, "the rule book loaded is 2026.11.0" in err) == (4, "", True)


def test_a_fault_of_the_matcher_gives_no_answer(capsys, case_file, monkeypatch):
    working = durable_rules_engine.assert_fact

    def failing(handle, fact):
        if "_warm" in fact:
            return working(handle, fact)
        raise MemoryError

    monkeypatch.setattr(durable_rules_engine, "assert_fact", failing)
    code, out, err = run(capsys, "recommend", case_file)

    assert (code, out, "No answer is given." in err) == (5, "", True)


def test_faulty_rules_answer_nothing(capsys, tmp_path):
    code = main(["--rules", str(tmp_path), "recommend"])

    assert (code, "Nothing was loaded." in capsys.readouterr().err) == (1, True)


def test_the_help_lists_every_exit_code(capsys):
    code, out, _ = run(capsys, "--help")

    listed = [line for line in out.splitlines() if line.startswith("  ") and line.strip()[:2].strip().isdigit()]
    assert (code, [line.split()[0] for line in listed]) == (0, ["0", "1", "2", "3", "4", "5"])


def test_the_help_of_recommend_asks_the_question_of_every_input(capsys, toy_book):
    _, out, _ = run(capsys, "recommend", "--help")

    text = " ".join(out.split())
    assert [one.name for one in toy_book.vocabulary.inputs.values() if one.question not in text] == []


def test_check_counts_rules_examples_and_mutants(capsys):
    code, out, _ = run(capsys, "check", "--no-proofs")

    totals = next(line for line in out.splitlines() if "together" in line)
    assert (code, [word for word in totals.split() if word.isdigit()]) == (0, ["3", "14", "21", "0"])


def test_check_without_mutants_tries_none(capsys):
    code, out, _ = run(capsys, "check", "--no-mutants", "--no-proofs")

    assert (code, "mutants" in out) == (0, False)


def test_check_prints_what_is_proved_and_fails_on_a_gap(capsys):
    """The toy rules leave cases unanswered, which the proof must say."""
    code, out, _ = run(capsys, "check", "--no-mutants")

    assert (code, "What is proved" in out, "always answers" in out) == (1, True, True)


def test_check_prints_every_fault_with_its_line(capsys, tmp_path):
    files = small_files()
    files["suitability/watch_the_ear.yaml"]["when"] = {"sight": "ear"}
    files["plan/freeze_once.yaml"]["title"] = "Once"
    folder = write(tmp_path / "rules", files)

    code = main(["check", str(folder)])
    lines = capsys.readouterr().out.splitlines()

    assert code == 1
    assert lines[0].startswith("rules/plan/freeze_once.yaml:1 title: ")
    assert lines[1].startswith("rules/suitability/watch_the_ear.yaml:5 when.sight: not an input")
    assert lines[-1] == "2 faults. Nothing was loaded."


def test_check_lists_a_surviving_mutant_with_its_rule(capsys, tmp_path):
    files = small_files()
    examples = (
        ("holds", {"base_width_mm": 3}),
        ("fails", {"base_width_mm": 8}),
        ("unknown", {}),
    )
    files["preparation/use_a_ruler.yaml"] = rule(
        {"base_width_mm": "< 6"}, {"step": "Use a ruler.", "detail": "It helps."}, *examples
    )
    folder = write(tmp_path / "rules", files)

    code = main(["check", str(folder)])
    out = capsys.readouterr().out

    said = 'rules/preparation/use_a_ruler.yaml when.base_width_mm: "base width is under 6.5 mm"'
    assert (code, said in out) == (1, True)


def test_the_schema_is_written_and_then_compares_equal(capsys, tmp_path):
    folder = write(tmp_path / "rules", small_files())

    codes = [main(["--rules", str(folder), "schema", *words]) for words in (["--check"], [], ["--check"])]

    assert codes == [1, 0, 0]


def test_a_schema_that_differs_is_shown_line_by_line(capsys, tmp_path):
    folder = write(tmp_path / "rules", small_files())
    main(["--rules", str(folder), "schema"])
    path = folder / "schema" / "rule.schema.json"
    path.write_text(path.read_text().replace("May it be frozen?", "May it be iced?"))

    main(["--rules", str(folder), "schema", "--check"])

    out = capsys.readouterr().out
    assert '-   "title": "May it be iced?",' in out.splitlines()
    assert '+   "title": "May it be frozen?",' in out.splitlines()


def test_the_handbook_is_written_and_then_compares_equal(capsys, tmp_path):
    folder = write(tmp_path / "rules", small_files())

    codes = [main(["--rules", str(folder), "handbook", *words]) for words in (["--check"], [], ["--check"])]

    assert codes == [1, 0, 0]


def test_a_handbook_that_differs_is_shown_line_by_line(capsys, tmp_path):
    folder = write(tmp_path / "rules", small_files())
    main(["--rules", str(folder), "handbook"])
    path = folder / "HANDBOOK.md"
    path.write_text(path.read_text().replace("1. may be frozen\n", "1. may be iced\n"))

    main(["--rules", str(folder), "handbook", "--check"])

    lines = capsys.readouterr().out.splitlines()
    assert ("-1. may be iced" in lines, "+1. may be frozen" in lines) == (True, True)
    assert lines[-1] == "The handbook differs from the rules. Run: thawline handbook"


def test_the_vocabulary_names_every_input(capsys, toy_book, monkeypatch):
    monkeypatch.setenv("COLUMNS", "200")
    code, out, _ = run(capsys, "vocabulary")

    assert (code, [name for name in toy_book.vocabulary.inputs if name not in out]) == (0, [])


def test_a_port_must_be_one(capsys):
    code, _, err = run(capsys, "serve", "--port", "70000")

    assert (code, "say a whole number from 0 to 65535." in err) == (2, True)


def test_the_module_runs_as_a_program(case_file, tmp_path):
    done = program("--rules", TOY, "recommend", case_file, cwd=tmp_path)

    assert (done.returncode, "MAY BE FROZEN" in done.stdout, done.stderr) == (0, True, "")


def test_a_reader_that_stops_early_is_no_fault(tmp_path):
    command = f'"{sys.executable}" -m api --rules "{TOY}" vocabulary | head -n 1'

    done = subprocess.run(["bash", "-o", "pipefail", "-c", command], capture_output=True, text=True, cwd=tmp_path)

    assert (done.returncode, done.stderr) == (0, "")


def test_serve_answers_over_http(tmp_path):
    command = [sys.executable, "-m", "api", "--rules", TOY, "serve", "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=tmp_path) as server:
        try:
            address = next(line for line in server.stderr if "running on" in line).split("running on ")[1].split()[0]
            sent = httpx.get(f"{address}/v1/rule-book", timeout=60)  # the connection waits until a worker is there
        finally:
            server.terminate()
            logged = server.stdout.read() + server.stderr.read()

    assert (sent.status_code, sent.json()["version"]) == (200, "2026.11.0")
    assert "/v1/rule-book" not in logged  # the server itself writes no addresses down


def test_serve_refuses_rules_with_a_fault(capsys, tmp_path):
    code = main(["--rules", str(tmp_path), "serve", "--port", "0"])

    assert (code, "Nothing was loaded." in capsys.readouterr().err) == (1, True)
