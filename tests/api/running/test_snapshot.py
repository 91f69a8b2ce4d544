"""A copy of the rules is whole and stays what it was, and a change of the folder is noticed."""

import os

import pytest

from api.running.snapshot import fingerprint, keep_only, take_snapshot
from api.running.state_folder import counts_in, state_folder_of
from tests.two_books import RULE, first_book, second_book


def test_a_copy_is_called_like_the_folder_and_does_not_change_with_it(tmp_path):
    rules = first_book(tmp_path / "rules")
    copy = take_snapshot(rules, tmp_path / "state")

    second_book(rules)

    assert copy.name == "rules"
    assert "verdict: sample_first" in (copy / RULE).read_text()


def test_what_is_hidden_is_not_copied(tmp_path):
    rules = first_book(tmp_path / "rules")
    (rules / ".git").mkdir()

    assert not (take_snapshot(rules, tmp_path / "state") / ".git").exists()


def test_a_folder_that_is_gone_cannot_be_copied(tmp_path):
    with pytest.raises(OSError):
        take_snapshot(tmp_path / "rules", tmp_path / "state")


@pytest.mark.parametrize("change", ["content", "a file more", "a file less", "its time"])
def test_any_change_of_a_rule_file_is_noticed(tmp_path, change):
    rules = first_book(tmp_path / "rules")
    before = fingerprint(rules)
    assert fingerprint(rules) == before

    if change == "content":
        (rules / RULE).write_text("title: another\n")
    elif change == "a file more":
        (rules / "suitability" / "another.yaml").write_text("title: another\n")
    elif change == "a file less":
        (rules / RULE).unlink()
    else:
        os.utime(rules / RULE, ns=(1, 1))

    assert fingerprint(rules) != before


def test_only_the_copies_that_are_named_are_kept(tmp_path):
    rules = first_book(tmp_path / "rules")
    one, two, three = (take_snapshot(rules, tmp_path) for _ in range(3))

    keep_only(tmp_path, one, three)

    assert (one.exists(), two.exists(), three.exists()) == (True, False, True)
    assert rules.exists()


def test_a_state_folder_is_made_for_the_run_and_gone_afterwards():
    with state_folder_of(None) as folder:
        assert folder.stat().st_mode & 0o777 == 0o700
        assert counts_in(folder).is_dir()

    assert not folder.exists()


def test_a_state_folder_that_is_named_is_emptied_of_an_earlier_run_and_of_nothing_else(tmp_path):
    rules = first_book(tmp_path / "elsewhere")
    take_snapshot(rules, tmp_path)
    (tmp_path / "notice.json").write_text("{}")
    (tmp_path / "kept.txt").write_text("of somebody else")

    with state_folder_of(tmp_path) as folder:
        assert {one.name for one in folder.iterdir()} == {"elsewhere", "kept.txt", "counts"}
