"""The commands that take a case, at each moment of the job."""

import asyncio
import datetime
import io
import json

import httpx
import pytest
import yaml
from rich.console import Console

from api.app import create_app
from api.command.interview import Interview
from api.command.main import main
from api.command.stated_case import new_case
from api.settings import Settings
from tests.small_folder import write
from tests.visit_folder import CYCLE, HEALING, visit_files

TODAY = datetime.date(2026, 11, 24)


@pytest.fixture(scope="module")
def rules(tmp_path_factory):
    return str(write(tmp_path_factory.mktemp("rules") / "rules", visit_files()))


@pytest.fixture
def run(capsys, rules, tmp_path):
    """Run the command on the rules of a whole visit, with a case in a file where one is given."""

    def ran(*words, case=None):
        if case is not None:
            path = tmp_path / "case.yaml"
            path.write_text(yaml.safe_dump(case))
            words = (words[0], str(path), *words[1:])
        code = main(["--rules", rules, *words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return ran


async def sent_by_the_service(book, path, case):
    transport = httpx.ASGITransport(app=create_app(book, Settings()))
    async with httpx.AsyncClient(transport=transport, base_url="http://service.invalid") as client:
        return (await client.post(path, json=case)).text


def test_a_cycle_is_reviewed_from_a_file(run):
    code, out, err = run("review-cycle", case=CYCLE)

    assert (code, "REPEAT IT" in out, err) == (0, True, "")


def test_healing_is_reviewed_from_a_file(run):
    code, out, err = run("review-healing", case=HEALING)

    assert (code, "AS EXPECTED" in out, err) == (0, True, "")


def test_a_cycle_is_reviewed_from_options_alone(run):
    code, out, _ = run("review-cycle", "--species", "dog", "--cycle-number", "2", "--spilled", "no")

    assert (code, "ENOUGH" in out) == (0, True)


def test_an_option_replaces_what_the_file_says(run):
    _, out, _ = run("review-cycle", "--spilled", "yes", case=CYCLE)

    assert "STOP" in out


def test_a_check_list_of_healing_is_ticked_by_an_option(run):
    _, out, _ = run("review-healing", "--days-since-freeze", "5", "--ruled-out", "healing_alarms")

    assert "AS EXPECTED" in out


def test_each_command_takes_the_facts_of_its_moment_alone(run):
    code, _, err = run("review-cycle", "--days-since-freeze", "5")

    assert (code, "unrecognized arguments: --days-since-freeze" in err) == (2, True)


@pytest.mark.parametrize(
    ("command", "path", "case"),
    [("review-cycle", "/v1/cycle-reviews", CYCLE), ("review-healing", "/v1/healing-reviews", HEALING)],
)
def test_json_is_what_the_service_sends(run, visit_book, command, path, case):
    _, out, _ = run(command, "--json", case=case)

    assert out == asyncio.run(sent_by_the_service(visit_book, path, case)) + "\n"


def test_a_cycle_that_cannot_be_used_is_told_by_pointer(run):
    code, out, err = run("review-cycle", "--contact-seconds", "999")

    said = "#/cycle/contact_seconds: contact_seconds must be a number from 0 to 300 s."
    assert (code, out, err.splitlines()[0]) == (3, "", said)


def test_a_rule_book_that_decides_nothing_about_cycles_says_so(capsys):
    code = main(["--rules", "tests/toy_rules", "review-cycle"])

    assert (code, capsys.readouterr().err) == (2, "thawline: the rule book has no rules for review-cycle.\n")


@pytest.mark.parametrize(
    ("moment", "replies", "part", "stated"),
    [
        ("during", ["2", "yes"], "cycle", {"spilled": True}),
        ("after", ["2", "yes"], "healing", {"maggots": True}),
    ],
)
def test_questions_about_a_review_are_laid_into_its_case(visit_book, moment, replies, part, stated):
    left = list(replies)
    console = Console(file=io.StringIO(), width=100, markup=False)
    interview = Interview(visit_book, console, TODAY, lambda _: left.pop(0) if left else "", moment=moment)

    case = interview.completed(new_case(moment))

    assert stated.items() <= case[part].items(), json.dumps(case)
