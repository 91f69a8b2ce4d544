"""The handbook: every rule once, in the order of caution, with indexes that leave nothing out."""

from __future__ import annotations

import re

import pytest

from decision.folder_reading import read_rule_folder
from decision.handbook.book import SHOWN, handbook_differs, handbook_text, write_handbook
from decision.handbook.rule_text import rule_anchor
from tests.small_folder import rule, small_files, write

PLACE = re.compile(r'<a id="([^"]+)"></a>')
LINK = re.compile(r"\]\(#([^)]+)\)")


@pytest.fixture(scope="module")
def text(small_folder):
    return handbook_text(small_folder)


def rules_of(folder):
    return [rule for rules in folder.rules.values() for rule in rules]


def part(text, place, end="\n## "):
    """What stands between a heading and the next of its level."""
    return text.partition(f'<a id="{place}"></a>')[2].partition(end)[0]


def changed(tmp_path, name, change):
    """The small folder with one file changed."""
    files = small_files()
    change(files[name])
    return read_rule_folder(write(tmp_path / "rules", files))


def test_every_rule_appears_once_with_its_anchor(text, small_folder):
    places = PLACE.findall(text)

    assert [places.count(rule_anchor(one)) for one in rules_of(small_folder)] == [1] * len(rules_of(small_folder))


def test_an_anchor_is_made_of_decision_and_name(text):
    assert '#### <a id="suitability-watch-the-ear"></a>' in text


def test_no_place_has_two_anchors(text):
    places = PLACE.findall(text)

    assert len(places) == len(set(places))


def test_every_link_leads_to_a_place_of_the_page(text):
    assert set(LINK.findall(text)) - set(PLACE.findall(text)) == set()


def test_no_rule_is_without_an_evidence_line(text, small_folder):
    said = [part(text, rule_anchor(one), end="\n#") for one in rules_of(small_folder)]

    assert [one.count("**Evidence:**") for one in said] == [1] * len(said)


def test_the_rules_of_a_ladder_stand_from_the_most_cautious_down(text):
    chapter = part(text, "suitability")
    groups = re.findall(r"^### .*</a>(.+)$", chapter, re.M)

    assert groups == ["Do not freeze", "Take a sample first", "Watch it", "May be frozen, with care", "May be frozen"]


def test_statements_stand_from_the_most_urgent_down(text):
    assert re.findall(r"^### .*</a>(.+)$", part(text, "cautions"), re.M) == ["Critical", "Warning", "For information"]


def test_within_an_answer_rules_stand_by_the_alphabet_of_their_titles(tmp_path):
    files = small_files()
    for name, title in (("watch_the_ear", "leave the ear alone"), ("a_later_one", "Watch the ear, always")):
        files[f"suitability/{name}.yaml"] = {**files["suitability/watch_the_ear.yaml"], "title": title}

    text = handbook_text(read_rule_folder(write(tmp_path / "rules", files)))

    assert text.index('id="suitability-watch-the-ear"') < text.index('id="suitability-a-later-one"')


def test_chapters_stand_in_the_order_of_the_moments_of_the_job(tmp_path):
    files = small_files()
    files["cautions/decision.yaml"]["moments"] = ["after"]
    files["suitability/decision.yaml"]["moments"] = ["before", "during"]

    text = handbook_text(read_rule_folder(write(tmp_path / "rules", files)))

    assert re.findall(r'^## <a id="([^"]+)', text, re.M)[2:-5][-1] == "cautions"
    assert "Decision `suitability`, asked before and during the freeze, " in text
    assert "**After the freeze**" in part(text, "contents")


def test_a_ladder_is_printed_from_the_most_permissive_answer_to_the_most_cautious(text):
    assert "1. may be frozen\n2. may be frozen, with care\n3. watch it\n" in part(text, "suitability")


