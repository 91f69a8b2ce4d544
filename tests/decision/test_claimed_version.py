"""A rule folder that states the version of a release is that release, or it is not loaded."""

import pytest

from decision.errors import RuleBookError
from decision.folder_reading import read_rule_folder
from decision.reviewer.released import write_release
from decision.rule_book import RuleBook
from tests.small_folder import line_of, small_files, write

EAR = "suitability/watch_the_ear.yaml"


@pytest.fixture
def released(tmp_path):
    """A rule folder that is released."""
    folder = write(tmp_path / "rules", small_files())
    book = RuleBook(read_rule_folder(folder))
    write_release(book, folder / "released")
    book.close()
    return folder


def faults_of(folder):
    with pytest.raises(RuleBookError) as refused:
        read_rule_folder(folder)
    return [str(one) for one in refused.value.faults]


def test_a_folder_that_is_its_release_is_loaded(released):
    assert read_rule_folder(released).version == "2026.11.0"


def test_other_rules_under_a_released_version_are_refused(released):
    (released / EAR).unlink()

    line = line_of(released, "rule_book.yaml", "version")
    assert faults_of(released) == [
        f"rules/rule_book.yaml:{line} version: 2026.11.0 is released with other rules (released/2026.11.0.json). "
        "Raise the version in rule_book.yaml."
    ]


def test_other_rules_under_a_version_of_their_own_are_loaded(released):
    (released / EAR).unlink()
    book = released / "rule_book.yaml"
    book.write_text(book.read_text().replace("2026.11.0", "2026.11.1"))

    assert read_rule_folder(released).version == "2026.11.1"


@pytest.mark.parametrize("text", ["", "[]", "{}", "{"])
def test_a_release_that_cannot_be_read_is_never_passed_over(released, text):
    (released / "released" / "2026.11.0.json").write_text(text)

    (said,) = faults_of(released)
    assert "version: released/2026.11.0.json is no released rule book" in said
