"""Small random rule folders that hold all that a proof is about, and a judge that tries every one of their cases.

Few inputs with few cells, so that every fully stated case can be tried: risks in all directions, exceptions, a derived
quantity, statements that raise a verdict, a plan, and other ways for refusals. Many are faulty, which is what they are
for. The judge works from what is written and shares nothing with boxes.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from decision.derived import derive
from decision.folder_reading import read_rule_folder
from decision.rule_folder import RuleFolder
from tests.kleene import outcome
from tests.random_rules import cells, limits_of
from tests.small_folder import rule, small_files, write

__all__ = ["Judged", "book_files", "every_case", "folder_of", "judged", "random_files"]

ANSWERS = {"cautions": "raises_to", "suitability": "verdict", "method": "applicator"}
PERMITTED = ("suitable", "suitable_with_care")
COVERED = ("known_diagnosis", "diagnosis_basis")


@dataclass(frozen=True)
class Judged:
    """What becomes of one case: the answers of ladders, the decisions that are asked, the rules that hold."""

    answers: Mapping[str, str | None]
    asked: frozenset[str]
    holding: frozenset[str]


def random_files(chance: random.Random) -> dict[str, Any]:
    """The files of a random folder, as data. Its examples are not yet made to fit."""
    files = {name: data for name, data in small_files().items() if name.count("/") == 0 or "decision.yaml" in name}
    inputs = _random_inputs(chance)
    files["vocabulary.yaml"] = {"groups": {}, "inputs": inputs}
    for name in ("preparation", "precautions"):
        del files[f"{name}/decision.yaml"]
    for decision in ("cautions", "suitability", "method", "plan", "alternatives"):
        node = files[f"{decision}/decision.yaml"]
        for number, (when, unless) in enumerate(_random_conditions(chance, decision, inputs)):
            made = rule(when, _random_conclusion(chance, decision, node), unless=unless)
            made["examples"] = [{"title": "t", "case": {}, "outcome": one} for one in ("holds", "fails", "unknown")]
            files[f"{decision}/r{number}.yaml"] = made
    return files


def folder_of(files: Mapping[str, Any], path: Path) -> RuleFolder:
    """Write the files and read them back as a folder."""
    return read_rule_folder(write(path, files))


def book_files(files: Mapping[str, Any], folder: RuleFolder) -> dict[str, Any] | None:
    """The same files with examples that fit, for a book; None where a rule has none that does."""
    fitting = dict(files)
    for name, data in files.items():
        if name.count("/") and not name.endswith("decision.yaml"):
            examples = _fitting(data, folder)
            if examples is None:
                return None
            fitting[name] = {**data, "examples": examples}
    return fitting


def every_case(folder: RuleFolder) -> Iterator[dict[str, Any]]:
    """Every fully stated case that some test or derived quantity of the folder could tell from another."""
    limits = limits_of([one for rules in folder.rules.values() for one in rules])
    stated = [one for one in folder.vocabulary.inputs.values() if not one.derived]
    choices = [cells(one, limits.get(one.name, ())) for one in stated]
    for values in itertools.product(*choices):
        yield dict(zip((one.name for one in stated), values, strict=True))


def judged(folder: RuleFolder, case: Mapping[str, Any]) -> Judged:
    """What becomes of a case, by the definition of decisions, hit policies and raising statements."""
    known = {**case, **derive(case)}
    answers: dict[str, str | None] = {}
    asked, holding = set(), set()
    for node in folder.decisions:
        if any(answers.get(name) not in codes for name, codes in node.given.items()):
            continue
        asked.add(node.name)
        held = [one for one in folder.rules[node.name] if outcome(one.written, known) == "holds"]
        holding |= {one.id for one in held}
        if node.answers:
            answers[node.name] = known[node.name] = _answer(node, held, holding, folder)
    return Judged(answers, frozenset(asked), frozenset(holding))


def _answer(node: Any, held: Sequence[Any], holding: set[str], folder: RuleFolder) -> str | None:
    order = list(node.answers)
    brought = [one.conclude[node.concludes] for one in held]
    if node.name == "suitability":
        raised = [one for one in folder.rules["cautions"] if one.id in holding and "raises_to" in one.conclude]
        forbidding = order[order.index(node.stands_unsettled_from) :]
        raising = [one.conclude["raises_to"] for one in raised]
        brought += raising if held else [answer for answer in raising if answer in forbidding]
    return max(brought, key=order.index, default=None)


def _random_inputs(chance: random.Random) -> dict[str, Any]:
    small = small_files()["vocabulary.yaml"]["inputs"]
    inputs = {f"{kind}_{i}": _random_input(chance, kind) for i, kind in enumerate(chance.choices(KINDS, k=3))}
    if chance.random() < 0.5:
        inputs |= {name: small[name] for name in (*COVERED, "sampled")}
    return inputs


KINDS = ("code", "boolean", "number")


def _random_input(chance: random.Random, kind: str) -> dict[str, Any]:
    common = {"about": chance.choice(("patient", "lesion")), "type": kind, "question": "How is this one?"}
    if kind == "code":
        codes = ["a", "b", "c"]
        chance.shuffle(codes)
        risk = chance.choice(("none", codes, [codes[:2], codes[2]]))
        return {**common, "allowed": {code: f"word {code}" for code in "abc"}, "risk": risk}
    risk = chance.choice(("none", "rises", "falls"))
    return {**common, "risk": risk, **({"unit": "mm", "range": [0, 9]} if kind == "number" else {})}


def _random_conditions(
    chance: random.Random, decision: str, inputs: Mapping[str, Any]
) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """The conditions of the rules of a decision; sometimes one input is covered, so that nothing is left out."""
    if decision != "cautions" and chance.random() < 0.7:
        name = chance.choice([name for name in inputs if name not in COVERED])
        for test in _covering(name, inputs[name]):
            yield {name: test}, {}
    if decision in ("plan", "alternatives") and chance.random() < 0.7:
        read = {"plan": "method", "alternatives": "suitability"}[decision]
        yield {read: chance.choice(("cone", "foam_tip") if read == "method" else ("watch", "do_not_freeze"))}, {}
    for _ in range(chance.randint(1, 4)):
        names = chance.sample(sorted(inputs), k=len(inputs))
        split = chance.randint(1, 2)
        unless = names[split : split + chance.randint(1, 2)] if chance.random() < 0.3 else []
        yield ({name: _random_test(chance, inputs[name]) for name in names[:split]},
               {name: _random_test(chance, inputs[name]) for name in unless})  # fmt: skip


def _covering(name: str, one: Mapping[str, Any]) -> list[Any]:
    """Tests of which one is met whatever is stated."""
    if one["type"] == "boolean":
        return [True, False]
    return ["a", {"not": ["a"]}] if one["type"] == "code" else ["< 4", ">= 4"]


def _random_test(chance: random.Random, one: Mapping[str, Any]) -> Any:
    if one["type"] == "boolean":
        return chance.random() < 0.5
    if one["type"] == "code":
        codes = chance.sample(sorted(one["allowed"]), k=chance.randint(1, len(one["allowed"]) - 1))
        return {"not": codes} if chance.random() < 0.3 else codes
    return chance.choice(("< 4", ">= 4", "> 4", "<= 4", "= 6", "(4..6]", "[4..6)", "> 6"))


def _random_conclusion(chance: random.Random, decision: str, node: Mapping[str, Any]) -> dict[str, Any]:
    if decision == "cautions":
        raised = {"raises_to": chance.choice(["suitable_with_care", "watch", "do_not_freeze"])}
        said = {"urgency": "info", "summary": "By chance.", "detail": "By chance."}
        return {**said, **(raised if chance.random() < 0.7 else {})}
    if decision == "plan":
        return chance.choice(({"cycles": chance.choice((1, 2))}, {"contact_s": {"low": 5, "high": 9}}))
    if decision == "alternatives":
        return {"what": chance.choice(("biopsy", "leave_alone")), "by_when": "soon"}
    return {ANSWERS[decision]: chance.choice(list(node["answers"]))}


def _fitting(data: Mapping[str, Any], folder: RuleFolder) -> list[dict[str, Any]] | None:
    """An example for each outcome of a rule; None where it never holds or never fails."""
    found: dict[str, dict[str, Any]] = {"unknown": {}}
    ladders = [list(node.answers) if node.answers else [] for node in folder.decisions]
    answers = {node.name: codes for node, codes in zip(folder.decisions, ladders, strict=True)}
    read = [name for name in ("suitability", "method") if name in {**data["when"], **data.get("unless", {})}]
    for case in every_case(folder):
        for codes in itertools.product(*(answers[name] for name in read)):
            stated = {**case, **dict(zip(read, codes, strict=True))}
            said = outcome(data, {**stated, **derive(case)})
            found.setdefault(said, stated)
        if len(found) == 3:
            return [{"title": said, "case": case, "outcome": said} for said, case in found.items()]
    return None
