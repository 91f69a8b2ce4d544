"""A rule folder is put on trial in a process of its own, and a trial that does not end well is a refusal."""

import os
import signal
import time

import pytest

from api.running.trial import Flaw, Trial
from decision import load_rule_book
from decision.folder_reading import shipped_rules
from decision.reviewer.released import write_release
from tests.two_books import RULE, first_book, second_book


def tried(folder, meanwhile=lambda trial: None):
    """The outcome, within a minute."""
    trial = Trial(folder)
    meanwhile(trial)
    for _ in range(600):
        if (outcome := trial.outcome()) is not None:
            return outcome
        time.sleep(0.1)  # of waiting for another process, not of a test
    raise AssertionError("the trial does not end")


def test_good_rules_are_found_good(tmp_path):
    assert tried(second_book(tmp_path / "rules")) == []


def test_the_shipped_rules_are_found_good():
    assert tried(shipped_rules()) == []


def test_every_fault_is_told(tmp_path):
    rules = first_book(tmp_path / "rules")
    (rules / "rule_book.yaml").write_text("title: [\n")
    (rules / RULE).write_text("title: 3\n")

    places = [one.place for one in tried(rules)]

    assert any(one.startswith("rules/rule_book.yaml:") for one in places)
    assert sum(one.startswith(f"rules/{RULE}") for one in places) > 3


def test_a_trial_that_crashes_is_a_refusal(tmp_path):
    found = tried(first_book(tmp_path / "rules"), lambda trial: os.kill(trial.process, signal.SIGSEGV))

    assert found == [Flaw("the trial", "it ended with -11 before it had come to an end.")]


@pytest.mark.parametrize(("variable", "said"), [("THAWLINE_API_KEYS", "cannot be used"), ("THAWLINE_CODE_MAP", "")])
def test_keys_and_mapping_are_tried_too(tmp_path, monkeypatch, variable, said):
    (tmp_path / "wrong.yaml").write_text("keys: 3\n")
    monkeypatch.setenv(variable, str(tmp_path / "wrong.yaml"))

    (flaw,) = tried(first_book(tmp_path / "rules"))

    assert flaw.place == "the settings"
    assert said in flaw.said


def test_other_rules_under_a_released_version_are_refused(tmp_path):
    rules = first_book(tmp_path / "rules")
    book = load_rule_book(rules)
    write_release(book, rules / "released")
    book.close()
    assert tried(rules) == []
    later = rules / "rule_book.yaml"
    later.write_text(later.read_text().replace("A toy for tests", "Something for tests"))

    (flaw,) = tried(rules)

    assert flaw.place.endswith(" version")
    assert "is released with other rules" in flaw.said
