"""What is proved of the shipped rules."""

from __future__ import annotations

import pytest

from decision import load_rule_book
from decision.verification.proof import CHECKS, Proof, prove
from decision.verification.proof_table import found_in

CONE = ["cycles", "fill_depth_mm", "spray_s", "contact_s", "wait_between_cycles_s", "halo_mm"]
LADDERS = {"suitability", "method", "cycle_review", "healing_review"}


@pytest.fixture(scope="module")
def proof() -> Proof:
    book = load_rule_book()
    found = prove(book)
    book.close()
    return found


def checks_named(proof: Proof, name: str) -> dict[str, object]:
    return {one.decision: check for one in proof.decisions for check in one.checks if check.name == name}


@pytest.mark.parametrize("name", CHECKS)
def test_nothing_speaks_against_it_and_nothing_is_left_open(proof, name):
    checks = checks_named(proof, name)

    assert checks
    assert all(check.proved for check in checks.values()), found_in(proof)


def test_every_ladder_the_plan_and_the_ways_for_refusals_always_answer(proof):
    assert set(checks_named(proof, "always answers")) == {*LADDERS, "plan", "alternatives"}


def test_no_ladder_falls_or_goes_silent_when_a_risk_rises(proof):
    assert set(checks_named(proof, "cautious direction")) == LADDERS


def test_each_quantity_of_the_plan_is_wanted_with_a_cone_and_all_but_fill_and_spray_with_foam(proof):
    with_cone = [name for name, given in proof.quantities.items() if "cone" in given]
    with_foam = [name for name, given in proof.quantities.items() if "foam_tip" in given]

    assert with_cone == CONE
    assert with_foam == [name for name in CONE if name not in ("fill_depth_mm", "spray_s")]


def test_no_ladder_before_the_freeze_rests_on_a_quantity_taken_as_free(proof):
    free = {one.decision: one.free for one in proof.decisions}

    assert not (free["suitability"] or free["method"] or free["plan"] or free["alternatives"])


def test_every_rule_that_brings_an_answer_decides_some_case(proof):
    assert proof.never_decide == ()


def test_more_than_a_thousand_cases_are_put_to_the_engine(proof):
    assert sum(one.replayed for one in proof.decisions) > 1000


def test_the_proof_covers_every_decision_of_the_folder(proof):
    book = load_rule_book()
    names = {node.name for node in book.folder.decisions}
    book.close()

    assert {one.decision for one in proof.decisions} == names
