"""Unary tests: read as written, turned round, said in English."""

import math
import random

import pytest
from hypothesis import given

from decision.errors import UnreadableTest
from decision.unary_test import Among, Interval, Truth, in_words, met, opposite, read_test
from decision.vocabulary import Input
from tests.kleene import truth
from tests.random_rules import CHANCES, STEADY, case_values, random_rule_set

HUGE = "9" * 400  # more than a double holds
WIDTH = Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300)
SITE = Input("site", "lesion", "code", "Where?", allowed={"trunk": "trunk", "lid": "eyelid", "ear": "ear flap"})
WET = Input("wet", "lesion", "boolean", "Is it wet?")
BORES = Input("bores_mm", "equipment", "numbers", "Which bores?", "mm", 1, 40)


@pytest.mark.parametrize(
    ("written", "test"),
    [
        (">= 10", Interval("base_width_mm", low=10)),
        ("> 10", Interval("base_width_mm", low=10, low_included=False)),
        ("<= 10", Interval("base_width_mm", high=10)),
        ("< 10", Interval("base_width_mm", high=10, high_included=False)),
        ("= 10", Interval("base_width_mm", 10, 10)),
        (">=10", Interval("base_width_mm", low=10)),
        ("[5..20]", Interval("base_width_mm", 5, 20)),
        ("[5..20)", Interval("base_width_mm", 5, 20, True, False)),
        ("(5..20]", Interval("base_width_mm", 5, 20, False, True)),
        ("( 5 .. 20.5 )", Interval("base_width_mm", 5, 20.5, False, False)),
    ],
)
def test_a_comparison_is_read_with_its_limits(written, test):
    assert read_test(written, about=WIDTH) == test


@pytest.mark.parametrize(
    ("written", "test"),
    [
        ("lid", Among("site", ("lid",))),
        (["lid", "ear"], Among("site", ("lid", "ear"))),
        ({"not": ["lid"]}, Among("site", ("lid",), inside=False)),
        ({"not": "lid"}, Among("site", ("lid",), inside=False)),
    ],
)
def test_codes_are_read_as_one_of_or_none_of(written, test):
    assert read_test(written, about=SITE) == test


@pytest.mark.parametrize("value", [True, False])
def test_true_and_false_are_read_for_a_yes_or_no_input(value):
    assert read_test(value, about=WET) == Truth("wet", value)


@pytest.mark.parametrize(
    ("written", "about", "said"),
    [
        (10, WIDTH, 'a number is compared in quotes, for example ">= 10" or "[5..20)".'),
        (True, WIDTH, 'a number is compared in quotes, for example ">= 10" or "[5..20)".'),
        ([10], WIDTH, 'a number is compared in quotes, for example ">= 10" or "[5..20)".'),
        ("10", WIDTH, '"10" is not a comparison; write one like ">= 10" or "[5..20)".'),
        ("=> 10", WIDTH, '"=> 10" is not a comparison; write one like ">= 10" or "[5..20)".'),
        (">= 1e1", WIDTH, '">= 1e1" is not a comparison; write one like ">= 10" or "[5..20)".'),
        (">= .5", WIDTH, '">= .5" is not a comparison; write one like ">= 10" or "[5..20)".'),
        (">= 5 mm", WIDTH, '">= 5 mm" is not a comparison; write one like ">= 10" or "[5..20)".'),
        ("[20..5]", WIDTH, '"[20..5]": the lower limit must be under the upper one.'),
        ("[5..5]", WIDTH, '"[5..5]": the lower limit must be under the upper one.'),
        (">= 301", WIDTH, '">= 301": the limit is outside the range of the input, 0.5 to 300 mm.'),
        ("[0..5]", WIDTH, '"[0..5]": the limit is outside the range of the input, 0.5 to 300 mm.'),
        (f"<= {HUGE}", WIDTH, f'"<= {HUGE}": the limit is outside the range of the input, 0.5 to 300 mm.'),
        (f"> -{HUGE}", WIDTH, f'"> -{HUGE}": the limit is outside the range of the input, 0.5 to 300 mm.'),
        (f"[1..{HUGE}]", WIDTH, f'"[1..{HUGE}]": the limit is outside the range of the input, 0.5 to 300 mm.'),
        ("true", WET, "a yes-or-no input is asked with true or false."),
        (1, WET, "a yes-or-no input is asked with true or false."),
        (None, WET, "a yes-or-no input is asked with true or false."),
        ([], SITE, "the list of codes is empty."),
        ({"not": []}, SITE, "the list of codes is empty."),
        (
            "trunc",
            SITE,
            '"trunc" is not a value of site. Did you mean "trunk"? Allowed: trunk, lid, ear.',
        ),
        (True, SITE, '"True" is not a value of site. Allowed: trunk, lid, ear.'),
        (["lid", "lid"], SITE, "a code stands twice in the list."),
        (["lid", "ear", "trunk"], SITE, "the list names every allowed code, so the test says nothing."),
        ({"nor": ["lid"]}, SITE, "exceptions are written {not: [code, code]}."),
        ({"not": ["lid"], "or": ["ear"]}, SITE, "exceptions are written {not: [code, code]}."),
        (">= 5", BORES, "bores_mm is a list of numbers; a rule asks a quantity derived from it."),
    ],
)
def test_a_test_that_cannot_be_read_says_what_would_be_right(written, about, said):
    with pytest.raises(UnreadableTest) as refusal:
        read_test(written, about=about)

    assert str(refusal.value) == said


