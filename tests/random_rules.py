"""Random vocabularies, rule sets and cases, each from a seeded source of chance.

They go for what could be got wrong: every form of test, exceptions with several tests, long lists of codes, codes that
look like numbers or truth values, limits met exactly and missed by the last bit, numbers very small and very large,
and facts left out. Rules are made as the data of their files and read by the engine's own reader, so that a judge
can work from what is written.
"""

from __future__ import annotations

import datetime
import itertools
import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from decision.case import Case
from decision.contradictions import Contradictions
from decision.decision_file import read_decision
from decision.decision_node import DecisionNode
from decision.library_text import fragment
from decision.matcher import Matcher, Told
from decision.rule import Rule
from decision.rule_book import RuleBook
from decision.rule_file import read_rule
from decision.rule_folder import RuleFolder, readable_inputs
from decision.strict_yaml import Document, read_yaml
from decision.vocabulary import Input, Vocabulary
from decision.vocabulary_file import read_vocabulary
from tests.small_folder import in_yaml, rule, small_files

__all__ = [
    "CHANCES",
    "STEADY",
    "RuleSet",
    "advice",
    "case_facts",
    "case_values",
    "cells",
    "limits_of",
    "message",
    "node_of",
    "random_folder",
    "random_rule_set",
    "read_rules",
    "stated_facts",
    "that_can_be",
    "vocabulary_of",
    "written_cases",
]

WRITTEN = Path(__file__).parent / "cases"

# The same examples on every run; how long one takes depends on the machine and is no fault.
STEADY = settings(derandomize=True, deadline=None, database=None, suppress_health_check=[HealthCheck.too_slow])
CHANCES = st.integers(0, 2**32).map(random.Random)

NUMERALS = ("10", "10.0", "1e1", "1e5", "0", "1", "-5", "NaN", "0x10")
CODES = (*NUMERALS, "true", "false", "null", "no", "dog", "a b", 'a"b', "a\\b", "\u00e9", "$m", "\n")
EXTREMES = (1e-05, 1e16, 0.3, 0.1 + 0.2, 3.0, 10.0)
RANGES = ((0.0, 1.0), (0.5, 300.0), (-50.0, 50.0), (0.0, 1e16), (1e-5, 10.0), (-1e16, 1e16))
ADVICE = {
    "question": "What then?",
    "hit_policy": "collect",
    "requires": {"inputs_about": ["patient", "lesion"], "decisions": []},
    "fields": {"say": {"text": 100}},
}
_OUTCOMES = (("holds", {}), ("fails", {}), ("unknown", {}))
SIGNS = (">=", ">", "<=", "<", "=")


@dataclass(frozen=True)
class RuleSet:
    """The rules of one random decision, as read by the engine and as written."""

    inputs: Mapping[str, Input]
    rules: tuple[Rule, ...]

    @property
    def written(self) -> list[Mapping[str, Any]]:
        """The data of each rule file."""
        return [one.written for one in self.rules]

    @property
    def limits(self) -> Mapping[str, Sequence[float]]:
        """The numbers that the rules name, by input."""
        return limits_of(self.rules)


def random_rule_set(chance: random.Random) -> RuleSet:
    """Make a vocabulary and one to forty rules over it."""
    vocabulary = vocabulary_of(_random_inputs(chance, ("lesion",)))
    many = chance.choice((1, 4, 8, 12, 40))
    made = [_random_rule(chance, vocabulary.inputs, {"say": "this"}) for _ in range(many)]
    return RuleSet(vocabulary.inputs, read_rules(made, node_of("advice", ADVICE), {}, vocabulary.inputs))


def random_folder(chance: random.Random) -> RuleFolder:
    """Make a rule folder with cautions that may raise a verdict, a ladder that permits, and a ladder after it."""
    vocabulary = vocabulary_of(_random_inputs(chance, ("patient", "lesion", "equipment")))
    files = small_files()
    nodes = {name: node_of(name, files[f"{name}/decision.yaml"]) for name in ("cautions", "suitability", "method")}
    made = {
        name: [
            _random_rule(chance, readable_inputs(node, vocabulary, {}), _random_conclusion(chance, node, nodes))
            for _ in range(chance.randint(1, 5))
        ]
        for name, node in nodes.items()
    }
    rules = {
        name: read_rules(made[name], node, nodes, readable_inputs(node, vocabulary, nodes))
        for name, node in nodes.items()
    }
    return RuleFolder(
        version="2026.11.0",
        answer_contract=1,
        notice="Made by chance.",
        vocabulary=vocabulary,
        sources={},
        decisions=tuple(nodes.values()),
        rules=rules,
        written={},
    )


