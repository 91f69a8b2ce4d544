"""An SMT solver (z3), told the rules as they are written, agrees with box cover about what is proved of them.

Source: L. de Moura, N. Bjorner. Z3: an efficient SMT solver. TACAS 2008. doi:10.1007/978-3-540-78800-3_24
"""

from __future__ import annotations

import itertools
import random
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
import z3

from decision.errors import RuleBookError
from decision.folder_reading import read_rule_folder, shipped_rules
from decision.rule_book import RuleBook
from decision.strict_yaml import read_yaml
from decision.verification.answer_boxes import AnswerBoxes
from decision.verification.box_cover import gaps
from decision.verification.coverage import answered, apart
from decision.verification.direction import steady
from decision.verification.proof import prove
from decision.verification.rule_boxes import RuleBoxes
from tests.random_books import folder_of, random_files
from tests.rules_in_z3 import Folder
from tests.small_folder import in_yaml

LADDERS = ("suitability", "method", "healing_review")  # the review of a cycle rests on the plan and on tables
Found = dict[str, set[Any]]


# --- what each of the two finds ----------------------------------------------------------------------------


def found_by_z3(folder: Folder) -> Found:
    case = folder.stated()
    return {
        "silent": set(silent_by_z3(folder, case)),
        "apart": set(conflicts_by_z3(folder, case)),
        "never": {
            f"{decision}/{name}"
            for decision, rules in folder.rules.items()
            for name, rule in rules.items()
            if readable_by_z3(rule, case, folder) and not folder.possible(folder.holds(rule, case))
        },
        "falling": {(one, name) for one in LADDERS if one in folder.nodes for name in falls_by_z3(folder, one, case)},
    }


def silent_by_z3(folder: Folder, case: Any) -> Any:
    """What is not answered in some case."""
    for decision in folder.nodes.keys() & set(LADDERS):
        if folder.possible(folder.asked(decision, case), z3.Not(folder.own(decision, case))):
            yield decision, ""
    for quantity, method in itertools.product(folder.nodes["plan"]["quantities"], ("cone", "foam_tip")):
        rules = [rule for rule in folder.rules["plan"].values() if quantity in rule["conclude"]]
        held, under = z3.Or([folder.holds(rule, case) for rule in rules]), folder.asks("method", method, case)
        wanted = folder.possible(under, held)
        if wanted and folder.possible(folder.asked("plan", case), under, z3.Not(held)):
            yield quantity, method if reads(folder, "plan", "method") else ""
    for verdict in folder.nodes["alternatives"]["given"]["suitability"]:
        asked = z3.And(folder.asked("alternatives", case), folder.asks("suitability", verdict, case))
        if folder.possible(asked, z3.Not(folder.own("alternatives", case))):
            yield "alternatives", verdict if reads(folder, "alternatives", "suitability") else ""


def reads(folder: Folder, decision: str, name: str) -> bool:
    """Whether some rule of a decision reads the answer of a ladder."""
    return any(name in {**rule["when"], **rule.get("unless", {})} for rule in folder.rules[decision].values())


def conflicts_by_z3(folder: Folder, case: Any) -> Any:
    """The pairs of rules that give a quantity two values in some case."""
    for (one, first), (other, second) in itertools.combinations(folder.rules["plan"].items(), 2):
        shared = first["conclude"].keys() & second["conclude"].keys()
        if any(first["conclude"][key] != second["conclude"][key] for key in shared) and folder.possible(
            folder.asked("plan", case), folder.holds(first, case), folder.holds(second, case)
        ):
            yield frozenset((one, other))


def falls_by_z3(folder: Folder, ladder: str, case: Any) -> Any:
    """The inputs in which some step up in risk, of any width, lets the answer of a ladder fall."""
    for name, one in folder.inputs.items():
        if one["about"] == "derived" or name not in case.of:
            continue
        other = folder.moved(case, name)
        step = folder.steps_up(name, case, other)
        if step is None:
            continue
        asked = z3.And(folder.asked(ladder, case), folder.asked(ladder, other))
        for rank in range(len(folder.nodes[ladder]["answers"])):
            left = z3.And(folder.at_least(ladder, rank, case), z3.Not(folder.at_least(ladder, rank, other)))
            if folder.possible(asked, step, left):
                yield name
                break


def readable_by_z3(rule: Mapping[str, Any], case: Any, folder: Folder) -> bool:
    """Whether everything that a rule reads is stated or defined for the solver."""
    defined = case.of.keys() | folder.inputs.keys()
    return all(name in defined for name in {**rule["when"], **rule.get("unless", {})})


def found_by_boxes(folder: Any) -> Found:
    answers = AnswerBoxes(folder, RuleBoxes(folder))
    rows = answers.boxes.cells.rows

    def gap(claim: Any) -> bool:
        return next(gaps(rows, claim.region, [box for box, _ in claim.covers]), None) is not None

    ladders = [ladder for name, ladder in answers.ladders.items() if name in LADDERS]
    nodes = [node for node in answers.nodes.values() if node.name in LADDERS or "suitability" in node.given]
    silent = {claim.about for node in nodes for claim in answered(node, answers) if gap(claim)}
    return {
        "silent": {shortened(said) for said in silent},
        "apart": {frozenset(rule.name for rule in claim.rules) for claim in apart(answers.nodes["plan"], answers)},
        "never": {rule.id for rules in folder.rules.values() for rule in rules if not answers.boxes.of(rule)},
        "falling": {
            (ladder.node.name, claim.name) for ladder in ladders for claim in steady(ladder, answers) if gap(claim)
        },
    }


