"""What one case costs, step by step, over many different cases of the shipped rule book.

Cases start from those in tests/cases and have facts changed, added and left out, so that no two are alike. Every
figure is the median of several rounds over all of them, in microseconds a lesion.
"""

from __future__ import annotations

import datetime
import random
import statistics
from collections.abc import Callable, Sequence
from typing import Any

import orjson

from decision import load_rule_book
from decision.case import Case, facts_of
from decision.conclusion import conclusion_digest, conclusion_of
from decision.decisions import Decisions, Run
from decision.fact_table import FactTable
from decision.freeze.lookup import load_freeze_table
from decision.lesion_answer import LesionAnswers
from decision.rule_book import RuleBook
from decision.telling import Teller
from tests.benchmarks.report import Part, microseconds
from tests.benchmarks.timing import in_turns
from tests.random_rules import case_values, limits_of, message, that_can_be, written_cases

__all__ = ["measured", "random_messages"]

PARTS = ("patient", "lesion", "equipment", "operator")
ROUNDS = 5
SEED = 20261124
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
        made = message(that_can_be(facts, book.folder.contradictions), book.vocabulary)
        found.setdefault(orjson.dumps(made), made)
    return list(found.values())


def measured(*, short: bool) -> Part:
    """Take the time of each step."""
    many, rounds = (20, 1) if short else (1000, ROUNDS)
    book = load_rule_book()
    messages = random_messages(book, many, random.Random(SEED))
    answers = [book.recommend(book.read(one, today=TODAY)) for one in messages]
    size_kb = statistics.mean(len(orjson.dumps(one)) for one in answers) / 1000
    permitted = sum(one["lesions"][0]["plan"] is not None for one in answers)
    settled = sum(one["lesions"][0]["suitability"]["settled"] for one in answers)
    rules = sum(len(one) for one in book.folder.rules.values())
    taken = _steps(book, messages, rounds)
    book.close()
    return Part(
        "The steps of one answer",
        f"{rules} shipped rules over {len(book.vocabulary.inputs)} inputs; {many} different cases with one lesion, "
        f"{permitted} with a plan, {settled} settled; an answer has {size_kb:.1f} KB in the mean.",
        ("step", "µs a lesion"),
        [(step, microseconds(cost)) for step, cost in taken],
    )


def _steps(book: RuleBook, messages: Sequence[Any], rounds: int) -> list[tuple[str, float]]:
    """Each step with its cost in seconds a case."""
    names = [node.name for node in book.folder.decisions if "before" in node.moments]
    decisions = Decisions(book.folder, names)
    writer = LesionAnswers(Teller(decisions), load_freeze_table(), book.answer_contract)
    table = FactTable([one.matcher for one in decisions.compiled], decisions.inputs)

    def cost(step: Callable[[Any], object], over: Sequence[Any]) -> float:
        return in_turns({"": step}, over, rounds)[""]

    cases = [book.read(one, today=TODAY) for one in messages]
    facts = [facts_of(case, case.lesions[0], book.vocabulary) for case in cases]
    runs = [decisions.run(one) for one in facts]
    answers = [book.recommend(case) for case in cases]
    pairs = list(zip(runs, cases, strict=True))
    concluded = [(answer["lesions"][0], run) for answer, run in zip(answers, runs, strict=True)]
    taken = [
        ("read a case", cost(lambda one: book.read(one, today=TODAY), messages)),
        ("derive and presume", cost(lambda case: facts_of(case, case.lesions[0], book.vocabulary), cases)),
        ("match (durable-rules)", cost(lambda run: _match(decisions, table, run), runs)),
        ("evaluate", cost(lambda run: _evaluate(decisions, run), runs)),
        ("run the decisions, both means", cost(decisions.run, facts)),
        ("explain", cost(lambda pair: writer.answer("a", *pair, trace=False), pairs)),
        ("conclude and digest", cost(lambda pair: _conclude(*pair, book.answer_contract), concluded)),
        ("recommend, from a case read", cost(book.recommend, cases)),
        ("write as JSON (orjson)", cost(orjson.dumps, answers)),
        (
            "the whole, data to bytes",
            cost(lambda one: orjson.dumps(book.recommend(book.read(one, today=TODAY))), messages),
        ),
    ]
    decisions.close()
    return taken


def _facts_in(case: Case) -> dict[str, Any]:
    """What a case states of its first lesion, sizes at hand included."""
    sizes = {name: list(listed) for name, listed in case.sizes_at_hand.items()}
    return {**case.stated, **sizes, **case.lesions[0].stated}


def _passes(run: Run) -> list[tuple[Any, Any]]:
    """What was known and what was asked: with the presumptions, and without them where any was made."""
    without = [(run.stated_known, run.stated_hits)] if run.presumed else []
    return [(run.known, run.hits), *without]


def _conclude(answer: Any, run: Run, contract: int) -> str:
    return conclusion_digest([conclusion_of(answer, run, contract)])


def _match(decisions: Decisions, table: FactTable, run: Run) -> None:
    told = [(table.told(known), hits) for known, hits in _passes(run)]
    for one in decisions.compiled:
        one.matcher.holding_each([one_told for one_told, hits in told if one.node.name in hits])


def _evaluate(decisions: Decisions, run: Run) -> None:
    for known, _ in _passes(run):
        decisions.evaluator.evaluated(known)
