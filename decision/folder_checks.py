"""What shows only when the files of a rule folder are taken together.

Examples come out as their authors wrote, no two rules of a `unique` decision can hold together, and the matcher can
tell all names apart.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from decision.derived import derive
from decision.errors import Fault
from decision.evaluator import Evaluator, Known
from decision.matcher import name_faults
from decision.nearest import nearest
from decision.overlap import common_case
from decision.rule import Example, Rule
from decision.rule_folder import RuleFolder, all_inputs, readable_inputs
from decision.strict_yaml import Path
from decision.vocabulary import Input

__all__ = ["folder_faults"]


def folder_faults(folder: RuleFolder) -> Iterable[Fault]:
    """State every fault that shows only when the files of a folder are taken together."""
    nodes = {node.name: node for node in folder.decisions}
    inputs = all_inputs(folder)
    yield from name_faults(inputs, "vocabulary.yaml")
    for name in nodes.keys() & folder.vocabulary.inputs.keys():
        yield Fault("vocabulary.yaml", 0, name, "a decision has this name; choose another.")
    for node in folder.decisions:
        rules = folder.rules[node.name]
        readable = readable_inputs(node, folder.vocabulary, nodes)
        evaluator = Evaluator(rules)
        for place, rule in enumerate(rules):
            outcome = _outcome_at(place, evaluator, derived=any(readable[test.input].derived for test in rule.tests))
            for i, example in enumerate(rule.examples):
                faults = list(_example_faults(example, outcome, readable)) or list(_impossible(example, folder))
                for path, said in faults:
                    yield rule.document.fault(("examples", i, *path), said)
        if node.hit_policy == "unique":
            yield from _conflicts(rules, inputs)


def _outcome_at(place: int, evaluator: Evaluator, *, derived: bool) -> Callable[[Known], str]:
    """What becomes of the rule at a place of its decision; quantities are derived only for rules that ask for one."""
    if derived:
        return lambda known: evaluator.evaluated({**known, **derive(known)}).outcome(place).word
    return lambda known: evaluator.evaluated(known).outcome(place).word


def _example_faults(
    example: Example, outcome: Callable[[Known], str], readable: Mapping[str, Input]
) -> Iterable[tuple[Path, str]]:
    """State what is wrong with an example of a rule, each with its path in the example."""
    unreadable = [name for name in example.case if name not in readable or readable[name].derived]
    if unreadable:
        statable = [name for name, one in readable.items() if not one.derived]
        said = f"{unreadable[0]} cannot be stated in an example of this rule."
        yield ("case", unreadable[0]), said + nearest(unreadable[0], statable)
        return
    wrong = [name for name, value in example.case.items() if not _possible(value, readable[name])]
    if wrong:
        yield ("case", wrong[0]), "the value is not one that this input can have."
        return
    known = {name: float(v) if type(v) is int else v for name, v in example.case.items()}
    found = outcome(known)
    if found != example.outcome:
        yield ("outcome",), f'"{example.title}" says the rule {_says(example.outcome)}, but it {_says(found)}.'


def _impossible(example: Example, folder: RuleFolder) -> Iterable[tuple[Path, str]]:
    """State what contradicts itself in an example in which a rule holds: a rule must hold in a case that can be."""
    for one in folder.contradictions.among(example.case) if example.outcome == "holds" else ():
        yield ("case",), f'"{example.title}" holds in a case that cannot be. {one.says}'


def _possible(value: Any, one: Input) -> bool:
    if one.type == "boolean":
        return isinstance(value, bool)
    if one.type == "code":
        return isinstance(value, str) and value in one.allowed
    if one.type == "numbers":
        return isinstance(value, list) and bool(value) and all(_in_range(part, one) for part in value)
    return _in_range(value, one)


def _in_range(value: Any, one: Input) -> bool:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and one.low <= value <= one.high


def _says(outcome: str) -> str:
    return "is unknown" if outcome == "unknown" else outcome


def _conflicts(rules: tuple[Rule, ...], inputs: dict[str, Input]) -> Iterable[Fault]:
    for one, other in itertools.combinations(rules, 2):
        for quantity in one.conclude.keys() & other.conclude.keys():
            if one.conclude[quantity] == other.conclude[quantity]:
                continue
            case = common_case(one, other, inputs)
            if case is not None:
                shown = ", ".join(f"{name} {value}" for name, value in case.items())
                said = (
                    f'{quantity}: "{one.name}" and "{other.name}" say different values for the same case: '
                    f'{shown}. A decision with hit policy "unique" allows one.'
                )
                yield one.document.fault(("conclude", quantity), said)
