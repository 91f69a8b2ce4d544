"""Random rule sets against random cases: the matcher and the evaluator against the naive judge.

python -m tests.benchmarks.random_pairs [PAIRS] [SEED]

Prints how many pairs were tried and how often the three differed, and ends with 1 if they ever did. A pair is one
rule set with one case; every rule of the set is compared.
"""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from collections.abc import Mapping
from typing import Any

from decision.evaluator import Outcome, compile_rules, places
from decision.fact_table import FactTable
from decision.matcher import Matcher
from tests.kleene import outcomes
from tests.random_rules import RuleSet, case_facts, random_rule_set

__all__ = ["differences", "run"]

CASES_FOR_A_SET = 150


def differences(rule_set: RuleSet, cases: list[Mapping[str, Any]], counts: Counter[str]) -> list[str]:
    """Hold both means of matching against the judge, and say each difference."""
    evaluate = compile_rules(rule_set.rules)
    matcher = Matcher("random", rule_set.rules, rule_set.inputs)
    table = FactTable([matcher], rule_set.inputs)
    found = []
    for facts in cases:
        judged = outcomes(rule_set.written, facts)
        evaluated = [Outcome(one).word for one in evaluate(facts)]
        matched = places(matcher.holding(table.told(facts)))
        if evaluated != judged or matched != [i for i, one in enumerate(judged) if one == "holds"]:
            found.append(f"judge {judged}, evaluator {evaluated}, matcher {matched}: {facts}")
        counts.update(judged)
    matcher.close()
    return found


def run(pairs: int, seed: int) -> tuple[Counter[str], list[str]]:
    """Try so many pairs; the counts, and every difference."""
    chance = random.Random(seed)
    counts: Counter[str] = Counter()
    found: list[str] = []
    while counts["pairs"] < pairs:
        rule_set = random_rule_set(chance)
        many = min(CASES_FOR_A_SET, pairs - counts["pairs"])
        cases = [case_facts(chance, rule_set.inputs, rule_set.limits) for _ in range(many)]
        found += differences(rule_set, cases, counts)
        counts.update({"pairs": many, "sets": 1, "rules": len(rule_set.rules)})
    return counts, found


def main() -> int:
    """Run, print, and say by the exit code whether anything differed."""
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 200_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 20261124
    began = time.perf_counter()
    counts, found = run(pairs, seed)
    print(
        f"{counts['pairs']:,} pairs of {counts['sets']:,} rule sets ({counts['rules']:,} rules), seed {seed}: "
        f"{counts['holds']:,} hold, {counts['fails']:,} fail, {counts['unknown']:,} unknown; "
        f"{len(found)} differences; {time.perf_counter() - began:.0f} s"
    )
    print(*found[:20], sep="\n")
    return 1 if found else 0


if __name__ == "__main__":
    raise SystemExit(main())
