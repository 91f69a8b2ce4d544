"""A short soak through a running service, and that the checks notice what is not as it must be."""

import copy
import subprocess
import sys

import orjson
import pytest

from tests.soak.cases import KINDS, SoakCase, soak_cases
from tests.soak.checks import DAY, Checks


def test_a_short_soak_finds_nothing():
    command = [sys.executable, "-m", "tests.soak", "--cases", "150", "--seed", "5", "--clients", "1"]

    ran = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)

    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert "answered 200: 120" in ran.stdout
    assert "answered 422: 30" in ran.stdout


@pytest.fixture(scope="module")
def shipped(shipped_book):
    return shipped_book


@pytest.fixture(scope="module")
def with_plan(shipped):
    """A case that is answered with a plan and with cautions, and its answer."""
    for one in soak_cases(shipped, 300, 5):
        if one.kind == "typical":
            answer = shipped.recommend(shipped.read(one.data, today=DAY), trace=True)
            if answer["lesions"][0]["plan"] and answer["lesions"][0]["cautions"]:
                return one, orjson.loads(orjson.dumps(answer))
    raise AssertionError("no case of three hundred has a plan")


def without_permission(lesion):
    lesion["suitability"] |= {"verdict": "watch", "at_least": "watch", "could_become": "watch"}


def without_reasons(lesion):
    lesion["plan"]["reasons"] = []


def without_cautions(lesion):
    lesion["cautions"] = []


def without_presumed(lesion):
    lesion["presumed"] = lesion["presumed"][1:] or [{"input": "x"}]


def with_another_status(lesion):
    lesion["status"] = "data-required"


def with_a_wide_range(lesion):
    lesion["suitability"]["could_become"] = "do_not_freeze"


def with_a_rule_untold(lesion):
    lesion["did_not_apply"].pop()


def with_a_source_untold(lesion):
    lesion["suitability"]["reasons"][0]["evidence"]["citations"] = ["nobody_1900"]


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (without_permission, "how to freeze is told without a permission"),
        (without_reasons, "a statement without a reason"),
        (without_cautions, "cautions does not tell the rules that hold"),
        (without_presumed, "what is listed as presumed is not what was presumed"),
        (with_another_status, "the status is data-required with the verdict"),
        (with_a_wide_range, "could_become is outside what holds or is open"),
        (with_a_rule_untold, "did_not_apply is not what the evaluator says fails"),
        (with_a_source_untold, "cites what is not among the sources"),
    ],
)
def test_a_spoilt_answer_is_noticed(shipped, with_plan, spoil, said):
    one, answer = with_plan
    spoilt = copy.deepcopy(answer)
    spoil(spoilt["lesions"][0])

    assert Checks(shipped).broken(one, 200, orjson.dumps(answer)) == []
    assert any(said in fault for fault in Checks(shipped).broken(one, 200, orjson.dumps(spoilt)))


def test_an_answer_to_another_case_is_noticed(shipped, with_plan):
    one, answer = with_plan
    other = SoakCase(one.kind, {**one.data, "as_of": "2026-11-23"})

    assert "the answer is that to another case" in Checks(shipped).broken(other, 200, orjson.dumps(answer))


def test_a_refusal_at_another_place_is_noticed(shipped):
    one = next(one for one in soak_cases(shipped, 10, 5) if one.kind == "unusable")
    elsewhere = orjson.dumps({"errors": [{"pointer": "#/as_of"}]})

    assert Checks(shipped).broken(one, 422, elsewhere)
    assert Checks(shipped).broken(one, 200, elsewhere)


def test_a_range_that_a_stated_case_leaves_is_noticed(shipped):
    stated, partial = [one for one in soak_cases(shipped, 4, 5) if one.kind in ("stated", "partial")]
    answers = [shipped.recommend(shipped.read(one.data, today=DAY), trace=True) for one in (stated, partial)]
    narrow = {"at_least": None, "could_become": None}
    answers[1]["lesions"][0]["suitability"]["without_presumptions"] = narrow
    checks = Checks(shipped)

    assert checks.broken(stated, 200, orjson.dumps(answers[0])) == []
    assert "what more facts settle lies outside the range" in checks.broken(partial, 200, orjson.dumps(answers[1]))


def test_the_same_seed_gives_the_same_cases_of_every_kind(shipped):
    first, again = ([one for one in soak_cases(shipped, 25, 7)] for _ in range(2))

    assert first == again
    assert {one.kind for one in first} == set(KINDS)
    assert len({orjson.dumps(one.data) for one in first}) == len(first)
