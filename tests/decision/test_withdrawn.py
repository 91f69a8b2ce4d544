"""Withdrawn rules keep their file, answer nothing, and are checked with the folder."""

import pytest

from decision.errors import RuleBookError
from decision.folder_reading import read_rule_folder
from decision.withdrawn import read_withdrawn
from tests.small_folder import small_files, write

GONE = "suitability/leave_an_old_one"
FILE = f"withdrawn/{GONE}.yaml"


def withdrawal(**changed):
    rule = small_files()["suitability/watch_the_ear.yaml"]
    said = {
        "on": "2026-11-24",
        "why": "The figure came from a study that was retracted.",
        "replaced_by": ["suitability/watch_the_ear"],
        "rule": rule,
    }
    return {**said, **changed}


def refused(folder):
    with pytest.raises(RuleBookError) as error:
        read_rule_folder(folder)
    return str(error.value)


def test_a_withdrawn_rule_is_kept_with_why_and_what_replaced_it(tmp_path):
    folder = write(tmp_path / "rules", {**small_files(), FILE: withdrawal()})

    one = read_withdrawn(folder)[0]

    assert (one.rule, one.replaced_by) == (GONE, ("suitability/watch_the_ear",))
    assert one.why == "The figure came from a study that was retracted."


def test_a_withdrawn_rule_changes_neither_rules_nor_digest(tmp_path):
    without = read_rule_folder(write(tmp_path / "without", small_files()))
    folder = read_rule_folder(write(tmp_path / "with", {**small_files(), FILE: withdrawal()}))

    assert folder.digest == without.digest
    assert folder.rule(*GONE.split("/")) is None


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"why": "Old."}, "why"),
        ({"replaced_by": ["suitability/nothing"]}, '"suitability/nothing" is no rule, and none was withdrawn.'),
        ({"rule": {"title": "Only a title"}}, "a withdrawn rule keeps everything that it said"),
        ({"on": "yesterday"}, "on"),
    ],
)
def test_a_withdrawal_that_says_too_little_is_refused_at_its_line(tmp_path, changed, said):
    text = refused(write(tmp_path / "rules", {**small_files(), FILE: withdrawal(**changed)}))

    assert f"rules/{FILE}:" in text
    assert said in text


def test_a_rule_is_not_withdrawn_while_it_stands(tmp_path):
    name = "withdrawn/suitability/watch_the_ear.yaml"
    text = refused(write(tmp_path / "rules", {**small_files(), name: withdrawal()}))

    assert "suitability/watch_the_ear is withdrawn and still a rule; move the file, do not copy it." in text


def test_a_withdrawn_rule_stands_under_its_decision(tmp_path):
    text = refused(write(tmp_path / "rules", {**small_files(), "withdrawn/lost.yaml": withdrawal()}))

    assert "stands at withdrawn/<decision>/<rule>.yaml" in text
