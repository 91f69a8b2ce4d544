"""What rules rest on, and what falls with a source."""

import pytest

from decision.reviewer.evidence_report import evidence_html
from decision.reviewer.evidence_view import UnknownSource, evidence_of, fall_of, source_uses
from tests.small_folder import small_files

EAR, SAMPLE = "suitability/watch_the_ear.yaml", "suitability/sample_a_wide_one.yaml"


@pytest.fixture
def sourced(book_with):
    """The small book with one rule on one source, and one on two."""
    files = small_files()
    sources = {"smith_2020": files["sources.yaml"]["smith_2020"], "jones_2021": files["sources.yaml"]["smith_2020"]}
    for name, citations in ((EAR, ["smith_2020"]), (SAMPLE, ["jones_2021", "smith_2020"])):
        files[name]["evidence"] = {**files[name]["evidence"], "certainty": "low", "citations": citations}
    return book_with({"sources.yaml": sources, EAR: files[EAR], SAMPLE: files[SAMPLE]})


def test_rules_are_counted_by_certainty_and_by_having_no_source(sourced):
    counted = next(one for one in evidence_of(sourced.folder) if one.decision == "suitability")

    assert (counted.rules, counted.by_certainty["low"], counted.unsourced) == (5, 2, 3)


def test_the_parts_of_a_decision_share_no_rule_and_are_all_of_them(sourced):
    counted = next(one for one in evidence_of(sourced.folder) if one.decision == "suitability")

    assert counted.parts == [0, 0, 2, 0, 3]
    assert all(sum(one.parts) == one.rules for one in evidence_of(sourced.folder))


def test_the_page_shows_the_rule_book_and_each_decision_with_figures(sourced):
    page = evidence_html(evidence_of(sourced.folder), source_uses(sourced.folder))

    assert page.count("<svg") == 2
    assert "suitability: 5 (2 low, 3 no source)" in page
    assert '<th scope="row">suitability</th><td>5</td><td>0</td><td>0</td><td>2</td><td>0</td><td>3</td>' in page
    assert "smith_2020" in page


def test_a_source_lists_the_rules_on_it_and_those_on_it_alone(sourced):
    use = source_uses(sourced.folder)[0]

    assert use.source == "smith_2020"
    assert use.rules == ("suitability/sample_a_wide_one", "suitability/watch_the_ear")
    assert use.alone == ("suitability/watch_the_ear",)


def test_what_rests_on_a_retracted_source_alone_falls_and_the_rest_is_weakened(sourced):
    fall = fall_of(sourced, "smith_2020")

    assert [rule.id for rule in fall.fallen] == ["suitability/watch_the_ear"]
    assert fall.weakened == {"suitability/sample_a_wide_one": ("jones_2021",)}


def test_a_fall_tells_the_cases_that_would_be_answered_less_cautiously(sourced):
    fall = fall_of(sourced, "smith_2020")

    boxes = next(one for one in fall.without.ladders if one.ladder == "suitability").less_cautious
    assert boxes and {box.where["site"] for box in boxes} == {"pinna"}


def test_a_source_on_which_nothing_rests_alone_changes_no_case(sourced):
    assert fall_of(sourced, "jones_2021").without is None


def test_a_source_that_is_not_there_is_refused(sourced):
    with pytest.raises(UnknownSource):
        fall_of(sourced, "smith_2021")
