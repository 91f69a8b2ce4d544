"""Read a rule folder: its whole content, or every fault at once.

A folder with one fault anywhere is not loaded at all.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import decision
from decision.claimed_version import RELEASED, claim_faults
from decision.contradictions import Contradictions
from decision.contradictions_file import read_contradictions
from decision.decision_file import read_decision
from decision.decision_node import DecisionNode, faults_between, in_order
from decision.derived import DERIVED
from decision.errors import Fault, RuleBookError
from decision.folder_files import FolderFiles, FolderOnDisk
from decision.folder_shape import BookShape, SourcesShape
from decision.nearest import nearest
from decision.rule import Rule
from decision.rule_file import read_rule
from decision.rule_folder import RuleFolder, readable_inputs
from decision.shape import shape_faults
from decision.strict_yaml import Document
from decision.topics import Page, page_faults, pages_of
from decision.vocabulary import Vocabulary
from decision.vocabulary_file import read_vocabulary
from decision.withdrawn import withdrawn_faults

__all__ = ["CONTRADICTIONS", "folder_from", "read_rule_folder", "shipped_rules"]

CONTRADICTIONS = "contradictions.yaml"
NOT_A_DECISION = frozenset({"schema", RELEASED, "withdrawn"})


def shipped_rules() -> Path:
    """The folder of rules that came with this package.

    Beside the package, never found by importlib.resources: that picks a wrong folder when the working directory has
    a `rules` of its own.
    """
    return Path(decision.__file__).parents[1] / "rules"


def read_rule_folder(folder: Path) -> RuleFolder:
    """Read a rule folder.

    Args:
        folder: The folder that holds rule_book.yaml, vocabulary.yaml, sources.yaml and a folder for each decision.

    Returns:
        Its content.

    Raises:
        RuleBookError: With every fault of every file; or it states the version of a release and is not that release.
    """
    files = FolderOnDisk(folder)
    found = dataclasses.replace(folder_from(files, withdrawn_faults(folder)), root=folder)
    document, _ = files.document("rule_book.yaml")
    faults = [document.fault(("version",), said) for said in claim_faults(folder, found.version, found.digest)]
    if faults:
        raise RuleBookError(faults)
    return found


def folder_from(files: FolderFiles, faults_beside: Iterable[Fault] = ()) -> RuleFolder:
    """Read a rule folder from wherever its files are kept.

    Args:
        files: The files.
        faults_beside: Faults of what stands beside the rules, to be reported with theirs.

    Raises:
        RuleBookError: With every fault of every file.
    """
    reading = _Reading(files)
    reading.faults += faults_beside
    book = reading.shape("rule_book.yaml", BookShape)
    pages = pages_of(book.pages) if book else {}
    document = reading.document("vocabulary.yaml")
    vocabulary, faults = read_vocabulary(document)
    reading.add(document, faults)
    reading.faults += _derived_faults(vocabulary, document)
    contradictions = _read_contradictions(reading, vocabulary)
    sources = reading.shape("sources.yaml", SourcesShape)
    nodes = _read_decisions(reading)
    known_sources = sources.root_or_empty() if sources else {}
    known = _Known(nodes, vocabulary, known_sources, frozenset(code for one in pages.values() for code in one.topics))
    rules = {name: _read_rules(node, known, reading) for name, node in nodes.items()}
    reading.faults += _page_faults(pages, vocabulary, rules, reading)
    ordered = in_order(nodes)
    if ordered and isinstance(ordered[0], str):
        ring = ", ".join(str(name) for name in ordered)
        reading.say("", f"these decisions require each other in a ring: {ring}.")
    if reading.faults or book is None:
        raise RuleBookError(reading.faults)
    return RuleFolder(
        version=book.version,
        answer_contract=book.answer_contract,
        notice=" ".join(book.notice.split()),
        vocabulary=vocabulary,
        sources=known_sources,
        decisions=tuple(one for one in ordered if isinstance(one, DecisionNode)),
        rules=rules,
        written=reading.written,
        pages=pages,
        contradictions=contradictions,
    )


class _Reading:
    """One pass over a folder: documents read, everything written, every fault."""

    def __init__(self, files: FolderFiles) -> None:
        self.files = files
        self.faults: list[Fault] = []
        self.written: dict[str, Any] = {}

    def document(self, name: str) -> Document:
        document, faults = self.files.document(name)
        self.faults += faults
        if document.data or not faults:
            self.written[name] = document.data
        return document

    @cached_property
    def folders(self) -> dict[str, list[str]]:
        """What stands in every folder of the folder, in order."""
        found: dict[str, list[str]] = {}
        for name in self.files.names():
            folder, _, file = name.partition("/")
            found.setdefault(folder, []).append(file)
        return found

    def shape(self, name: str, wanted: Any) -> Any:
        document = self.document(name)
        found, faults = shape_faults(wanted, document)
        self.add(document, faults)
        return found

    def add(self, document: Document, faults: list[Fault]) -> None:
        """Keep the faults of a document; one that could not be read at all has its one fault already."""
        lost = not document.data and any(fault.file == document.file for fault in self.faults)
        self.faults += [] if lost else faults

    def say(self, name: str, message: str) -> None:
        self.faults.append(Fault(f"{self.files.shown}/{name}".rstrip("/"), 0, "", message))


def _read_contradictions(reading: _Reading, vocabulary: Vocabulary) -> Contradictions:
    """What cannot be stated together; a folder without such a file has none."""
    if not reading.files.has(CONTRADICTIONS):
        return Contradictions()
    document = reading.document(CONTRADICTIONS)
    found, faults = read_contradictions(document, vocabulary)
    reading.add(document, faults)
    return found


def _page_faults(
    pages: Mapping[str, Page], vocabulary: Vocabulary, rules: Mapping[str, tuple[Rule, ...]], reading: _Reading
) -> Iterable[Fault]:
    document, _ = reading.files.document("rule_book.yaml")
    named = {topic for some in rules.values() for rule in some for topic in rule.topics}
    return [document.fault(path, said) for path, said in page_faults(pages, vocabulary, named)]


def _derived_faults(vocabulary: Vocabulary, document: Document) -> Iterable[Fault]:
    named = {name for name, one in vocabulary.inputs.items() if one.derived}
    for name in sorted(named - DERIVED.keys()):
        said = f"{name} is derived, and nothing computes it.{nearest(name, DERIVED)}"
        yield document.fault(("inputs", name), said)


def _read_decisions(reading: _Reading) -> dict[str, DecisionNode]:
    nodes, documents = {}, {}
    folders = reading.folders
    for name in (name for name, files in folders.items() if "decision.yaml" in files):
        if name in NOT_A_DECISION or not (name.isidentifier() and name.islower()):
            reading.say(f"{name}/decision.yaml", "no decision may have this name.")
            continue
        document = reading.document(f"{name}/decision.yaml")
        node, faults = read_decision(name, document)
        reading.add(document, faults)
        if node:
            nodes[name], documents[name] = node, document
    for node in nodes.values():
        reading.faults += [documents[node.name].fault(path, said) for path, said in faults_between(node, nodes)]
    for name, files in folders.items():
        holds_rules = name not in NOT_A_DECISION and any(file.endswith(".yaml") for file in files)
        if holds_rules and "decision.yaml" not in files:
            reading.say(name, f"holds rules and no decision.yaml.{nearest(name, nodes)}")
    if not nodes:
        reading.say("", "holds no decision: no folder with a decision.yaml.")
    return nodes


@dataclass(frozen=True, slots=True)
class _Known:
    """What the rules of a folder may name."""

    nodes: Mapping[str, DecisionNode]
    vocabulary: Vocabulary
    sources: Mapping[str, Any]
    topics: frozenset[str]


def _read_rules(node: DecisionNode, known: _Known, reading: _Reading) -> tuple[Rule, ...]:
    readable = readable_inputs(node, known.vocabulary, known.nodes)
    rules = []
    for path in (Path(file) for file in reading.folders[node.name] if file != "decision.yaml"):
        name = f"{node.name}/{path.name}"
        if path.suffix != ".yaml" or not path.stem.isidentifier() or not path.stem.islower():
            reading.say(name, "a rule file is named in lower-case words joined by underscores, ending in .yaml.")
            continue
        document = reading.document(name)
        rule, faults = read_rule(
            path.stem,
            document,
            node=node,
            nodes=known.nodes,
            readable=readable,
            sources=known.sources,
            topics=known.topics,
        )
        reading.add(document, faults)
        if rule:
            rules.append(rule)
    return tuple(rules)