def advice(inputs: Mapping[str, Any], *whens: Mapping[str, Any], unless: Mapping[str, Any] | None = None) -> RuleSet:
    """Rules with these tests under `when`, over inputs described as in a vocabulary file."""
    vocabulary = vocabulary_of(inputs)
    made = [rule(when, {"say": "this"}, *_OUTCOMES, unless=unless) for when in whens]
    return RuleSet(vocabulary.inputs, read_rules(made, node_of("advice", ADVICE), {}, vocabulary.inputs))


def node_of(name: str, data: Mapping[str, Any]) -> DecisionNode:
    """Read a decision given as data."""
    node, faults = read_decision(name, Document(f"{name}/decision.yaml", dict(data), {}))
    assert node is not None, faults
    assert not faults, faults
    return node


def read_rules(
    made: Sequence[Mapping[str, Any]],
    node: DecisionNode,
    nodes: Mapping[str, DecisionNode],
    readable: Mapping[str, Input],
) -> tuple[Rule, ...]:
    """Read rules given as data, by way of the text of their files."""
    rules = []
    for i, data in enumerate(made):
        document, faults = read_yaml(in_yaml(data), file=f"r{i}.yaml")
        read, more = read_rule(f"r{i}", document, node=node, nodes=nodes, readable=readable, sources={}, topics=())
        assert read is not None, [str(one) for one in more]
        assert not (faults or more), [str(one) for one in (*faults, *more)]
        rules.append(read)
    return tuple(rules)


def vocabulary_of(inputs: Mapping[str, Any]) -> Vocabulary:
    """Read a vocabulary of inputs given as data."""
    vocabulary, faults = read_vocabulary(Document("vocabulary.yaml", {"inputs": dict(inputs)}, {}))
    assert not faults, [str(one) for one in faults]
    return vocabulary


def limits_of(rules: Sequence[Rule]) -> dict[str, list[float]]:
    """The numbers that rules name, by input."""
    found: dict[str, set[float]] = {}
    for test in (test for one in rules for test in one.tests):
        for limit in (getattr(test, "low", math.inf), getattr(test, "high", math.inf)):
            if math.isfinite(limit):
                found.setdefault(test.input, set()).add(limit)
    return {name: sorted(limits) for name, limits in found.items()}


def case_facts(
    chance: random.Random, inputs: Mapping[str, Input], limits: Mapping[str, Sequence[float]]
) -> dict[str, Any]:
    """State some of the inputs, often exactly on a limit that a rule names."""
    share = chance.choice((0.3, 0.6, 0.9, 1.0))
    return {
        name: chance.choice(case_values(one, limits.get(name, ())))
        for name, one in inputs.items()
        if chance.random() <= share
    }


def fact_fragments(known: Mapping[str, Any]) -> dict[str, str]:
    """Everything that is known as the matcher's library can be told it, whether a rule asks about it or not."""
    return {name: fragment(name, value) for name, value in known.items()}


def told_of(matcher: Matcher, fragments: Mapping[str, str]) -> Told:
    """Everything in some fragments, as the networks of a matcher that hear it are told it."""
    told = Told([[] for _ in range(matcher.first + matcher.networks)], 0)
    for name, text in fragments.items():
        networks, needing = matcher.hears(name, text)
        told.needed |= needing
        for place in networks:
            told.texts[place].append(text)
    return told


def case_values(one: Input, limits: Sequence[float]) -> Sequence[Any]:
    """Values worth trying for an input: each code, both truth values, each limit and its neighbours, extremes."""
    if one.type == "boolean":
        return (True, False)
    if one.type == "code":
        return tuple(one.allowed)
    near = [value for limit in limits for value in (limit, math.nextafter(limit, -math.inf), limit + 0.1)]
    near += [math.nextafter(limit, math.inf) for limit in limits]
    extremes = (one.low, one.high, (one.low + one.high) / 2, 5e-324, -0.0, *EXTREMES)
    return sorted({float(value) for value in (*near, *extremes) if one.low <= value <= one.high})


def cells(one: Input, limits: Sequence[float]) -> Sequence[Any]:
    """One value of each kind that tests can tell apart: each code, both truth values, each limit and each gap."""
    if one.type != "number":
        return case_values(one, ())
    marks = sorted({one.low, one.high, *limits})
    return [*marks, *((low + high) / 2 for low, high in itertools.pairwise(marks))]


def stated_facts(folder: RuleFolder, *about: str) -> st.SearchStrategy[dict[str, Any]]:
    """Facts about the patient, the lesion and so on that a case may state, by the limits of the folder's rules."""
    limits = limits_of([one for rules in folder.rules.values() for one in rules])
    wanted = [one for what in about for one in folder.vocabulary.about(what) if one.type != "numbers"]
    drawn = st.fixed_dictionaries(
        {}, optional={one.name: st.sampled_from(case_values(one, limits.get(one.name, ()))) for one in wanted}
    )
    return drawn.map(lambda facts: that_can_be(facts, folder.contradictions))