def test_a_ladder_names_the_statements_of_other_chapters_that_raise_it(text):
    group = part(text, "group-suitability-do-not-freeze", end="\n#")

    assert "[say that it reacted to cold](#cautions-say-that-it-reacted-to-cold)" in group


def test_an_answer_that_only_a_statement_brings_has_its_place_in_the_ladder(tmp_path):
    files = small_files()
    del files["suitability/watch_the_ear.yaml"]
    files["cautions/take_care_at_the_eye.yaml"]["conclude"]["raises_to"] = "watch"

    text = handbook_text(read_rule_folder(write(tmp_path / "rules", files)))

    assert "take care at the eye" in part(text, "group-suitability-watch", end="\n#")


def test_a_decision_says_when_it_is_asked(text):
    said = part(text, "plan")

    assert "Suitability: may be frozen; or may be frozen, with care. Method: a cone" in said


def test_the_contents_lead_to_every_decision_with_its_number_of_rules(text, small_folder):
    contents = part(text, "contents")

    for node in small_folder.decisions:
        assert f"[{node.question}](#{node.name}) ({len(small_folder.rules[node.name])})" in contents


def test_the_version_is_printed_and_the_digest_is_not(text, small_folder):
    assert small_folder.version in text
    assert small_folder.digest not in text


def test_the_opening_says_how_many_rules_rest_on_nothing(text, small_folder):
    count = len(rules_of(small_folder))

    assert f"{count} rules in 7 decisions." in text
    assert f"{count} (100 %) rest on [no source](#no-source)." in text
    assert f"Review: not yet reviewed by a clinician ({count})." in text


def test_the_index_by_fact_names_every_input(text, small_folder):
    index = part(text, "by-fact")

    missing = [name for name in small_folder.vocabulary.inputs if f'id="fact-{name.replace("_", "-")}"' not in index]
    assert missing == []


def test_the_index_by_fact_is_complete(text, small_folder):
    """Each rule stands under each fact that it asks about, exceptions included."""
    index = part(text, "by-fact")

    for one in rules_of(small_folder):
        for test in one.tests:
            entry = part(index, f"fact-{test.input.replace('_', '-')}", end="<a id=")
            assert f"(#{rule_anchor(one)})" in entry, f"{one.id} under {test.input}"


def test_the_index_by_fact_names_no_rule_that_does_not_ask(text, small_folder):
    entry = part(part(text, "by-fact"), "fact-pregnant", end="<a id=")

    assert LINK.findall(entry) == ["cautions-say-that-it-is-pregnant"]


def test_a_fact_that_no_rule_asks_about_is_listed_as_such(text):
    assert "No rule asks about it." in part(text, "fact-age-years", end="<a id=")


def test_a_computed_fact_says_what_it_is_computed_from(text):
    assert "Computed from: [base width](#fact-base-width-mm)." in part(text, "fact-needed-bore-mm", end="<a id=")


def test_the_index_by_source_lists_the_uncited_apart(text):
    assert 'id="source-smith-2020"' in part(text, "uncited")


def test_the_index_by_source_names_the_rules_that_rest_on_it(tmp_path):
    def cite(one):
        one["evidence"] |= {"citations": ["smith_2020"], "species_direct": True}

    text = handbook_text(changed(tmp_path, "suitability/watch_the_ear.yaml", cite))

    entry = part(text, "source-smith-2020", end="\n#")
    assert "Smith A. A source invented for tests. Nowhere, 2020." in entry
    assert "1 rule rests on it:\n\n- suitability: [watch the ear](#suitability-watch-the-ear)" in entry
    assert 'id="uncited"' not in text


def test_the_index_by_certainty_counts_and_lists(tmp_path):
    folder = changed(tmp_path, "suitability/watch_the_ear.yaml", lambda one: one["evidence"].update(certainty="low"))
    count = len(rules_of(folder))

    index = part(handbook_text(folder), "by-certainty")

    share = round(100 * (count - 1) / count)
    assert f"| very low | {count - 1} | {share} % | {count - 1} |" in index
    assert LINK.findall(part(index, "certainty-low", end="\n#")) == ["suitability-watch-the-ear"]


