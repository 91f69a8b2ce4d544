"""The benchmarks run, every part of them for a moment. What they measure then means nothing."""

import re
import subprocess
import sys

import pytest

from tests.benchmarks import peers
from tests.benchmarks.__main__ import PARTS
from tests.benchmarks.generated_rules import generated_cases, generated_rules
from tests.benchmarks.report import Goal, Part, in_markdown
from tests.kleene import outcomes


def ran(*options):
    command = [sys.executable, "-m", "tests.benchmarks", "--short", *options]
    done = subprocess.run(command, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def page():
    return ran()


def test_every_part_has_its_table(page):
    tables = re.findall(r"^## (.+)$", page, re.MULTILINE)

    assert len(tables) == len(set(tables)) == len(PARTS) + 1  # and that of the goals
    assert "left out of this run" not in page


def test_no_cell_of_a_table_is_missing(page):
    tables = re.findall(r"(?:^\|.*\n)+", page, re.MULTILINE)

    assert len(tables) == len(PARTS) + 1
    for table in tables:
        assert len({line.count("|") for line in table.splitlines()}) == 1, table


def test_the_page_names_processor_cores_memory_and_day_and_no_host(page):
    assert re.search(r"^- 20\d\d-\d\d-\d\d, .+, Python 3\.\d+", page, re.MULTILINE)
    assert re.search(r"^- .+, \d+ cores, \d+ GiB", page, re.MULTILINE)
    assert "/tmp" not in page
    assert "http://" not in page


def test_a_part_can_be_left_out_by_name():
    page = ran("--only", "search", "freeze", "--skip", "freeze")

    assert "## What would change the answer" in page
    assert "## Freeze table" not in page
    assert "freeze" in re.search(r"^- left out of this run: (.+)$", page, re.MULTILINE)[1]


def test_a_missed_goal_is_shown_as_missed():
    goals = [Goal("a", "3 times", "2 times"), Goal("b", "3 times", "4 times", met=True), Goal("c", "3 times", None)]
    page = in_markdown([Part("Title", "About.", ("", "x"), [("row", "1")], goals)], [])

    assert "| a | 3 times | 2 times | **missed** |" in page
    assert "| b | 3 times | 4 times | met |" in page
    assert "| c | 3 times |  | not measured |" in page


@pytest.mark.parametrize("name", peers.ENGINES)
def test_every_engine_that_is_installed_names_the_rules_that_the_judge_names(name):
    package, make = peers.ENGINES[name]
    if package:
        pytest.importorskip(package)
    made = generated_rules(60, 20, seed=7)
    engine = make(made)

    for case in generated_cases(made, 50, seed=8):
        judged = outcomes([rule.written for rule in made.rules], case)
        assert sorted(engine(case)) == [i for i, word in enumerate(judged) if word == "holds"]


def test_generated_rules_hold_sometimes_and_fail_sometimes():
    made = generated_rules(120, 50, seed=1)
    cases = generated_cases(made, 40, seed=2)

    share = sum(len(peers.matching(made)(one)) for one in cases) / len(cases) / len(made.rules)

    assert 0.05 < share < 0.3


def test_the_size_of_a_process_is_its_own_and_not_that_of_the_one_that_started_it():
    held = bytearray(300_000_000)
    script = "from tests.benchmarks.reload import largest_mb; print(largest_mb())"

    child = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)

    assert 0 < float(child.stdout) < len(held) / 1e6
