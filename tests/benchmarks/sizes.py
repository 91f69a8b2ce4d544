"""What one case costs by how many rules there are, and by how many inputs a case states."""

from __future__ import annotations

import time
from collections.abc import Mapping

from decision.case import Facts
from decision.decisions import Decisions
from decision.evaluator import compile_rules
from decision.vocabulary import Value
from tests.benchmarks.generated_rules import generated_cases, generated_rules
from tests.benchmarks.peers import matching
from tests.benchmarks.report import Part, microseconds
from tests.benchmarks.timing import in_turns

__all__ = ["by_inputs", "by_rules"]

SEED = 20261124
RULES = (10, 30, 100, 300, 1000)
INPUTS = (10, 25, 50, 100, 200)
USUAL_RULES, USUAL_INPUTS = 120, 50
HEAD = ("", "matching, µs", "evaluator, µs", "both, held against each other, µs", "both, µs a rule", "load, ms")


def by_rules(*, short: bool) -> Part:
    """The cost of a case against the number of rules."""
    sizes = RULES[:3] if short else RULES
    return Part(
        "One case by the number of rules",
        f"Generated rules over {USUAL_INPUTS} inputs, all stated; no reasons.",
        ("rules", *HEAD[1:]),
        [(str(rules), *_cost(rules, USUAL_INPUTS, short=short)) for rules in sizes],
    )


def by_inputs(*, short: bool) -> Part:
    """The cost of a case against the number of inputs that it states."""
    sizes = INPUTS[:3] if short else INPUTS
    return Part(
        "One case by the number of inputs",
        f"{USUAL_RULES} generated rules over so many inputs, all stated; no reasons.",
        ("inputs", *HEAD[1:]),
        [(str(inputs), *_cost(USUAL_RULES, inputs, short=short)) for inputs in sizes],
    )


def _cost(rules: int, inputs: int, *, short: bool) -> tuple[str, ...]:
    made = generated_rules(rules, inputs, SEED)
    cases = generated_cases(made, 20 if short else 200, SEED + 1)
    began = time.perf_counter()
    decisions = Decisions(made.folder(), ["advice"])
    load_ms = 1000 * (time.perf_counter() - began)

    def run(facts: Mapping[str, Value]) -> object:
        return decisions.run(Facts(dict(facts), dict(facts), ()))

    ways = {"matching": matching(made), "evaluator": compile_rules(made.rules), "both": run}
    taken = in_turns(ways, cases, 1 if short else 5)
    decisions.close()
    return (*map(microseconds, taken.values()), f"{1e6 * taken['both'] / rules:.2f}", f"{load_ms:.0f}")
