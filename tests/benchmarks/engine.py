"""What one case costs, step by step, over many different cases of the shipped rule book.

python -m tests.benchmarks.engine [CASES] [SEED]

Cases start from those in tests/cases and have facts changed, added and left out, so that no two are alike. Every
figure is the median of several rounds over all of them, in microseconds of processor time a lesion. Read ratios, not
microseconds: the last line says how fast the machine was.
"""

from __future__ import annotations

import datetime
import random
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from typing import Any

import orjson

from decision import load_rule_book
from decision.case import Case, facts_of
from decision.conclusion import conclusion_digest, conclusion_of
from decision.decisions import Decisions, Run
from decision.freeze.lookup import load_freeze_table
from decision.lesion_answer import LesionAnswers
from decision.library_text import FactWriter
from decision.rule_book import RuleBook
from tests.random_rules import case_values, limits_of, message, written_cases

__all__ = ["measure", "random_messages"]

PARTS = ("patient", "lesion", "equipment", "operator")
ROUNDS = 5
TODAY = datetime.date(2026, 11, 24)


def random_messages(book: RuleBook, many: int, chance: random.Random) -> list[dict[str, Any]]:
    """Cases as JSON data, each with one lesion, no two alike."""
    starts = [_facts_in(case) for case in written_cases(book).values()]
    limits = limits_of([one for rules in book.folder.rules.values() for one in rules])
    inputs = {name: one for name, one in book.vocabulary.inputs.items() if one.about in PARTS}
    found: dict[bytes, dict[str, Any]] = {}
    while len(found) < many:
        facts = {name: value for name, value in chance.choice(starts).items() if chance.random() < 0.95}
        for name in chance.sample(list(inputs), chance.randint(0, 4)):
            if inputs[name].type != "numbers":
                facts[name] = chance.choice(case_values(inputs[name], limits.get(name, ())))
        made = message(facts, book.vocabulary)
        found.setdefault(orjson.dumps(made), made)
    return list(found.values())


def measure(many: int, seed: int) -> list[tuple[str, float]]:
    """Each step with its cost in microseconds a case."""
    book = load_rule_book()
    messages = random_messages(book, many, random.Random(seed))
    names = [node.name for node in book.folder.decisions if "before" in node.moments]
    decisions = Decisions(book.folder, names)
    writer = LesionAnswers(decisions, load_freeze_table())
    asked = FactWriter((test for one in decisions.compiled for test in one.matcher.tests), decisions.inputs)

    cases = [book.read(one, today=TODAY) for one in messages]
    facts = [facts_of(case, case.lesions[0], book.vocabulary) for case in cases]
    runs = [decisions.run(one) for one in facts]
    answers = [book.recommend(case) for case in cases]
    pairs = list(zip(runs, cases, strict=True))
    concluded = [(answer["lesions"][0], run) for answer, run in zip(answers, runs, strict=True)]
    taken = [
        ("read a case", _cost(lambda one: book.read(one, today=TODAY), messages)),
        ("derive and presume", _cost(lambda case: facts_of(case, case.lesions[0], book.vocabulary), cases)),
        ("match (durable-rules)", _cost(lambda run: _match(decisions, asked, run), runs)),
        ("evaluate (generated)", _cost(lambda run: _evaluate(decisions, run), runs)),
        ("run the decisions, both means", _cost(decisions.run, facts)),
        ("explain", _cost(lambda pair: writer.answer("a", *pair, trace=False), pairs)),
        ("conclude and digest", _cost(lambda pair: _conclude(*pair), concluded)),
        ("recommend, from a case read", _cost(book.recommend, cases)),
        ("write as JSON (orjson)", _cost(orjson.dumps, answers)),
        (
            "the whole, data to bytes",
            _cost(lambda one: orjson.dumps(book.recommend(book.read(one, today=TODAY))), messages),
        ),
    ]
    decisions.close()
    book.close()
    return taken


def main() -> None:
    """Measure and print."""
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 20261124
    loads = [_load_ms() for _ in range(5)]
    book = load_rule_book()
    rules = sum(len(one) for one in book.folder.rules.values())
    messages = random_messages(book, many, random.Random(seed))
    answers = [book.recommend(book.read(one, today=TODAY)) for one in messages]
    size = statistics.mean(len(orjson.dumps(one)) for one in answers)
    permitted = sum(one["lesions"][0]["plan"] is not None for one in answers)
    settled = sum(one["lesions"][0]["suitability"]["settled"] for one in answers)
    print(f"{rules} rules over {len(book.vocabulary.inputs)} inputs; {many} different cases, seed {seed}")
    print(f"{permitted} with a plan, {settled} settled; an answer has {size / 1000:.1f} KB on average\n")
    for step, cost in measure(many, seed):
        print(f"{step:32}{cost:9.1f} us")
    print(f"\nload the rule book{' ':14}{statistics.median(loads):9.1f} ms (first {loads[0]:.1f} ms)")
    print(f"a million additions in Python   {_cost(_add, [None]) / 1000:9.1f} ms")


def _facts_in(case: Case) -> dict[str, Any]:
    """What a case states of its first lesion, sizes at hand included."""
    sizes = {name: list(listed) for name, listed in case.sizes_at_hand.items()}
    return {**case.stated, **sizes, **case.lesions[0].stated}


def _cost(step: Callable[[Any], object], over: Sequence[Any]) -> float:
    """Microseconds for one of them: the median of some rounds over all, after one that warms up."""
    rounds = []
    for _ in range(ROUNDS + 1):
        began = time.process_time()
        for one in over:
            step(one)
        rounds.append((time.process_time() - began) / len(over) * 1e6)
    return statistics.median(rounds[1:])


def _passes(run: Run) -> list[tuple[Any, Any]]:
    """What was known and what was asked: with the presumptions, and without them where any was made."""
    without = [(run.stated_known, run.stated_hits)] if run.presumed else []
    return [(run.known, run.hits), *without]


def _conclude(answer: Any, run: Run) -> str:
    return conclusion_digest([conclusion_of(answer, run)])


def _match(decisions: Decisions, writer: FactWriter, run: Run) -> None:
    told = [(writer.fragments(known), hits) for known, hits in _passes(run)]
    for one in decisions.compiled:
        one.matcher.holding_each([fragments for fragments, hits in told if one.node.name in hits])


def _evaluate(decisions: Decisions, run: Run) -> None:
    for known, hits in _passes(run):
        for one in decisions.compiled:
            if one.node.name in hits:
                one.evaluate(known)


def _load_ms() -> float:
    began = time.process_time()
    load_rule_book().close()
    return (time.process_time() - began) * 1000


def _add(_: object) -> int:
    total = 0
    for i in range(1_000_000):
        total += i
    return total


if __name__ == "__main__":
    main()
