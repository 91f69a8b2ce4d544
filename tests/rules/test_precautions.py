"""The order in which precautions are told: this patient and this freeze first, what holds around every cryogen last."""

from itertools import pairwise

import pytest

from decision import load_rule_book
from tests.random_rules import written_cases


@pytest.fixture(scope="module")
def told():
    """The rules behind the precautions of every permitted lesion of the whole cases, in the order they are told."""
    book = load_rule_book()
    rules = {rule.id: rule for listed in book.folder.rules.values() for rule in listed}
    answers = [book.recommend(case) for case in written_cases(book).values()]
    book.close()
    lists = [lesion["precautions"] for answer in answers for lesion in answer["lesions"]]
    return [[rules[step["reasons"][0]["rule"]] for step in steps] for steps in lists if steps]


def test_what_holds_around_every_cryogen_is_told_last(told):
    for rules in told:
        assert all(bool(before.topics) <= bool(after.topics) for before, after in pairwise(rules))


def test_some_answers_have_precautions_of_both_kinds(told):
    assert sum(len({bool(rule.topics) for rule in rules}) == 2 for rules in told) > 10