def test_decisions_stand_from_the_thinnest_evidence_up(tmp_path):
    folder = changed(tmp_path, "suitability/watch_the_ear.yaml", lambda one: one["evidence"].update(certainty="low"))

    shares = re.findall(r"^\| \[(.+?)\]\(.+ (\d+) % \|$", part(handbook_text(folder), "by-certainty"), re.M)

    count = len(folder.rules["suitability"])
    assert shares[-1] == ("suitability", str(round(100 * (count - 1) / count)))
    assert {share for _, share in shares[:-1]} == {"100"}


def test_what_rests_on_no_source_is_listed_in_full(text, small_folder):
    assert sorted(LINK.findall(part(text, "no-source"))) == sorted(rule_anchor(one) for one in rules_of(small_folder))


def test_a_text_that_looks_like_markup_is_shown_as_it_stands(tmp_path):
    folder = changed(
        tmp_path, "suitability/watch_the_ear.yaml", lambda one: one.update(purpose="Keep <b>this</b> | *as* it [is].")
    )

    assert r"Keep \<b\>this\</b\> \| \*as\* it \[is\]." in handbook_text(folder)


def test_a_written_handbook_does_not_differ(tmp_path, small_folder):
    write_handbook(tmp_path / "HANDBOOK.md", small_folder)

    assert handbook_differs(tmp_path / "HANDBOOK.md", small_folder) == ""


def test_a_changed_rule_shows_as_a_difference_of_its_own_lines(tmp_path, small_folder):
    write_handbook(tmp_path / "HANDBOOK.md", small_folder)
    folder = changed(tmp_path, "suitability/watch_the_ear.yaml", lambda one: one.update(purpose="Wait for a month."))

    lines = handbook_differs(tmp_path / "HANDBOOK.md", folder).splitlines()

    assert [line for line in lines if line.startswith(("+", "-")) and not line.startswith(("+++", "---"))] == [
        "-`suitability/watch_the_ear`. Give the tests of the engine something to run.",
        "+`suitability/watch_the_ear`. Wait for a month.",
    ]


def test_a_handbook_that_is_not_there_differs(tmp_path, small_folder):
    assert handbook_differs(tmp_path / "HANDBOOK.md", small_folder).startswith("--- HANDBOOK.md (written)")


def test_a_long_difference_is_cut_and_says_so(tmp_path, small_folder):
    lines = handbook_differs(tmp_path / "HANDBOOK.md", small_folder).splitlines()

    assert len(lines) == SHOWN + 1
    assert re.fullmatch(r"\.\.\. and [1-9][0-9]* lines more", lines[-1])


def test_a_new_rule_is_in_the_handbook_without_more_ado(tmp_path):
    files = small_files()
    files["precautions/mind_the_wind.yaml"] = rule(
        {"species": "horse"},
        {"step": "Mind the wind.", "detail": "It carries the cold away."},
        ("holds", {"species": "horse"}),
        ("fails", {"species": "dog"}),
        ("unknown", {}),
    )

    text = handbook_text(read_rule_folder(write(tmp_path / "rules", files)))

    assert "**Then:** Mind the wind. It carries the cold away." in part(text, "precautions-mind-the-wind", end="\n#")


def test_a_caution_says_beside_which_answers_it_is_silent(tmp_path):
    files = small_files()
    files["cautions/decision.yaml"]["fields"]["told_up_to"] = {"limit_of": "suitability", "optional": True}
    files["cautions/say_that_it_is_pregnant.yaml"]["conclude"]["told_up_to"] = "suitable_with_care"

    text = handbook_text(read_rule_folder(write(tmp_path / "rules", files)))

    assert "Told up to “may be frozen, with care”: where suitability is more cautious it is silent." in text
