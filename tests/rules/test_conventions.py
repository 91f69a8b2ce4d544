"""Conventions of the shipped rules that the loader does not hold. Each failure quotes the convention and the fix."""

from __future__ import annotations

import re

import pytest

from decision.folder_reading import read_rule_folder, shipped_rules

VERBS = re.compile(
    "aim|air|ask|begin|biopsy|bring|call|castrate|check|clean|clip|count|cover|disinfect|do|dry|excise|expect|fill|find|"
    "freeze|get|give|glove|guard|hold|keep|leave|let|lift|ligate|look|never|offer|photograph|plan|plug|practise|put|"
    "record|refer|remove|review|rule|sample|set|soften|spare|spray|stop|take|tell|think|treat|use|wait|warn|wash|watch|"
    "wear|weigh|wet"
)
ID = re.compile(r"[a-z]+(_[a-z0-9]+)*")
LONGEST_ID = 50
DOSE = re.compile(
    r"(mg|mcg|µg|ug|ml|iu|units?|drops?)\s*(/|per)\s*(kg|kilo|animal|dog|cat|horse|day|dose)|\b\d\s*(mg|mcg|µg)\b", re.I
)
WITHDRAWAL = re.compile(r"withdrawal (period|time)s? (of|is|are) ", re.I)
NOT_CITED = re.compile(r"^# not cited by a rule: .+\n(?P<key>[a-z0-9_]+):$", re.M)
SENTENCE_END = re.compile(r"[.!?](?=\s|$)")
LONGEST_EXPLANATION = 600


@pytest.fixture(scope="module")
def folder():
    return read_rule_folder(shipped_rules())


@pytest.fixture(scope="module")
def rules(folder):
    return [rule for rules in folder.rules.values() for rule in rules]


def broken(convention, fix):
    """What a failing test says: the convention, and how to keep it."""
    return f"\nConvention: {convention}\nFix: {fix}"


def texts_of(rule):
    """Every text of a rule that a reader of an answer sees."""
    said = [value for value in rule.conclude.values() if isinstance(value, str)]
    return " ".join([rule.title, rule.purpose, rule.explanation, rule.evidence.limits, *said])


def test_a_title_starts_with_what_to_do(rules):
    wrong = [
        f"{rule.id}: {rule.title}" for rule in rules if not VERBS.fullmatch(rule.title.split()[0].strip(",").lower())
    ]

    assert wrong == [], broken(
        "a title is advice in one sentence and starts with what to do.",
        "begin with a verb; if yours is one, add it to VERBS in tests/rules/test_conventions.py.",
    )


def test_a_title_is_one_short_sentence_without_a_full_stop(rules):
    wrong = [
        f"{rule.id}: {rule.title}" for rule in rules if len(rule.title) > 80 or rule.title.endswith((".", "!", "?"))
    ]

    assert wrong == [], broken("a title has at most 80 characters and no full stop.", "shorten it, drop the stop.")


def test_no_two_rules_have_the_same_title(rules):
    titles = [rule.title for rule in rules]
    wrong = [f"{rule.id}: {rule.title}" for rule in rules if titles.count(rule.title) > 1]

    assert wrong == [], broken("a title alone tells a colleague which rule it is.", "say in the title what differs.")


def test_a_file_name_can_be_said_aloud(rules):
    wrong = [rule.id for rule in rules if not ID.fullmatch(rule.name) or len(rule.name) > LONGEST_ID]

    assert wrong == [], broken(
        f"a file name is words joined by underscores, at most {LONGEST_ID} characters, beginning with a word.",
        "name the file for what the rule is about, not by a number.",
    )


def test_an_explanation_has_one_to_four_sentences(rules):
    wrong = [
        f"{rule.id}: {len(SENTENCE_END.findall(rule.explanation))} sentences, {len(rule.explanation)} characters"
        for rule in rules
        if not 1 <= len(SENTENCE_END.findall(rule.explanation)) <= 4 or len(rule.explanation) > LONGEST_EXPLANATION
    ]

    assert wrong == [], broken(
        f"an explanation has one to four sentences and at most {LONGEST_EXPLANATION} characters.",
        "keep what a colleague would say at the table; a second thought is a second rule.",
    )


def test_no_rule_gives_a_dose(rules):
    wrong = [f"{rule.id}: {found[0]}" for rule in rules if (found := DOSE.search(texts_of(rule)))]

    assert wrong == [], broken(
        "no rule gives a drug dose.", "name the kind of drug and leave the dose to the product information."
    )


def test_no_rule_gives_a_withdrawal_figure(rules):
    wrong = [f"{rule.id}: {found[0]}" for rule in rules if (found := WITHDRAWAL.search(texts_of(rule)))]

    assert wrong == [], broken("no rule gives a drug withdrawal figure.", "refer to national law and the label.")


def test_every_cited_key_is_a_source(folder, rules):
    wrong = [f"{rule.id}: {key}" for rule in rules for key in rule.evidence.citations if key not in folder.sources]

    assert wrong == [], broken("a citation is a key of rules/sources.yaml.", "add the source, or mend the key.")


def test_a_source_is_cited_once_in_a_rule(rules):
    wrong = [rule.id for rule in rules if len(set(rule.evidence.citations)) < len(rule.evidence.citations)]

    assert wrong == [], broken("a source stands once in the citations of a rule.", "drop the second one.")


def test_every_source_is_cited_or_marked(folder, rules):
    text = (shipped_rules() / "sources.yaml").read_text(encoding="utf-8")
    marked = {found["key"] for found in NOT_CITED.finditer(text)}
    cited = {key for rule in rules for key in rule.evidence.citations}

    wrong = sorted({*(folder.sources.keys() - cited - marked), *(marked & cited)})

    assert wrong == [], broken(
        "a source of rules/sources.yaml is cited by a rule, or marked as not cited, and never both.",
        'cite it, remove it, or write "# not cited by a rule: " and why on the line above its key.',
    )


def test_no_two_rules_of_a_decision_say_the_same_for_the_same_case(folder):
    wrong = []
    for rules in folder.rules.values():
        seen = {}
        for rule in rules:
            said = repr((sorted(map(repr, rule.when)), sorted(map(repr, rule.unless)), rule.conclude))
            wrong += [f"{rule.id} and {seen[said]}"] if said in seen else []
            seen[said] = rule.id

    assert wrong == [], broken("a rule stands once.", "remove one of the two.")
