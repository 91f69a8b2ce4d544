"""The loader of rule folders: `decision.rule_folder`, `decision.strict_yaml` and what they call.

An input is the name of a file of the small folder on a line, then the text that stands in it in place of its own. A
name that the folder does not have is a file more.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterable

import yaml

from decision.errors import CaseError, Fault, RuleBookError
from decision.folder_files import KeptFiles
from decision.folder_reading import CONTRADICTIONS, folder_from
from decision.rule_book import RuleBook
from decision.rule_folder import RuleFolder
from decision.strict_yaml import Document, read_yaml
from tests.fuzz.harness import STRANGE, Harness, mutated_tree
from tests.fuzz.yaml_texts import TEXTS
from tests.small_folder import in_yaml, small_files

__all__ = ["HARNESS"]

KEPT = ("cautions/take_care", "suitability/", "method/use_a_cone", "plan/freeze_", "alternatives/")
SMALL = {
    name: data
    for name, data in small_files().items()
    if "/" not in name or name.endswith("/decision.yaml") or name.startswith(KEPT)
}
CONTRADICTING = {
    "ranges": {"species": {"cat": {"age_years": [0, 45]}}},
    "contradictions": {
        "no_ear": {"when": {"species": "cat", "site": {"not": ["trunk"]}}, "says": "Both cannot be: check both."},
        "small": {"when": {"base_width_mm": "< 1"}, "stated": ["infected"], "says": "Both cannot be: check both."},
    },
}
CASE = {"as_of": "2026-11-24", "patient": {}, "lesions": [{"lesion_id": "a"}]}


def seeds() -> Iterable[bytes]:
    """Every file of the small folder and one more as it is, and texts that are hard to read, as several of them."""
    for name, data in SMALL.items():
        yield f"{name}\n{in_yaml(data)}".encode()
    yield f"{CONTRADICTIONS}\n{in_yaml(CONTRADICTING)}".encode()
    as_files = (
        "suitability/watch_the_ear.yaml",
        "suitability/one_more.yaml",
        "vocabulary.yaml",
        CONTRADICTIONS,
        "x/y.yaml",
    )
    for name in as_files:
        yield from (f"{name}\n{text}".encode() for text in TEXTS)
        yield from (f"{name}\n{in_yaml(data)}".encode() for data in STRANGE)


def hold(data: bytes) -> None:
    """A folder is refused with its faults; or it is the same when kept as data, and answers or refuses a case."""
    name, _, text = data.decode("utf-8", "replace").partition("\n")
    try:
        folder = folder_from(_OneChanged(name.strip(), text))
    except RuleBookError as refused:
        assert refused.faults
        assert all(fault.message and fault.line >= 0 for fault in refused.faults)
        return
    again = folder_from(KeptFiles(json.loads(json.dumps(folder.written)), "rules"))
    assert again.digest == folder.digest
    assert _said(again) == _said(folder)
    _answers(folder)


def _said(folder: RuleFolder) -> list[object]:
    """What the rules of a folder say, wherever it stands in their files."""
    return [
        (rule.id, rule.when, rule.unless, rule.conclude, rule.evidence, rule.written)
        for rules in folder.rules.values()
        for rule in rules
    ]


def _answers(folder: RuleFolder) -> None:
    try:
        book = RuleBook(folder)
    except RuleBookError as refused:
        assert refused.faults
        return
    try:
        assert book.recommend(CASE)["lesions"][0]["suitability"]["verdict"] is None or folder.rules["suitability"]
    except CaseError as refused:  # a changed vocabulary may ask for more than the case has
        assert refused.faults
    finally:
        book.close()


class _OneChanged:
    """The small folder, with one file changed or added."""

    shown = "rules"

    def __init__(self, name: str, text: str) -> None:
        self._name = name
        self._text = text

    def names(self) -> list[str]:
        names = {*SMALL, self._name} if self._name.count("/") == 1 else set(SMALL)
        return sorted(one for one in names if "/" in one)

    def has(self, name: str) -> bool:
        return name in SMALL or name == self._name

    def document(self, name: str) -> tuple[Document, list[Fault]]:
        if name != self._name:
            return Document(f"rules/{name}", json.loads(json.dumps(SMALL[name])), {}), []
        return read_yaml(self._text, file=f"rules/{name}")


def _mutated(data: bytes, chance: random.Random) -> bytes:
    """Change a file as data, and write it as YAML again."""
    name, _, text = data.decode("utf-8", "replace").partition("\n")
    try:
        made = yaml.safe_load(text)
        return f"{name}\n{in_yaml(mutated_tree(made, chance))}".encode()
    except (yaml.YAMLError, ValueError, TypeError, RecursionError):
        return data


HARNESS = Harness(seeds, hold, _mutated)
