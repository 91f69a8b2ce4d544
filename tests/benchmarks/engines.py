"""Other engines, given rules of ours: each takes the facts of a case and names the places of the rules that hold.

CLIPS, by clipspy, and the decision table of zen-engine need their packages (.ci/compare.lock). Each is asked in the
fastest of the ways that its package offers and that were tried.
"""

from __future__ import annotations

import functools
import json
import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from decision.rule import Rule
from decision.unary_test import Among, Interval, Truth, UnaryTest
from decision.vocabulary import Value

__all__ = ["Engine", "clips", "closures", "decision_table", "decision_table_with_trace"]

Engine = Callable[[Mapping[str, Value]], Sequence[int]]


def closures(rules: Sequence[Rule], inputs: Sequence[str]) -> Engine:
    """Each test a function, each rule a list of them: what one would write without any engine."""
    asked = [(place, [(test.input, _closure(test)) for test in rule.when]) for place, rule in enumerate(rules)]
    return lambda facts: [place for place, tests in asked if all(meets(facts[name]) for name, meets in tests)]


def clips(rules: Sequence[Rule], inputs: Sequence[str]) -> Engine:
    """CLIPS: one fact with a slot for each input; each rule that fires adds its place to a list.

    Tests that many rules share come first, so that its network shares them. Asserting the fact as text, reading the
    agenda in place of running it and calling back into Python were slower.
    """
    import clips as library

    environment = library.Environment()
    environment.build("(defglobal ?*fired* = (create$))")
    environment.build(f"(deftemplate case {' '.join(f'(slot {name})' for name in inputs)})")
    uses = Counter(test for rule in rules for test in rule.when)
    for place, rule in enumerate(rules):
        tests = " ".join(_slot(test) for test in sorted(rule.when, key=lambda test: (-uses[test], test.input)))
        environment.build(f"(defrule r{place} (case {tests}) => (bind ?*fired* ?*fired* {place}))")
    template, fired = environment.find_template("case"), environment.find_global("fired")
    symbol = functools.cache(library.Symbol)

    def holding(facts: Mapping[str, Value]) -> Sequence[int]:
        slots = {name: symbol(value) if isinstance(value, str) else value for name, value in facts.items()}
        fact = template.assert_fact(**slots)
        environment.run()
        found: Sequence[int] = fired.value
        fired.value = []
        fact.retract()
        return found

    return holding


def decision_table(rules: Sequence[Rule], inputs: Sequence[str]) -> Engine:
    """A decision table of zen-engine with a row for each rule, which collects every row that fits."""
    table = _table(rules, inputs)
    return lambda facts: [row["rule"] for row in table.evaluate(facts)["result"]]


def decision_table_with_trace(rules: Sequence[Rule], inputs: Sequence[str]) -> Engine:
    """The same with its own account of why."""
    table = _table(rules, inputs)
    return lambda facts: [row["rule"] for row in table.evaluate(facts, {"trace": True})["result"]]


def _closure(test: UnaryTest) -> Callable[[Any], bool]:
    if isinstance(test, Truth):
        return lambda value: value is test.value
    if isinstance(test, Among):
        codes = frozenset(test.codes)
        return (lambda value: value in codes) if test.inside else (lambda value: value not in codes)
    return _within(test.low, test.high, test.low_included, test.high_included)


def _within(low: float, high: float, low_included: bool, high_included: bool) -> Callable[[Any], bool]:
    if low_included and high_included:
        return lambda value: low <= value <= high
    if low_included:
        return lambda value: low <= value < high
    return (lambda value: low < value <= high) if high_included else (lambda value: low < value < high)


def _slot(test: UnaryTest) -> str:
    """A test as CLIPS writes it in a pattern."""
    if isinstance(test, Truth):
        return f"({test.input} {'TRUE' if test.value else 'FALSE'})"
    if isinstance(test, Among):
        codes = "|".join(test.codes) if test.inside else "&".join(f"~{code}" for code in test.codes)
        return f"({test.input} {codes})"
    limits = [f":({sign} ?{test.input} {limit!r})" for sign, limit in _limits(test)]
    return f"({test.input} ?{test.input}&{'&'.join(limits)})"


def _limits(test: Interval) -> list[tuple[str, float]]:
    low = [] if test.low == -math.inf else [(">=" if test.low_included else ">", test.low)]
    high = [] if test.high == math.inf else [("<=" if test.high_included else "<", test.high)]
    return low + high


def _table(rules: Sequence[Rule], inputs: Sequence[str]) -> Any:
    import zen

    blank = dict.fromkeys(inputs, "")
    rows = [
        {"_id": f"r{place}", **blank, **{test.input: _cell(test) for test in rule.when}, "rule": str(place)}
        for place, rule in enumerate(rules)
    ]
    content = {
        "hitPolicy": "collect",
        "inputs": [{"id": name, "name": name, "field": name} for name in inputs],
        "outputs": [{"id": "rule", "name": "rule", "field": "rule"}],
        "rules": rows,
    }
    nodes = [
        {"id": "case", "type": "inputNode", "name": "case"},
        {"id": "table", "type": "decisionTableNode", "name": "table", "content": content},
        {"id": "answer", "type": "outputNode", "name": "answer"},
    ]
    edges = [
        {"id": "in", "type": "edge", "sourceId": "case", "targetId": "table"},
        {"id": "out", "type": "edge", "sourceId": "table", "targetId": "answer"},
    ]
    return zen.ZenEngine().create_decision(zen.ZenDecisionContent(json.dumps({"nodes": nodes, "edges": edges})))


def _cell(test: UnaryTest) -> str:
    """A test as a decision table writes it in a cell."""
    if isinstance(test, Truth):
        return str(test.value).lower()
    if isinstance(test, Among):
        codes = ", ".join(f'"{code}"' for code in test.codes)
        return codes if test.inside else f"$ not in [{codes}]"
    limits = _limits(test)
    if len(limits) == 1:
        return "{} {}".format(*limits[0])
    return f"{'[' if test.low_included else '('}{test.low}..{test.high}{']' if test.high_included else ')'}"
