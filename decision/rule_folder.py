"""A rule folder: its whole content, and what its rules may ask about.

The content is passive data with a calendar version and a SHA-256 digest over RFC 8785 bytes. How the folder is read is
for folder_reading.py; rule_book.py makes it answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from decision.contradictions import Contradictions
from decision.decision_node import DecisionNode
from decision.folder_form import keeping_order
from decision.record import case_bytes, sha256_of
from decision.rule import Rule
from decision.topics import Page
from decision.vocabulary import Input, Vocabulary

__all__ = ["RuleFolder", "all_inputs", "readable_inputs"]


@dataclass(frozen=True)
class RuleFolder:
    """The content of a rule folder."""

    version: str
    answer_contract: int
    notice: str
    vocabulary: Vocabulary
    sources: Mapping[str, Mapping[str, Any]]
    decisions: tuple[DecisionNode, ...]
    rules: Mapping[str, tuple[Rule, ...]]
    written: Mapping[str, Any]
    pages: Mapping[str, Page] = field(default_factory=dict)
    contradictions: Contradictions = field(default_factory=Contradictions)
    root: Path | None = None

    @cached_property
    def digest(self) -> str:
        """SHA-256 over the RFC 8785 bytes of everything written in the folder, every order kept."""
        return sha256_of(case_bytes(keeping_order(self.written)))

    def rule(self, decision_name: str, name: str) -> Rule | None:
        """One rule by its path, or None."""
        return next((one for one in self.rules.get(decision_name, ()) if one.name == name), None)


def readable_inputs(node: DecisionNode, vocabulary: Vocabulary, nodes: Mapping[str, DecisionNode]) -> dict[str, Input]:
    """The inputs that the rules of a decision may ask about: what it requires, and derived quantities of that."""
    readable = {}
    for name, one in vocabulary.inputs.items():
        roots = _roots(one, vocabulary)
        if name in node.inputs_named or (roots and all(root.about in node.inputs_about for root in roots)):
            readable[name] = one
    for name in node.requires:
        if name in nodes:
            readable.update(nodes[name].as_inputs())
    return readable


def all_inputs(folder: RuleFolder) -> dict[str, Input]:
    """Every input that some rule may ask about: the vocabulary's, and what decisions conclude."""
    inputs = dict(folder.vocabulary.inputs)
    for node in folder.decisions:
        inputs.update(node.as_inputs())
    return inputs


def _roots(one: Input, vocabulary: Vocabulary) -> list[Input]:
    """The stated inputs under an input: itself, or those it is computed from."""
    if not one.derived:
        return [one]
    return [vocabulary.inputs[name] for name in one.parents if name in vocabulary.inputs]
