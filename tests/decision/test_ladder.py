"""A ladder: which answer is the most cautious one that some rules bring."""

import random

import pytest
from hypothesis import given

from decision.evaluator import Outcome
from decision.ladder import ladder_of
from decision.run import Hits
from tests.random_rules import CHANCES, STEADY, random_folder
from tests.small_folder import decisions_over


def every(rules):
    return (1 << len(rules)) - 1


@pytest.fixture
def ladder(small_book):
    return small_book.decisions("before").ladders["suitability"]


def bits_of(folder, *ids):
    return {
        name: sum(1 << place for place, rule in enumerate(rules) if rule.id in ids)
        for name, rules in folder.rules.items()
    }


def test_where_no_rule_brings_an_answer_there_is_none(ladder):
    assert (ladder.highest({}), ladder.answer(-1)) == (-1, None)


def test_each_rule_alone_brings_the_answer_it_concludes(ladder, small_book):
    for rule in small_book.folder.rules["suitability"]:
        assert ladder.answer(ladder.highest(bits_of(small_book.folder, rule.id))) == rule.conclude["verdict"]


def test_all_rules_together_bring_the_most_cautious_answer(ladder, small_book):
    together = {name: every(rules) for name, rules in small_book.folder.rules.items()}

    assert ladder.answer(ladder.highest(together)) == list(ladder.node.answers)[-1]


def test_a_statement_alone_never_gives_a_permission(shipped_book):
    ladder = shipped_book.decisions("before").ladders["suitability"]
    node, raising = ladder.node, {}
    for place, rule in enumerate(shipped_book.folder.rules["cautions"]):
        if "raises_to" in rule.conclude:
            raising.setdefault(rule.conclude["raises_to"], 1 << place)
    permissive = [one for one in raising if node.rank(one) < node.rank(node.stands_unsettled_from)]

    assert permissive
    for answer in raising:
        found = ladder.highest({"cautions": raising[answer]})
        assert found == (-1 if answer in permissive else node.rank(answer))


def naive(folder, node, hits, counted):
    """The rank of the most cautious answer among rules of these outcomes, read rule by rule."""
    brought = []
    for other in folder.decisions:
        if other.name not in hits:
            continue
        keys = [key for key, field in other.fields.items() if field["answer_of"] == node.name]
        keys += [node.concludes] if other is node else []
        for rule, outcome in zip(hits[other.name].rules, hits[other.name].outcomes, strict=True):
            brought += [
                (node.rank(rule.conclude[key]), other is node)
                for key in keys
                if key in rule.conclude and outcome in counted
            ]
    if not brought:
        return -1
    highest = max(rank for rank, _ in brought)
    stands = node.stands_unsettled_from
    permission = stands and highest < node.rank(stands)
    return -1 if permission and not any(own for _, own in brought) else highest


@STEADY
@given(CHANCES)
def test_a_ladder_reads_off_bits_what_is_read_rule_by_rule(chance: random.Random):
    folder = random_folder(chance)
    decisions = decisions_over(folder)
    hits = {}
    for one in decisions.compiled:
        holding = chance.getrandbits(len(one.rules)) if one.rules else 0
        unknown = (chance.getrandbits(len(one.rules)) if one.rules else 0) & ~holding
        if chance.random() < 0.8:
            hits[one.node.name] = Hits(one.rules, holding, unknown)
    for node in (node for node in folder.decisions if node.answers):
        ladder = ladder_of(node, folder.decisions, folder.rules)
        rated = list(ladder.rated(hits))
        least = chance.randrange(-1, len(node.answers))

        assert ladder.highest({name: one.holding for name, one in hits.items()}) == naive(folder, node, hits, {1})
        assert [rule for _, rule in ladder.open_above(least, hits)] == [
            rule for answer, rule, outcome in rated if outcome == Outcome.UNKNOWN and node.rank(answer) > least
        ]
        assert ladder.holding(hits) == [
            rule
            for _, rule in sorted(
                ((node.rank(answer), rule) for answer, rule, outcome in rated if outcome == Outcome.HOLDS),
                key=lambda one: -one[0],
            )
        ]
    decisions.close()
