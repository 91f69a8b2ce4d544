"""Asking the production engine at each moment which rules hold, against the naive judge."""

import random

import pytest

from decision.derived import derive
from decision.verification.case_search import CaseSearch
from decision.verification.rule_boxes import RuleBoxes
from decision.verification.witness import Witness
from tests.kleene import outcome

MOMENTS = {"before": "suitability", "during": "cycle_review", "after": "healing_review"}


@pytest.fixture(scope="module")
def boxes(shipped_book):
    return RuleBoxes(shipped_book.folder)


@pytest.mark.parametrize(("moment", "ladder"), MOMENTS.items())
def test_the_rules_of_a_ladder_that_are_heard_to_hold_are_those_that_the_judge_lets_hold(
    shipped_book, boxes, moment, ladder
):
    witness = Witness(shipped_book, boxes, 5)

    for _ in range(25):
        case = witness.case_in(boxes.cells.whole, moment)
        known = {**case, **derive(case)}
        heard = witness.hear(case, moment)
        rules = [one for one in shipped_book.folder.rules[ladder] if not reads_the_plan(one)]

        assert ladder in heard.asked
        assert {one.id for one in rules if outcome(one.written, known) == "holds"} == {
            one.id for one in rules if one.id in heard.holding
        }


def reads_the_plan(rule) -> bool:
    return any(test.input == "cycles" for test in rule.tests)


@pytest.mark.parametrize(("moment", "ladder"), MOMENTS.items())
def test_a_ladder_answers_at_least_what_the_most_cautious_rule_heard_says(shipped_book, boxes, moment, ladder):
    witness = Witness(shipped_book, boxes, 6)
    node = next(one for one in shipped_book.folder.decisions if one.name == ladder)

    for _ in range(25):
        heard = witness.hear(witness.case_in(boxes.cells.whole, moment), moment)
        brought = [
            rule.conclude.get(node.concludes, rule.conclude.get("raises_to"))
            for name in (ladder, "cautions")
            for rule in shipped_book.folder.rules[name]
            if rule.id in heard.holding
        ]

        assert heard.at_least[ladder] == max(filter(None, brought), key=node.rank)


def test_a_decision_that_is_not_asked_tells_no_rule(shipped_book, boxes):
    witness = Witness(shipped_book, boxes, 7)
    infected = {**witness.case_in(boxes.cells.whole, "before"), "fixed_to_deep_tissue": True}

    heard = witness.hear(infected, "before")

    assert "method" not in heard.asked
    assert not any(name.startswith(("method/", "plan/")) for name in heard.holding)


def test_every_case_is_counted(shipped_book, boxes):
    witness = Witness(shipped_book, boxes, 8)

    witness.hear(witness.case_in(boxes.cells.whole, "before"), "before")
    witness.answer({}, "before")

    assert witness.asked == 2


def test_a_case_before_a_step_lies_lower_in_risk_and_lets_the_rule_hold(shipped_book, boxes):
    search = CaseSearch(boxes, random.Random(9))
    rule = shipped_book.folder.rule("cycle_review", "may_be_through_ear_or_lid")
    cases = (search.case_in(boxes.of(rule)[0], "during") for _ in range(100))
    case = {**next(one for one in cases if one is not None), "thickness_mm": 0.5}

    earlier = search.before_step(case, "thickness_mm", None, rule)

    assert 0.5 < earlier["thickness_mm"] <= 4
    assert derive(earlier)["may_be_through"] is True
    assert {**earlier, "thickness_mm": 0.5} == case