def shortened(said: str) -> tuple[str, str]:
    what, _, under = said.partition(", ")
    return what, under.partition(" ")[2]


# --- random folders ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(30))
def test_both_find_the_same_of_random_rules(seed, tmp_path):
    folder = folder_of(random_files(random.Random(f"z3 {seed}")), tmp_path / "rules")

    assert found_by_z3(Folder(folder.written)) == found_by_boxes(folder)


# --- the shipped rules, and copies of them with one fault ---------------------------------------------------


@pytest.fixture
def copy(tmp_path):
    shutil.copytree(shipped_rules(), tmp_path / "rules", ignore=shutil.ignore_patterns("released"))
    return tmp_path / "rules"


def test_neither_finds_a_fault_in_the_shipped_rules():
    folder = read_rule_folder(shipped_rules())

    by_z3, by_boxes = found_by_z3(Folder(folder.written)), found_by_boxes(folder)

    assert by_z3 == by_boxes
    assert not any(by_z3.values()), by_z3


def test_both_find_a_gap_that_is_planted(copy):
    (copy / "suitability" / "no_name_no_tissue.yaml").unlink()
    folder = read_rule_folder(copy)

    assert silent_of(folder, "suitability") == {("suitability", "")}


def test_both_find_a_refusal_without_another_way_that_is_planted(copy):
    (copy / "alternatives" / "treat_the_cause.yaml").unlink()
    folder = read_rule_folder(copy)

    assert silent_of(folder, "alternatives") == {("alternatives", "treat_first")}


def test_both_and_the_loader_find_a_conflict_that_is_planted(copy):
    twin = document(copy / "plan" / "spray_lightly.yaml")
    twin["conclude"]["spray_s"] = {"low": 4, "high": 8}
    (copy / "plan" / "spray_longer.yaml").write_text(in_yaml(twin), encoding="utf-8")
    folder = read_rule_folder(copy)
    stated = Folder(folder.written)
    answers = AnswerBoxes(folder, RuleBoxes(folder))

    by_boxes = {frozenset(rule.name for rule in claim.rules) for claim in apart(answers.nodes["plan"], answers)}

    assert by_boxes == set(conflicts_by_z3(stated, stated.stated())) == {frozenset(("spray_lightly", "spray_longer"))}
    with pytest.raises(RuleBookError, match='"spray_lightly" and "spray_longer" say different values'):
        RuleBook(folder)


def test_both_find_a_rule_that_can_never_hold(copy):
    odd = document(copy / "suitability" / "melanoma.yaml")
    odd["when"] = {"clock_running": True, "species": "cat"}
    (copy / "suitability" / "odd.yaml").write_text(in_yaml(odd), encoding="utf-8")
    folder = read_rule_folder(copy)
    stated = Folder(folder.written)
    case = stated.stated()

    assert RuleBoxes(folder).of(folder.rule("suitability", "odd")) == ()
    assert not stated.possible(stated.holds(stated.rules["suitability"]["odd"], case))


def test_both_find_an_answer_that_falls_when_a_risk_rises_that_is_planted(copy):
    (copy / "suitability" / "taller_than_five.yaml").unlink()
    (copy / "withdrawn" / "method" / "none_taller_than_the_pool.yaml").unlink()  # it names that rule
    (copy / "suitability" / "cut_down_first.yaml").unlink()
    folder = read_rule_folder(copy)
    stated = Folder(folder.written)

    by_z3 = set(falls_by_z3(stated, "suitability", stated.stated()))

    assert by_z3 == {name for ladder, name in found_by_boxes(folder)["falling"] if ladder == "suitability"}
    assert "height_mm" in by_z3
    assert any("height_mm" in one.shows for one in counterexamples(copy, "cautious direction"))


def silent_of(folder: Any, decision: str) -> set[Any]:
    """What both find unanswered of one decision; they must agree."""
    stated = Folder(folder.written)
    answers = AnswerBoxes(folder, RuleBoxes(folder))
    rows = answers.boxes.cells.rows
    by_z3 = {one for one in silent_by_z3(stated, stated.stated()) if one[0] == decision}
    by_boxes = {
        shortened(claim.about)
        for claim in answered(answers.nodes[decision], answers)
        if next(gaps(rows, claim.region, [box for box, _ in claim.covers]), None) is not None
    }
    assert by_z3 == by_boxes
    return by_z3


def counterexamples(path: Path, check: str) -> list[Any]:
    """What the proof of a folder shows, judged by the engine."""
    book = RuleBook(read_rule_folder(path))
    proof = prove(book)
    book.close()
    assert not proof.differing
    return [one for one in proof.counterexamples if one.check == check]


def document(path: Path) -> dict[str, Any]:
    read, faults = read_yaml(path.read_text(encoding="utf-8"), file=path.name)
    assert not faults
    return dict(read.data)
