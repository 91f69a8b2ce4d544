"""Generated rules and cases that every engine of a comparison can be given alike.

Their shape is that of the shipped rules, counted in November 2026: how many inputs a rule asks, how often a test is a
code, one of several, none of several, a yes or no, a figure, and that half of all tests stand in an earlier rule too.
Exceptions are left out, and cases state every input: both have meanings of ours that others do not share. The same
seed gives the same rules and cases.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from decision.rule import Rule
from decision.rule_folder import RuleFolder
from decision.vocabulary import Value, Vocabulary
from tests.random_rules import ADVICE, advice, node_of, vocabulary_of

__all__ = ["GeneratedRules", "generated_cases", "generated_rules"]

TESTS_IN_A_RULE = {1: 40, 2: 30, 3: 18, 4: 8, 5: 4}  # in a hundred rules
KINDS = ("code", "code", "boolean", "code", "number")  # of inputs, one after another
CODES_IN_A_LIST = {1: 45, 2: 29, 3: 11, 4: 4, 6: 5, 8: 6}  # in a hundred lists
NONE_OF, INTERVAL, ASKED_BEFORE = 0.07, 0.08, 0.5
CODES = tuple(f"code_{letter}" for letter in "abcdefghijkl")
HIGHEST = 100.0


@dataclass(frozen=True, slots=True)
class GeneratedRules:
    """Rules over inputs, as read by the engine; `rule.written` has each as its file would."""

    vocabulary: Vocabulary
    rules: tuple[Rule, ...]

    def folder(self) -> RuleFolder:
        """The rules as a folder with one decision that collects them."""
        node = node_of("advice", ADVICE)
        return RuleFolder(
            version="2026.11.0",
            answer_contract=1,
            notice="Made by chance.",
            vocabulary=self.vocabulary,
            sources={},
            decisions=(node,),
            rules={node.name: self.rules},
            written={},
        )


def generated_rules(rules: int, inputs: int, seed: int) -> GeneratedRules:
    """Make so many rules over so many inputs."""
    chance = random.Random(seed)
    described = {f"input_{i}": _described(KINDS[i % len(KINDS)]) for i in range(inputs)}
    asked: dict[str, list[Any]] = {}
    whens = []
    for _ in range(rules):
        names = chance.sample(list(described), min(_one_of(TESTS_IN_A_RULE, chance), inputs))
        whens.append({name: _test(described[name]["type"], asked.setdefault(name, []), chance) for name in names})
    return GeneratedRules(vocabulary_of(described), advice(described, *whens).rules)


def generated_cases(made: GeneratedRules, many: int, seed: int) -> list[Mapping[str, Value]]:
    """Make so many cases, each with a value for every input."""
    chance = random.Random(seed)
    inputs = made.vocabulary.inputs.values()
    return [{one.name: _value(one.type, chance) for one in inputs} for _ in range(many)]


def _described(kind: str) -> dict[str, Any]:
    common = {"about": "lesion", "type": kind, "question": "How is this one?", "risk": "none"}
    if kind == "code":
        return {**common, "allowed": {code: code for code in CODES}}
    return {**common, "unit": "mm", "range": [0, HIGHEST]} if kind == "number" else common


def _test(kind: str, asked: list[Any], chance: random.Random) -> Any:
    """A test of an input that was asked so before, or a new one."""
    if asked and chance.random() < ASKED_BEFORE:
        return chance.choice(asked)
    asked.append(_new_test(kind, chance))
    return asked[-1]


def _new_test(kind: str, chance: random.Random) -> Any:
    if kind == "boolean":
        return chance.random() < 0.5
    if kind == "code":
        listed = chance.sample(CODES, _one_of(CODES_IN_A_LIST, chance))
        return {"not": listed} if chance.random() < NONE_OF else listed
    low = round(chance.uniform(0.1, 0.6) * HIGHEST, 1)
    if chance.random() < INTERVAL:
        return f"[{low}..{low + 30:.1f})"
    return f"{chance.choice(('>=', '>', '<=', '<'))} {low}"


def _one_of(shares: Mapping[int, int], chance: random.Random) -> int:
    return chance.choices(list(shares), list(shares.values()))[0]


def _value(kind: str, chance: random.Random) -> Value:
    if kind == "boolean":
        return chance.random() < 0.5
    return chance.choice(CODES) if kind == "code" else round(chance.uniform(0, HIGHEST), 1)
