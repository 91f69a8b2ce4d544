"""A mapping file is read strictly: exact codes, no guesses, and every fault with its line before anything starts."""

import pytest

from api.app import create_app
from api.code_lists import CANONICAL, Meaning, code_lists_of
from api.mapping import SHIPPED, UnusableCodeMap, read_code_map, shipped_code_map
from api.settings import Settings, UnusableSetting
from decision.folder_reading import read_rule_folder, shipped_rules

OTHER = "https://codes.example.org/animals"
GOOD = f"""\
title: Codes of one practice
version: "7"
group:
  - source: {OTHER}
    target: {CANONICAL}species
    element:
      - {{code: K9, display: Dog, target: [{{code: dog, relationship: equivalent}}]}}
      - {{code: K9-pup, target: [{{code: dog, relationship: source-is-narrower-than-target}}]}}
      - {{code: Pet, target: [{{code: dog, relationship: source-is-broader-than-target}}]}}
      - {{code: Unknown, noMap: true}}
"""


@pytest.fixture(scope="module")
def lists():
    return code_lists_of(read_rule_folder(shipped_rules()))


@pytest.fixture
def read(tmp_path, lists):
    """Reads a mapping file with this text."""

    def written(text):
        path = tmp_path / "practice.yaml"
        path.write_text(text, encoding="utf-8")
        return read_code_map(path, lists)

    return written


def test_a_code_that_is_equivalent_or_narrower_means_ours(read):
    means = read(GOOD).means

    assert means[OTHER, "K9"] == means[OTHER, "K9-pup"] == (Meaning("species", "dog"),)


def test_a_code_that_is_broader_means_nothing_and_is_known_to_be_too_broad(read):
    code_map = read(GOOD)

    assert (OTHER, "Pet") not in code_map.means
    assert code_map.too_broad == {(OTHER, "Pet"): (Meaning("species", "dog"),)}


def test_a_code_without_a_map_is_known_to_mean_nothing(read):
    assert read(GOOD).means[OTHER, "Unknown"] == ()


def test_only_the_exact_code_is_meant(read):
    means = read(GOOD).means

    assert (OTHER, "k9") not in means and (f"{OTHER}/", "K9") not in means


def test_the_digest_changes_with_what_the_file_says_and_not_with_how_it_is_laid_out(read):
    first = read(GOOD).digest

    assert first.startswith("sha-256:")
    assert read(f"# a comment\n{GOOD}").digest == first
    assert read(GOOD.replace("K9-pup", "K9-puppy")).digest != first


def test_one_code_may_mean_codes_of_several_lists(read):
    second = f"""\
  - source: {OTHER}
    target: {CANONICAL}finding-value
    element:
      - {{code: K9, target: [{{code: brachycephalic.true, relationship: equivalent}}]}}
"""

    assert [one.list for one in read(GOOD + second).means[OTHER, "K9"]] == ["species", "finding-value"]


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("code: dog, relationship: equivalent", "code: dgo, relationship: equivalent", "practice.yaml:7 "),
        ("CodeSystem/species", "CodeSystem/speices", "not one of: "),
        (f"source: {OTHER}", f"source: {CANONICAL}species", "codes of ours need no mapping"),
        ("noMap: true", 'display: "?"', "a code has targets, or noMap: true"),
        ("code: K9-pup", "code: K9", "this code stands twice"),
        ("relationship: equivalent", "relationship: equal", "'equivalent'"),
        ("title:", "titel:", 'Did you mean "title"'),
        ('version: "7"', "version: 7", "practice.yaml:2 version"),
        ("title: Codes", "title: Codes\ntitle: Codes", "this key stands twice"),
    ],
)
def test_a_fault_is_told_with_its_line_and_what_would_be_right(read, before, after, said):
    with pytest.raises(UnusableCodeMap) as refused:
        read(GOOD.replace(before, after, 1))

    assert said in str(refused.value)
    assert str(refused.value).endswith("The mapping file cannot be used.")


def test_a_file_that_is_not_there_is_a_fault(tmp_path, lists):
    with pytest.raises(UnusableCodeMap, match="cannot be read"):
        read_code_map(tmp_path / "none.yaml", lists)


def test_a_mapping_file_with_a_fault_stops_the_start(tmp_path, toy_book):
    path = tmp_path / "practice.yaml"
    path.write_text("title: x")

    with pytest.raises(UnusableSetting):
        create_app(toy_book, Settings(code_map=path))


def test_the_shipped_mapping_leads_to_codes_that_are_there(lists):
    assert read_code_map(SHIPPED, lists) == shipped_code_map(lists)
    assert shipped_code_map(lists).means["http://hl7.org/fhir/animal-species", "canislf"] == (
        Meaning("species", "dog"),
    )


def test_the_shipped_mapping_holds_no_code_of_a_terminology_that_must_not_be_shipped():
    text = SHIPPED.read_text(encoding="utf-8").lower()

    for system in ("snomed", "venom", "loinc", "sct"):
        assert system not in text


def test_the_shipped_mapping_serves_a_rule_book_with_fewer_codes(toy_book):
    means = shipped_code_map(code_lists_of(toy_book.folder)).means

    assert means["http://hl7.org/fhir/animal-species", "canislf"] == (Meaning("species", "dog"),)
    assert means["http://hl7.org/fhir/animal-species", "ovisa"] == ()