@pytest.mark.parametrize(
    ("written", "value", "answer"),
    [
        (">= 10", math.nextafter(10, 0), False),
        (">= 10", 10.0, True),
        ("> 10", 10.0, False),
        ("> 10", math.nextafter(10, 11), True),
        ("[5..20)", 5.0, True),
        ("[5..20)", 20.0, False),
        ("(5..20]", 5.0, False),
        ("(5..20]", 20.0, True),
        ("= 0.3" + "0" * 16, 0.1 + 0.2, False),  # 0.30000000000000004
    ],
)
def test_a_limit_belongs_to_a_test_only_where_it_is_included(written, value, answer):
    about = Input("ratio", "lesion", "number", "How much?", "ratio", 0, 300)

    assert met(read_test(written, about=about), value) is answer


@pytest.mark.parametrize(
    ("written", "about", "opposites"),
    [
        (True, WET, [False]),
        ("lid", SITE, [{"not": ["lid"]}]),
        ({"not": ["lid", "ear"]}, SITE, [["lid", "ear"]]),
        (">= 10", WIDTH, ["< 10"]),
        ("< 10", WIDTH, [">= 10"]),
        ("(5..20]", WIDTH, ["<= 5", "> 20"]),
        ("= 5", WIDTH, ["< 5", "> 5"]),
    ],
)
def test_the_opposite_is_what_an_author_would_write(written, about, opposites):
    expected = tuple(read_test(one, about=about) for one in opposites)

    assert opposite(read_test(written, about=about)) == expected


@STEADY
@given(CHANCES)
def test_exactly_when_a_test_is_not_met_one_of_its_opposites_is(chance: random.Random):
    rule_set = random_rule_set(chance)
    test = chance.choice(chance.choice(rule_set.rules).tests)
    value = chance.choice(case_values(rule_set.inputs[test.input], rule_set.limits.get(test.input, ())))

    assert sum(met(one, value) for one in opposite(test)) == (not met(test, value))


@STEADY
@given(CHANCES)
def test_a_stated_value_meets_a_test_exactly_when_the_judge_says_so(chance: random.Random):
    rule_set = random_rule_set(chance)
    rule = chance.choice(rule_set.rules)
    name, written = chance.choice(list(rule.written["when"].items()))
    value = chance.choice(case_values(rule_set.inputs[name], rule_set.limits.get(name, ())))

    assert met(read_test(written, about=rule_set.inputs[name]), value) == truth(written, value)


@pytest.mark.parametrize(
    ("written", "about", "words"),
    [
        (True, WET, "wet: yes"),
        (False, WET, "wet: no"),
        ("lid", SITE, "site: eyelid"),
        (["lid", "ear"], SITE, "site: eyelid; or ear flap"),
        ({"not": ["lid"]}, SITE, "site: not eyelid"),
        ({"not": ["lid", "ear"]}, SITE, "site: none of: eyelid; ear flap"),
        (">= 10", WIDTH, "base width is at least 10 mm"),
        ("> 10", WIDTH, "base width is over 10 mm"),
        ("<= 0.5", WIDTH, "base width is at most 0.5 mm"),
        ("< 10", WIDTH, "base width is under 10 mm"),
        ("= 10", WIDTH, "base width is exactly 10 mm"),
        ("(5..20]", WIDTH, "base width is over 5 mm and at most 20 mm"),
    ],
)
def test_a_test_is_said_in_english_with_its_unit(written, about, words):
    assert in_words(read_test(written, about=about), about) == words


def test_a_unit_loses_its_plural_beside_a_limit_of_one():
    about = Input("weeks_present", "lesion", "number", "How many?", "weeks", 0, 2000)

    assert in_words(read_test("[1..4)", about=about), about) == "weeks present is at least 1 week and under 4 weeks"


def test_a_large_limit_is_said_without_an_exponent():
    about = Input("freezes", "operator", "number", "How many?", "freezes", 0, 1e9)

    assert in_words(read_test(">= 2000000", about=about), about) == "freezes is at least 2000000 freezes"
