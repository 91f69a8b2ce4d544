"""Where ladders answer and decisions are asked, against trying every case."""

import random

import pytest

from decision.verification.answer_boxes import AnswerBoxes
from decision.verification.box_cover import gaps
from decision.verification.rule_boxes import RuleBoxes
from decision.verification.single_rules import never_asked, never_decide
from tests.random_books import every_case, folder_of, judged, random_files

SEEDS = range(10, 25)


@pytest.fixture
def folder(seed, tmp_path):
    return folder_of(random_files(random.Random(seed)), tmp_path / "rules")


@pytest.fixture
def answers(folder):
    return AnswerBoxes(folder, RuleBoxes(folder))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_decision_is_asked_exactly_in_the_boxes_that_say_so(folder, answers):
    cells = answers.boxes.cells
    asked = {name: list(answers.asked(node, cells.whole)) for name, node in answers.nodes.items()}

    for case in every_case(folder):
        heard = judged(folder, case)
        case.update({name: answer for name, answer in heard.answers.items() if answer is not None})
        for name, boxes in asked.items():
            assert any(cells.contains(box, case) for box in boxes) == (name in heard.asked)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_parts_in_which_a_decision_is_asked_keep_the_answer_that_a_box_names(folder, answers):
    cells, plan = answers.boxes.cells, answers.nodes["plan"]
    cone = answers.with_answers({"method": ["cone"]})

    parts = list(answers.asked(plan, cone))

    for case in every_case(folder):
        inside = any(cells.contains(part, {**case, "method": "cone"}) for part in parts)
        assert inside == (judged(folder, case).answers.get("method") == "cone")


@pytest.mark.parametrize("seed", SEEDS)
def test_a_ladder_is_complete_exactly_when_a_rule_of_its_own_always_holds_where_it_is_asked(folder, answers):
    silent = dict.fromkeys(answers.ladders, False)
    for heard in (judged(folder, case) for case in every_case(folder)):
        for name in answers.ladders.keys() & heard.asked:
            silent[name] |= heard.holding.isdisjoint(one.id for one in folder.rules[name])

    assert {name: ladder.complete for name, ladder in answers.ladders.items()} == {
        name: not found for name, found in silent.items()
    }


@pytest.mark.parametrize("seed", SEEDS)
def test_a_ladder_answers_at_least_so_cautiously_exactly_from_that_rank_on(folder, answers):
    ladder, rows = answers.ladders["suitability"], answers.boxes.cells.rows
    levels = {answer: [box for box, _ in ladder.from_rank(ladder.node.rank(answer))] for answer in ladder.node.answers}

    for case in every_case(folder):
        found = ladder.node.rank(judged(folder, case).answers["suitability"])
        for answer, boxes in levels.items():
            inside = any(answers.boxes.cells.contains(box, case) for box in boxes)
            assert inside == (found >= ladder.node.rank(answer))
    assert all(rows.holds_a_case(box) for boxes in levels.values() for box in boxes)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_rules_listed_as_having_no_say_are_those_that_never_decide_or_are_never_asked(folder, answers):
    decided, held = set(), set()
    for heard in (judged(folder, case) for case in every_case(folder)):
        held |= heard.holding
        for name, ladder in answers.ladders.items():
            rank = ladder.node.rank(heard.answers.get(name))
            decided |= {hit.rule.id for hit in ladder.hits if hit.rule.id in heard.holding and hit.rank == rank}

    for name, node in answers.nodes.items():
        can = [one for one in folder.rules[name] if answers.boxes.of(one)]
        assert {one.id for one in never_asked(node, answers)} == {one.id for one in can} - held
    for name, ladder in answers.ladders.items():
        listed = {one.id for one in never_decide(answers.nodes[name], answers)}
        assert listed == {hit.rule.id for hit in ladder.hits if hit.rule.id in held} - decided


def test_a_raised_permission_counts_only_where_a_rule_of_the_ladder_holds(tmp_path):
    for seed in range(200):
        folder = folder_of(random_files(random.Random(seed)), tmp_path / str(seed))
        answers = AnswerBoxes(folder, RuleBoxes(folder))
        ladder = answers.ladders["suitability"]
        raising = [one for one in ladder.hits if one.rule.decision == "cautions" and one.rank == 1]
        if raising and not ladder.complete:
            break
    own = [box for one in ladder.hits if one.rule.decision == "suitability" for box in one.boxes]

    assert not [gap for box in raising[0].boxes for gap in gaps(answers.boxes.cells.rows, box, own)]
