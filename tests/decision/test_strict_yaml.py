"""Every way in which plain YAML guesses, tried with the strict reader."""

import pytest

from decision.strict_yaml import read_yaml


def data_of(text: str) -> object:
    document, faults = read_yaml(text, file="x.yaml")
    assert faults == []
    return document.data


def faults_of(text: str) -> list[str]:
    return [str(fault) for fault in read_yaml(text, file="x.yaml")[1]]


@pytest.mark.parametrize("word", ["no", "No", "NO", "yes", "Yes", "on", "off", "y", "n", "True", "FALSE"])
def test_a_word_that_yaml_takes_for_a_boolean_stays_text(word):
    assert data_of(f"a: {word}") == {"a": word}


@pytest.mark.parametrize(("written", "value"), [("true", True), ("false", False)])
def test_true_and_false_in_lower_case_are_booleans(written, value):
    assert data_of(f"a: {written}")["a"] is value


@pytest.mark.parametrize("written", ["'true'", '"true"', "|-\n  true", ">-\n  true"])
def test_a_quoted_true_is_text(written):
    assert data_of(f"a: {written}") == {"a": "true"}


@pytest.mark.parametrize(
    "written",
    [
        "010",  # octal, 8
        "0x1F",
        "1_000",
        "12:30",  # base sixty, 750
        "1e3",
        ".5",
        "5.",
        ".inf",
        ".nan",
        "2026-11-24",
        "9" * 5000,  # too long for a number
        "1234567890123456",  # a digit more than a double, and so a digest, is sure to keep
        "-1234567890123456.5",
    ],
)
def test_what_is_not_a_plain_decimal_number_stays_text(written):
    assert data_of(f"a: {written}") == {"a": written}


@pytest.mark.parametrize(
    ("written", "value"), [("0", 0), ("10", 10), ("-3", -3), ("+3", 3), ("0.10", 0.1), ("9" * 15, 999_999_999_999_999)]
)
def test_a_plain_decimal_number_is_a_number(written, value):
    assert data_of(f"a: {written}") == {"a": value}


def test_a_whole_number_is_no_decimal_number():
    assert type(data_of("a: 10")["a"]) is int


@pytest.mark.parametrize("written", ["null", "~", ""])
def test_nothing_written_is_nothing(written):
    assert data_of(f"a: {written}") == {"a": None}


def test_a_flow_mapping_with_a_question_mark_is_text():
    assert data_of("a: {q: How wide?}") == {"a": {"q": "How wide?"}}


def test_an_unquoted_closed_interval_is_a_list_and_no_text():
    assert data_of("a: [2..5]") == {"a": ["2..5"]}


def test_a_merge_key_is_an_ordinary_key():
    assert data_of("<<: {a: 1}") == {"<<": {"a": 1}}


def test_a_comparison_without_quotes_is_told_to_be_quoted():
    assert faults_of("a: 1\nb: >= 10\n") == [
        'x.yaml:2: YAML reads > as the start of a text block. Put the comparison in quotes: ">= 10".'
    ]


def test_a_half_open_interval_without_quotes_is_a_fault_on_its_own_line():
    assert faults_of("a: 1\nb: [2..5)\nc: 3\nd: 4\n") == [
        "x.yaml:2: did not find expected ',' or ']'. Texts with \": \" or \" #\" and intervals must be in quotes."
    ]


def test_a_text_with_a_colon_without_quotes_is_a_fault():
    assert faults_of("a: 1\nb: one: two\n") == [
        "x.yaml:2: mapping values are not allowed in this context. "
        'Texts with ": " or " #" and intervals must be in quotes.'
    ]


def test_a_key_that_stands_twice_is_a_fault_that_names_both_lines():
    assert faults_of("a: 1\nb: 2\na: 3\n") == ["x.yaml:3 a: this key stands twice; the first is on line 1."]


def test_a_key_that_stands_twice_deep_inside_is_a_fault_at_its_path():
    assert faults_of("a:\n  - b: 1\n    b: 2\n") == ["x.yaml:3 a[0].b: this key stands twice; the first is on line 2."]


def test_of_a_key_that_stands_twice_the_last_does_not_win():
    document, _ = read_yaml("a: 1\na: 2\n", file="x.yaml")

    assert document.data == {"a": 1}


def test_every_fault_of_a_document_is_reported():
    assert len(faults_of("a: 1\na: 2\nb: !x 3\nb: 4\n")) == 3


def test_an_alias_is_a_fault_on_the_line_where_it_stands():
    assert faults_of("a: &x [1]\nb: *x\n") == [
        "x.yaml:2 b: an alias; write the value out, so that each line can be read alone."
    ]


def test_a_tag_is_a_fault():
    assert faults_of("a: !!int 010\n") == ["x.yaml:1 a: a tag (tag:yaml.org,2002:int); tags are not used here."]


def test_a_python_tag_is_a_fault_and_makes_no_object():
    document, faults = read_yaml("a: !!python/object/apply:os.getcwd []\n", file="x.yaml")

    assert (document.data, len(faults)) == ({"a": []}, 1)


def test_a_second_document_in_one_file_is_a_fault():
    assert len(faults_of("a: 1\n---\nb: 2\n")) == 1


@pytest.mark.parametrize("written", ["? [1, 2]\n: 3\n", "? {a: 1}\n: 3\n", '"": 3\n'])
def test_a_key_that_is_no_word_is_a_fault(written):
    assert faults_of(written) == ["x.yaml:1: a key must be a plain word."]


@pytest.mark.parametrize("written", ["a: \x07", "\ta: 1", "a: @b", "a: `b", "a: *b", "a: {b: 1"])
def test_what_is_not_yaml_is_a_fault_on_line_1(written):
    assert [fault.split(": ")[0] for fault in faults_of(written)] == ["x.yaml:1"]


@pytest.mark.parametrize("depth", [25, 500, 100_000])
def test_lists_in_lists_without_end_are_a_fault(depth):
    assert len(faults_of("a: " + "[" * depth + "]" * depth)) == 1


@pytest.mark.parametrize("written", ["", "# only a comment\n"])
def test_an_empty_file_holds_nothing(written):
    assert data_of(written) is None


def test_a_fault_at_a_path_carries_the_line_of_that_path():
    document, _ = read_yaml("a:\n  - b: 1\n  - b: 2\n", file="x.yaml")

    assert str(document.fault(("a", 1, "b"), "wrong.")) == "x.yaml:3 a[1].b: wrong."


def test_a_fault_at_a_path_that_is_not_there_carries_the_line_of_its_parent():
    document, _ = read_yaml("a: 1\nb:\n  c: 1\n", file="x.yaml")

    assert str(document.fault(("b", "d"), "missing.")) == "x.yaml:2 b.d: missing."
