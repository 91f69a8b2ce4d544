"""A decision: its answers in order, and each way in which its description can disagree with itself."""

import pytest

from decision.decision_file import read_decision
from decision.decision_node import DecisionNode, in_order
from decision.strict_yaml import Document
from tests.small_folder import small_files


def read(name, **fields):
    data = {**small_files()[f"{name}/decision.yaml"], **fields}
    return read_decision(name, Document(f"{name}/decision.yaml", data, {}))


def node(name):
    return read(name)[0]


@pytest.mark.parametrize(("answer", "rank"), [(None, -1), ("suitable", 0), ("watch", 2), ("do_not_freeze", 4)])
def test_answers_rise_from_none_over_the_most_permissive_to_the_most_cautious(answer, rank):
    assert node("suitability").rank(answer) == rank


def test_an_answer_may_be_as_cautious_as_a_lower_one():
    ladder, faults = read("suitability", as_cautious_as={"watch": "suitable"})

    assert not faults
    assert [ladder.least_as_cautious(ladder.rank(one)) for one in ("suitable", "watch", "do_not_freeze")] == [0, 0, 4]


def test_a_ladder_can_be_asked_about_by_its_name():
    (asked,) = node("method").as_inputs().values()

    assert (asked.name, asked.type, list(asked.allowed)) == ("method", "code", ["cone", "foam_tip", "none"])


def test_of_a_plan_only_plain_numbers_can_be_asked_about():
    assert list(node("plan").as_inputs()) == ["cycles"]


def test_what_is_collected_cannot_be_asked_about():
    assert node("cautions").as_inputs() == {}


@pytest.mark.parametrize(
    ("name", "fields", "path", "message"),
    [
        (
            "method",
            {"answers": {}},
            "",
            "a ladder names what it concludes and its answers, from permissive to cautious.",
        ),
        (
            "method",
            {"concludes": ""},
            "",
            "a ladder names what it concludes and its answers, from permissive to cautious.",
        ),
        (
            "suitability",
            {"stands_unsettled_from": "wach"},
            "stands_unsettled_from",
            'not one of the answers. Did you mean "watch"?',
        ),
        (
            "suitability",
            {"as_cautious_as": {"watch": "suitabel"}},
            "as_cautious_as.watch",
            'not one of the answers. Did you mean "suitable"?',
        ),
        (
            "suitability",
            {"plain": {"wach": "it is watched."}},
            "plain.wach",
            'plain words for what is not there. Did you mean "watch"?',
        ),
        (
            "cautions",
            {"fields": {"urgency": {"one_of": {"info": "for information"}, "plain": {"inof": "To know."}}}},
            "fields.urgency.plain.inof",
            'plain words for what is not there. Did you mean "info"?',
        ),
        ("plan", {"quantities": {}}, "", "a decision under unique names its quantities."),
        ("cautions", {"fields": {}}, "", "a decision that collects names the fields of a statement."),
        ("plan", {"given": {"plan": ["x"]}}, "given.plan", "a decision that is given must be required."),
        ("plan", {"hitpolicy": "unique"}, "hitpolicy", 'not a field. Did you mean "hit_policy"?'),
        (
            "plan",
            {"hit_policy": "first"},
            "hit_policy",
            "Input should be 'priority', 'collect' or 'unique'; it is 'first'.",
        ),
        ("plan", {"question": "How?"}, "question", "String should have at least 8 characters; it is 'How?'."),
        (
            "plan",
            {"requires": {"inputs_about": ["animal"], "decisions": []}},
            "requires.inputs_about[0]",
            "Input should be 'patient', 'lesion', 'equipment', 'operator', 'cycle' or 'healing'; it is 'animal'.",
        ),
        (
            "cautions",
            {"fields": {"day": {"range": [1]}}},
            "fields.day.range",
            "List should have at least 2 items after validation, not 1; it is [1].",
        ),
    ],
)
def test_a_decision_that_disagrees_with_itself_is_one_fault_at_its_path(name, fields, path, message):
    _, faults = read(name, **fields)

    assert [(fault.path, fault.message) for fault in faults] == [(path, message)]


def test_decisions_that_require_each_other_are_named_and_those_outside_the_ring_are_not():
    ring = {
        "a": DecisionNode("a", "?", "collect", requires=("b",)),
        "b": DecisionNode("b", "?", "collect", requires=("a",)),
        "free": DecisionNode("free", "?", "collect"),
    }

    assert in_order(ring) == ["a", "b"]


def test_a_requirement_that_is_not_there_does_not_stop_the_ordering():
    alone = DecisionNode("a", "?", "collect", requires=("nowhere",))

    assert in_order({"a": alone}) == [alone]
