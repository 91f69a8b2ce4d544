"""Evaluation of one case beside other engines: the same rules, the same cases, the same rules that hold."""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Callable, Mapping
from typing import Any

from decision.case import Facts
from decision.decisions import Decisions, Run
from decision.evaluator import Outcome, compile_rules
from decision.matcher import Matcher, fact_fragments
from decision.telling import Teller
from decision.vocabulary import Value
from tests.benchmarks import engines
from tests.benchmarks.generated_rules import GeneratedRules, generated_cases, generated_rules
from tests.benchmarks.report import Goal, Part, microseconds
from tests.benchmarks.timing import in_turns

__all__ = ["OTHERS", "matching", "measured"]

RULES, INPUTS, SEED = 120, 50, 20261124
FASTER = 3.0

OURS = "durable-rules, as this service asks it"
OTHERS: Mapping[str, tuple[str, Any]] = {
    "plain closures": ("", engines.closures),
    "CLIPS": ("clips", engines.clips),
    "decision table (zen)": ("zen", engines.decision_table),
    "decision table (zen) with its own trace": ("zen", engines.decision_table_with_trace),
}
WITHOUT_REASONS = tuple(OTHERS)[1:3]

Ways = dict[str, Callable[[Any], Any]]


def measured(*, short: bool) -> Part:
    """Take the time of every engine, without reasons and with ours."""
    made = generated_rules(RULES, INPUTS, SEED)
    cases = generated_cases(made, 40 if short else 1000, SEED + 1)
    decisions = Decisions(made.folder(), ["advice"])
    teller = Teller(decisions)

    def reasons(facts: Mapping[str, Value], holding: Any) -> Any:
        return teller.reasons([made.rules[place] for place in holding], Run(facts, (), {}, {}, facts))

    def ours(facts: Mapping[str, Value]) -> Any:
        run = decisions.run(Facts(dict(facts), dict(facts), ()))
        return teller.reasons(teller.holding(run, "advice"), run)

    bare, loads = _others(made)
    _assert_equal_outcomes(bare, made, cases)
    told: Ways = {name: lambda facts, way=way: reasons(facts, way(facts)) for name, way in bare.items()}
    both: Ways = {"run": lambda facts: decisions.run(Facts(dict(facts), dict(facts), ())), "told": ours}
    assert [one["rule"] for one in ours(cases[0])] == [one["rule"] for one in told["plain closures"](cases[0])]
    rounds = 1 if short else 7
    taken = in_turns({**bare, **{f"{name}, told": way for name, way in told.items()}, **both}, cases, rounds)
    decisions.close()
    fired = sum(len(bare["plain closures"](one)) for one in cases) / len(cases)
    return Part(
        "Matching one case, beside other engines",
        f"{RULES} generated rules of the shape of the shipped ones, over {INPUTS} inputs; {len(cases)} cases in which "
        f"every input is stated; {fired:.0f} rules hold in a case. All name the same rules in every case, or nothing "
        "is written here. Reasons are those of an answer: title, each test with what the case says to it, explanation, "
        "evidence. Times are of the processor, the median of rounds in which all take turns.",
        ("engine", "µs a case", "of our matching", "with reasons, µs", "load, ms"),
        _rows(taken, loads),
        _goals(taken),
    )


def matching(made: GeneratedRules) -> Callable[[Mapping[str, Value]], set[int]]:
    """Matching by durable-rules alone, from the facts of a case to the places of the rules that hold."""
    matcher = Matcher("generated", made.rules, made.vocabulary.inputs)
    return lambda facts: matcher.holding(fact_fragments(facts))


def _others(made: GeneratedRules) -> tuple[Ways, dict[str, float]]:
    """Every way to match that is installed here, and how long each took to load, in milliseconds."""
    makes: dict[str, Callable[[], Any]] = {
        OURS: lambda: matching(made),
        "generated evaluator": lambda: _evaluator(made),
    }
    for name, (package, make) in OTHERS.items():
        if not package or importlib.util.find_spec(package):
            makes[name] = lambda make=make: make(made.rules, list(made.vocabulary.inputs))
    ways, loads = {}, {}
    for name, make in makes.items():
        began = time.perf_counter()
        ways[name] = make()
        loads[name] = 1000 * (time.perf_counter() - began)
    return ways, loads


def _evaluator(made: GeneratedRules) -> Callable[[Mapping[str, Value]], list[int]]:
    evaluate, holds = compile_rules(made.rules), int(Outcome.HOLDS)
    return lambda facts: [place for place, outcome in enumerate(evaluate(facts)) if outcome == holds]


def _assert_equal_outcomes(ways: Ways, made: GeneratedRules, cases: Any) -> None:
    for case in cases:
        found = {name: sorted(map(int, way(case))) for name, way in ways.items()}
        assert len({tuple(one) for one in found.values()}) == 1, found


def _rows(taken: Mapping[str, float], loads: Mapping[str, float]) -> list[tuple[str, ...]]:
    unit = taken[OURS]
    rows = []
    for name in (OURS, "generated evaluator", *OTHERS):
        if name in taken:
            told = microseconds(taken[f"{name}, told"])
            rows.append((name, microseconds(taken[name]), f"{taken[name] / unit:.2f}", told, f"{loads[name]:.0f}"))
        else:
            rows.append((name, "not installed", "", "", ""))
    both = (microseconds(taken["run"]), f"{taken['run'] / unit:.2f}", microseconds(taken["told"]))
    return [*rows, ("both means, held against each other", *both, "")]


def _goals(taken: Mapping[str, float]) -> list[Goal]:
    goals = []
    for name in WITHOUT_REASONS:
        if name not in taken:
            goals.append(Goal(f"matching, faster than {name}", f"{FASTER:g} times", None))
            continue
        faster, whole = taken[name] / taken[OURS], taken[name] / taken["told"]
        goals += [
            Goal(f"matching, faster than {name}", f"{FASTER:g} times", f"{faster:.2f} times", faster >= FASTER),
            Goal(
                f"matching, evaluator and reasons together, faster than {name} without reasons",
                "over 1 times",
                f"{whole:.2f} times",
                whole > 1,
            ),
        ]
    return goals