def that_can_be(facts: Mapping[str, Any], contradictions: Contradictions) -> dict[str, Any]:
    """Facts without what contradicts others of them: a case that states them is not refused for that."""
    kept = dict(facts)
    while found := contradictions.among(kept):
        del kept[found[0].inputs[-1]]
    return kept


def written_cases(book: RuleBook) -> dict[str, Case]:
    """The cases of tests/cases before the freeze, by folder and name: facts that belong together."""
    found = {}
    for path in sorted(WRITTEN.glob("*/*.yaml")):
        document, _ = read_yaml(path.read_text(encoding="utf-8"), file=path.name)
        data = document.data.get("before", document.data)["case"]
        found[f"{path.parent.name}/{path.stem}"] = book.read(data, today=datetime.date(2026, 11, 24))
    return found


def message(facts: Mapping[str, Any], vocabulary: Vocabulary) -> dict[str, Any]:
    """Write facts as a case with one lesion."""
    parts: dict[str, dict[str, Any]] = {"patient": {}, "lesion": {"lesion_id": "a"}, "equipment": {}, "operator": {}}
    for name, value in facts.items():
        parts[vocabulary.inputs[name].about][name] = value
    lesion = parts.pop("lesion")
    return {"as_of": "2026-11-24", **parts, "lesions": [lesion]}


def _random_conclusion(chance: random.Random, node: DecisionNode, nodes: Mapping[str, DecisionNode]) -> dict[str, Any]:
    if node.hit_policy == "priority":
        return {node.concludes: chance.choice(list(node.answers))}
    said = {"urgency": "info", "summary": "Made by chance.", "detail": "Made by chance."}
    raised = {"raises_to": chance.choice(list(nodes["suitability"].answers))}
    return {**said, **(raised if chance.random() < 0.7 else {})}


def _random_inputs(chance: random.Random, about: Sequence[str]) -> dict[str, Any]:
    kinds = [chance.choice(("code", "boolean", "number")) for _ in range(chance.randint(2, 8))]
    inputs = {f"{kind}_{i}": _random_input(chance, kind, chance.choice(about)) for i, kind in enumerate(kinds)}
    return {**inputs, "always": _random_input(chance, "boolean", "lesion")}


def _random_input(chance: random.Random, kind: str, about: str) -> dict[str, Any]:
    common = {"about": about, "type": kind, "question": "How is this one?", "risk": "none"}
    if kind == "code":
        many = chance.choice((2, 3, 5, 8, 26))
        codes = chance.sample(CODES, min(many, len(CODES))) + [f"code_{i}" for i in range(many - len(CODES))]
        return {**common, "allowed": {code: f"word {code}" for code in codes}}
    if kind == "number":
        return {**common, "unit": "mm", "range": list(chance.choice(RANGES))}
    return common


def _random_rule(chance: random.Random, inputs: Mapping[str, Input], conclude: Mapping[str, Any]) -> dict[str, Any]:
    names = list(inputs)
    chance.shuffle(names)
    split = chance.randint(1, min(5, len(names)))
    unless = names[split : split + chance.randint(0, 3)] if chance.random() < 0.5 else []
    return rule(
        {name: _random_test(chance, inputs[name]) for name in names[:split]},
        conclude,
        *_OUTCOMES,
        unless={name: _random_test(chance, inputs[name]) for name in unless},
    )


def _random_test(chance: random.Random, one: Input) -> Any:
    if one.type == "boolean":
        return chance.random() < 0.5
    if one.type == "code":
        return _random_codes(chance, list(one.allowed))
    marks = sorted({_random_limit(chance, one) for _ in range(2)})
    if len(marks) == 1 or chance.random() < 0.5:
        return f"{chance.choice(SIGNS)} {_decimals(marks[0])}"
    return f"{chance.choice('[(')}{_decimals(marks[0])}..{_decimals(marks[1])}{chance.choice('])')}"


def _random_codes(chance: random.Random, codes: list[str]) -> Any:
    if chance.random() < 0.3:
        return chance.choice(codes)
    listed = chance.sample(codes, chance.randint(1, len(codes) - 1))
    return listed if chance.random() < 0.6 else {"not": listed}


def _random_limit(chance: random.Random, one: Input) -> float:
    chosen = chance.choice((one.low, one.high, chance.uniform(one.low, one.high), *EXTREMES))
    return float(chosen) if one.low <= chosen <= one.high else one.low


def _decimals(number: float) -> str:
    """Write a number without an exponent, in the fewest digits that bring back the same double."""
    return format(Decimal(repr(number)), "f")
