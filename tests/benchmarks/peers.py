"""Evaluation of one case beside other engines: the same rules, the same cases, the same rules that hold."""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from decision.case import Facts as KnownFacts
from decision.decisions import Decisions, Run
from decision.evaluator import Evaluator, places
from decision.fact_table import FactTable
from decision.matcher import Matcher
from decision.telling import Teller
from decision.vocabulary import Value
from tests.benchmarks import engines
from tests.benchmarks.generated_rules import GeneratedRules, generated_cases, generated_rules
from tests.benchmarks.report import Goal, Part, microseconds
from tests.benchmarks.timing import in_turns

__all__ = ["ENGINES", "matching", "measured"]

RULES, INPUTS, SEED = 120, 50, 20261124
FASTER = 3.0

OURS = "durable-rules, as this service asks it"
BOTH = "both means, held against each other"
CLOSURES, CLIPS, TABLE = "plain closures", "CLIPS", "decision table (zen)"
BEATEN = (CLIPS, TABLE)

Facts = Mapping[str, Value]
Way = Callable[[Facts], Any]
Ways = dict[str, Way]


def measured(*, short: bool) -> Part:
    """Take the time of every engine, without reasons and with ours."""
    made = generated_rules(RULES, INPUTS, SEED)
    cases = generated_cases(made, 40 if short else 1000, SEED + 1)
    alone, loads = _installed(made)
    _assert_equal_outcomes(alone, cases)
    decisions = Decisions(made.folder(), ["advice"])
    told = _with_reasons(alone, made, Teller(decisions))
    taken = in_turns({**alone, **told, **_together(decisions)}, cases, 1 if short else 7)
    decisions.close()
    hold = sum(len(alone[CLOSURES](one)) for one in cases) / len(cases)
    return Part(
        "Matching one case, beside other engines",
        f"{RULES} generated rules of the shape of the shipped ones, over {INPUTS} inputs; {len(cases)} cases in which "
        f"every input is stated; {hold:.0f} rules hold in a case. All name the same rules in every case, or nothing "
        "is written here. Reasons are those of an answer: title, each test with what the case says to it, explanation, "
        "evidence. Times are of the processor, the median of rounds in which all take turns.",
        ("engine", "µs a case", "of our matching", "with reasons, µs", "load, ms"),
        _rows(taken, loads),
        _goals(taken),
    )


def matching(made: GeneratedRules) -> Callable[[Facts], list[int]]:
    """Matching by durable-rules alone, from the facts of a case to the places of the rules that hold."""
    matcher = Matcher("generated", made.rules, made.vocabulary.inputs)
    table = FactTable([matcher], made.vocabulary.inputs)
    return lambda facts: places(matcher.holding(table.told(facts)))


def _installed(made: GeneratedRules) -> tuple[Ways, dict[str, float]]:
    """Every way to match that is installed here, and how long each took to load, in milliseconds."""
    ways, loads = {}, {}
    for name, (package, make) in ENGINES.items():
        if not package or importlib.util.find_spec(package):
            began = time.perf_counter()
            ways[name] = make(made)
            loads[name] = 1000 * (time.perf_counter() - began)
    return ways, loads


def _with_reasons(ways: Ways, made: GeneratedRules, teller: Teller) -> Ways:
    """The same ways, each with the reasons of the rules that it names."""

    def told(way: Way) -> Way:
        def reasons(facts: Facts) -> object:
            rules = [made.rules[place] for place in way(facts)]
            return teller.reasons(rules, Run(facts, (), {}, {}, facts))

        return reasons

    return {_told(name): told(way) for name, way in ways.items()}


def _together(decisions: Decisions) -> Ways:
    """Matching and evaluator held against each other, as every answer does; without reasons and with them."""
    teller = Teller(decisions)

    def run(facts: Facts) -> Run:
        return decisions.run(KnownFacts(dict(facts), dict(facts), ()))

    def told(facts: Facts) -> object:
        found = run(facts)
        return teller.reasons(teller.holding(found, "advice"), found)

    return {BOTH: run, _told(BOTH): told}


def _told(name: str) -> str:
    return f"{name}, with reasons"


def _evaluator(made: GeneratedRules) -> Way:
    evaluator = Evaluator(made.rules)
    return lambda facts: places(evaluator.evaluated(facts).holding)


def _given(make: Callable[..., engines.Engine]) -> Callable[[GeneratedRules], engines.Engine]:
    return lambda made: make(made.rules, list(made.vocabulary.inputs))


def _assert_equal_outcomes(ways: Ways, cases: Sequence[Facts]) -> None:
    for case in cases:
        found = {name: sorted(way(case)) for name, way in ways.items()}
        assert len({tuple(one) for one in found.values()}) == 1, found


def _rows(taken: Mapping[str, float], loads: Mapping[str, float]) -> list[tuple[str, ...]]:
    rows = []
    for name in (*ENGINES, BOTH):
        if name not in taken:
            rows.append((name, "not installed", "", "", ""))
            continue
        times = microseconds(taken[name]), f"{taken[name] / taken[OURS]:.2f}", microseconds(taken[_told(name)])
        rows.append((name, *times, f"{loads[name]:.0f}" if name in loads else ""))
    return rows


def _goals(taken: Mapping[str, float]) -> list[Goal]:
    goals = []
    for name in BEATEN:
        alone = f"matching, faster than {name}"
        whole = f"matching, evaluator and reasons together, faster than {name} without reasons"
        if name not in taken:
            goals += [Goal(alone, f"{FASTER:g} times", None), Goal(whole, "over 1 times", None)]
            continue
        times = taken[name] / taken[OURS], taken[name] / taken[_told(BOTH)]
        goals += [
            Goal(alone, f"{FASTER:g} times", f"{times[0]:.2f} times", times[0] >= FASTER),
            Goal(whole, "over 1 times", f"{times[1]:.2f} times", times[1] > 1),
        ]
    return goals


ENGINES: Mapping[str, tuple[str, Callable[[GeneratedRules], Way]]] = {
    OURS: ("", matching),
    "evaluator": ("", _evaluator),
    CLOSURES: ("", _given(engines.closures)),
    CLIPS: ("clips", _given(engines.clips)),
    TABLE: ("zen", _given(engines.decision_table)),
    f"{TABLE} with its own trace": ("zen", _given(engines.decision_table_with_trace)),
}
