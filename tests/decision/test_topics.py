"""Rules gathered by topic: what rule_book.yaml and the rules may name, and the chapter that is made of it."""

from __future__ import annotations

import pytest

from decision.errors import RuleBookError
from decision.folder_reading import read_rule_folder
from decision.handbook.book import handbook_text
from decision.handbook.rule_in_words import rule_as_data
from decision.handbook.topic_page import NOBODYS, topic_page
from decision.rule_schema import rule_schema
from tests.small_folder import line_of, small_files, write

EYE, EAR = "cautions/take_care_at_the_eye.yaml", "suitability/watch_the_ear.yaml"


def gathered():
    """The small folder with one page: its topics, by site."""
    files = small_files()
    topics = {"looks": "Looks", "nearness": "What is near"}
    files["rule_book.yaml"]["pages"] = {"places": {"title": "Places on the body", "by": "site", "topics": topics}}
    files[EYE]["topics"] = ["nearness", "looks"]
    files[EAR]["topics"] = ["looks"]
    files["cautions/say_that_it_is_pregnant.yaml"]["topics"] = ["looks"]
    return files


@pytest.fixture
def folder(tmp_path):
    return read_rule_folder(write(tmp_path / "rules", gathered()))


@pytest.fixture
def page(folder):
    return topic_page(folder.pages["places"], folder, rule_as_data)


def faults_of(tmp_path, change):
    files = gathered()
    change(files)
    with pytest.raises(RuleBookError) as refusal:
        read_rule_folder(write(tmp_path / "rules", files))
    return [str(fault) for fault in refusal.value.faults]


def test_a_page_gathers_the_rules_that_name_its_topics_whatever_they_decide(page):
    assert [(part["title"], sorted(rule["id"] for rule in part["rules"])) for part in page["parts"]] == [
        ("Looks", ["cautions/say_that_it_is_pregnant", "cautions/take_care_at_the_eye", "suitability/watch_the_ear"]),
        ("What is near", ["cautions/take_care_at_the_eye"]),
    ]


def test_a_page_says_for_each_code_which_rules_ask_for_it(page):
    concerns = {
        one["words"]: {part["title"]: [rule for rule, _ in part["rules"]] for part in one["parts"]}
        for one in page["concerns"]
    }

    assert concerns == {
        "trunk": {},
        "eyelid skin": {"Looks": ["cautions/take_care_at_the_eye"], "What is near": ["cautions/take_care_at_the_eye"]},
        "pinna": {"Looks": ["suitability/watch_the_ear"]},
    }


def test_the_handbook_has_a_chapter_of_the_page_that_leads_to_the_rules(folder):
    text = handbook_text(folder)
    chapter = text.partition('<a id="page-places"></a>')[2].partition("\n## ")[0]

    assert "[Places on the body](#page-places)" in text.partition("## <a")[2]
    assert '### <a id="topic-places-nearness"></a>What is near' in chapter
    assert chapter.count("](#cautions-take-care-at-the-eye)") == 4  # two topics, and each by its site
    assert NOBODYS in chapter


def test_the_schema_completes_the_topics_and_asks_for_none(folder):
    found = rule_schema(folder)["$defs"]

    codes = [one["const"] for one in found["topics"]["items"]["oneOf"]]
    assert codes == ["looks", "nearness"]
    assert all("topics" not in found[node.name]["required"] for node in folder.decisions)


def test_a_topic_that_no_page_has_is_refused_at_its_line(tmp_path):
    found = faults_of(tmp_path, lambda files: files[EAR].update(topics=["lokos"]))

    line = line_of(tmp_path / "rules", EAR, "- lokos")
    said = '"lokos" is no topic. Did you mean "looks"? Topics are in rules/rule_book.yaml.'
    assert found == [f"rules/{EAR}:{line} topics[0]: {said}"]


def test_a_topic_that_no_rule_names_is_refused(tmp_path):
    found = faults_of(tmp_path, lambda files: files[EYE].update(topics=["looks"]))

    line = line_of(tmp_path / "rules", "rule_book.yaml", "nearness:")
    assert found == [f"rules/rule_book.yaml:{line} pages.places.topics.nearness: no rule names this topic."]


def test_a_page_parted_by_what_has_no_codes_is_refused(tmp_path):
    found = faults_of(tmp_path, lambda files: files["rule_book.yaml"]["pages"]["places"].update(by="sight"))

    line = line_of(tmp_path / "rules", "rule_book.yaml", "by: sight")
    said = '"sight" is not an input with codes. Did you mean "site"?'
    assert found == [f"rules/rule_book.yaml:{line} pages.places.by: {said}"]


def test_a_topic_belongs_to_one_page(tmp_path):
    other = {"title": "Another page", "by": "species", "topics": {"looks": "Looks too"}}

    found = faults_of(tmp_path, lambda files: files["rule_book.yaml"]["pages"].update(other=other))

    assert [fault.partition(" ")[2] for fault in found] == [
        "pages.other.topics.looks: places has a topic of this name; choose another."
    ]
