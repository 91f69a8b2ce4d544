"""Verify that the examples of a rule have teeth: that they notice each small change of the rule.

A mutant (mutation.py) survives when every example of the rule comes out as before. Then some limit, code or condition
of the rule could be wrong without anyone seeing it. That examples come out as written is checked when a folder loads.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from decision.case import Facts
from decision.derived import derive
from decision.evaluator import compile_rules
from decision.rule import Example, Rule
from decision.rule_book import RuleBook
from decision.rule_folder import RuleFolder, all_inputs
from decision.verification.mutation import mutants_of
from decision.vocabulary import Input, Value

__all__ = ["Survivor", "Tally", "Teeth", "probe", "tally", "teeth_of"]


@dataclass(frozen=True, slots=True)
class Survivor:
    """A change of a rule that none of its examples notices."""

    rule: str
    change: str


@dataclass(frozen=True, slots=True)
class Teeth:
    """How many mutants of a rule were tried, and which survived."""

    tried: int
    survivors: tuple[Survivor, ...]


@dataclass(frozen=True, slots=True)
class Tally:
    """One decision in figures: its rules, their examples, and the teeth of those."""

    decision: str
    rules: int
    examples: int
    mutants: int
    survivors: tuple[Survivor, ...]


def teeth_of(rule: Rule, inputs: Mapping[str, Input]) -> Teeth:
    """Try every mutant of a rule on the rule's examples.

    Args:
        rule: The rule.
        inputs: Every input that it asks about, by name; see `all_inputs`.

    Returns:
        The number of mutants and those that no example noticed.
    """
    mutants = mutants_of(rule, inputs)
    evaluate = compile_rules([rule, *(mutant.rule for mutant in mutants)])
    noticed: set[int] = set()
    for example in rule.examples:
        expected, *found = evaluate(_known_in(example))
        noticed |= {place for place, outcome in enumerate(found) if outcome != expected}
    left = (mutant for place, mutant in enumerate(mutants) if place not in noticed)
    return Teeth(len(mutants), tuple(Survivor(rule.id, mutant.change) for mutant in left))


def probe(book: RuleBook) -> int:
    """Put what is known in every example to both means of matching.

    What an example states of an earlier decision stands, whatever that decision says of the rest; sizes at hand are no
    facts themselves, only what is computed of them.

    Returns:
        How many runs agreed.

    Raises:
        MatcherFault: The two means name different rules for one of them.
    """
    sizes = {name for name, one in book.folder.vocabulary.inputs.items() if one.type == "numbers"}
    runs = 0
    for node in book.folder.decisions:
        for example in (example for rule in book.folder.rules[node.name] for example in rule.examples):
            known = {name: value for name, value in _known_in(example).items() if name not in sizes}
            for moment in node.moments:
                book.decisions(moment).run(Facts(known, known, ()))
                runs += 1
    return runs


def tally(folder: RuleFolder, *, mutants: bool) -> list[Tally]:
    """Count rules and examples of every decision, in the order in which they are decided.

    Args:
        folder: A rule folder without faults.
        mutants: Whether mutants are tried too; otherwise none is.
    """
    inputs = all_inputs(folder)
    tallies = []
    for node in folder.decisions:
        rules = folder.rules[node.name]
        teeth = [teeth_of(rule, inputs) for rule in rules] if mutants else []
        tallies.append(
            Tally(
                decision=node.name,
                rules=len(rules),
                examples=sum(len(rule.examples) for rule in rules),
                mutants=sum(one.tried for one in teeth),
                survivors=tuple(survivor for one in teeth for survivor in one.survivors),
            )
        )
    return tallies


def _known_in(example: Example) -> dict[str, Value]:
    """What is known in an example: what it states and what follows, never what would be presumed."""
    stated = {name: float(value) if type(value) is int else value for name, value in example.case.items()}
    return {**stated, **derive(stated)}
