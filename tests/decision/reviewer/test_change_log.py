"""The changelog must name each rule by which a verdict changes, and say in which direction."""

import pytest

from decision.reviewer.change_log import changelog_faults, items_that_change, verdict_changes
from decision.reviewer.comparison import compare
from tests.small_folder import small_files

EAR, SAMPLE = "suitability/watch_the_ear", "suitability/sample_a_wide_one"
SECTION = "### Recommendations that change"


def log(*items, heading="## Unreleased"):
    return "\n".join(["# Changelog", "", heading, "", "### Added", "", "- Words.", "", SECTION, "", *items, ""])


@pytest.fixture
def withdrawn(small_book, book_with):
    return compare(small_book, book_with({f"{EAR}.yaml": None, f"{SAMPLE}.yaml": None}))


def test_each_rule_by_which_a_verdict_changes_is_found_once_with_an_example(withdrawn):
    found = {(one.rule, one.direction) for one in verdict_changes(withdrawn)}

    assert found == {(EAR, "less cautious"), (SAMPLE, "less cautious")}
    assert all(one.example is not None for one in verdict_changes(withdrawn))


def test_a_changelog_that_names_every_rule_has_no_fault(withdrawn):
    text = log(f"- Less cautious, by `{EAR}`: an ear.", f"- Less cautious, by `{SAMPLE}`:", "  a wide one.")

    assert list(changelog_faults(withdrawn, text)) == []


@pytest.mark.parametrize(
    "text",
    [
        "",
        log(f"- Less cautious, by `{SAMPLE}`."),  # the other rule is not named
        log(f"- Less cautious, by `{SAMPLE}`.", f"- Changed: `{EAR}`."),  # no direction
        log(f"- Less cautious, by `{SAMPLE}`.", f"- More cautious, by `{EAR}`."),  # the other direction
        log(f"- Less cautious, by `{SAMPLE}`.", f"- Less cautious, by `{EAR}_flap`."),  # another rule
        log(f"- Less cautious, by `{SAMPLE}` and `{EAR}`.", heading="## 2026.10.0"),  # said of an earlier release
        f"## Unreleased\n\n### Added\n\n- Less cautious, by `{SAMPLE}` and `{EAR}`.\n",  # said elsewhere
    ],
)
def test_a_changelog_that_does_not_name_a_rule_is_told_which_with_a_case(withdrawn, text):
    faults = [fault for fault in changelog_faults(withdrawn, text) if EAR in fault]

    assert len(faults) == 1
    assert f'names {EAR} and says "less cautious". For example where' in faults[0]
    assert "site pinna" in faults[0]


def test_a_ladder_with_other_answers_must_be_named(small_book, book_with):
    node = small_files()["method/decision.yaml"]
    node["answers"] = {**node["answers"], "nothing_at_all": "nothing"}
    found = compare(small_book, book_with({"method/decision.yaml": node}))

    assert [fault for fault in changelog_faults(found, "") if "names method, whose answers are others" in fault]
    assert list(changelog_faults(found, log("- The method has one answer more."))) == []


def test_items_end_where_the_next_section_begins():
    text = log("- One.") + "\n### Fixed\n\n- Two.\n\n## 2026.10.0\n\n" + SECTION + "\n\n- Three.\n"

    assert items_that_change(text) == ["One."]
