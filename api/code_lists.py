"""The code lists of this service: FHIR CodeSystems made from the rule book and from terms.yaml, under CC0.

species, lesion-kind, diagnosis and site hold the allowed codes of one input each; finding the inputs about patient and
lesion, and their check lists; finding-value `input.value` for every yes-or-no input and every other code; procedure,
override-reason and card-topic what is ordered or done, why a card was not followed, and what it is about; problem what
is wrong with a request.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, cached_property

from typing_extensions import TypedDict

from api.problem_kinds import KINDS
from api.terms import terms
from decision.rule_folder import RuleFolder
from decision.vocabulary import Input, Value, Vocabulary

__all__ = ["CANONICAL", "CodeList", "CodeLists", "Coding", "Concept", "Meaning", "code_lists_of", "problem_coding"]

CANONICAL = "https://thawline.example.org/fhir/CodeSystem/"
LIST_OF = {"species": "species", "lesion_kind": "lesion-kind", "known_diagnosis": "diagnosis", "site": "site"}
ABOUT = ("patient", "lesion")
LADDER = "suitability"
INSTEAD = "alternatives"
PROBLEM = "problem"


class Coding(TypedDict):
    """A code of one of our lists."""

    system: str
    code: str
    display: str


@dataclass(frozen=True, slots=True)
class Concept:
    """One code: its words, what it asks or means, and for a finding what is stated of it."""

    display: str
    definition: str = ""
    type: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class CodeList:
    """One list of codes."""

    name: str
    description: str
    concepts: Mapping[str, Concept]

    @property
    def url(self) -> str:
        """The canonical address, which is the `system` of a coding."""
        return CANONICAL + self.name


@dataclass(frozen=True, slots=True)
class Meaning:
    """A code of one of our lists."""

    list: str
    code: str


@dataclass(frozen=True)
class CodeLists:
    """All code lists of a rule book, and what their codes state."""

    version: str
    lists: Mapping[str, CodeList]
    vocabulary: Vocabulary

    def meaning(self, system: str, code: str) -> Meaning | None:
        """The code that a coding names, when it is one of ours."""
        found = self.lists.get(system.removeprefix(CANONICAL)) if system.startswith(CANONICAL) else None
        return Meaning(found.name, code) if found is not None and code in found.concepts else None

    def fact(self, meaning: Meaning) -> tuple[str, Value] | None:
        """The input and the value that a code states; None for one that states none."""
        return self._facts.get(meaning)

    def coding(self, name: str, code: str) -> Coding:
        """A FHIR Coding of a code of ours."""
        found = self.lists[name]
        return {"system": found.url, "code": code, "display": found.concepts[code].display}

    def coding_of(self, one: Input, value: Value) -> Coding:
        """A FHIR Coding that states a value of an input. Raises KeyError for a number."""
        meaning = next(meaning for meaning, fact in self._facts.items() if fact == (one.name, value))
        return self.coding(meaning.list, meaning.code)

    @cached_property
    def _facts(self) -> Mapping[Meaning, tuple[str, Value]]:
        facts: dict[Meaning, tuple[str, Value]] = {}
        for one in _statable(self.vocabulary):
            name = LIST_OF.get(one.name, "finding-value")
            for code, value, _ in _values(one):
                facts[Meaning(name, code)] = (one.name, value)
        return facts


def code_lists_of(folder: RuleFolder) -> CodeLists:
    """Make the code lists of a rule folder."""
    vocabulary, words = folder.vocabulary, terms()
    answers = {node.name: node.answers for node in folder.decisions}
    instead: Mapping[str, str] = next(
        (node.fields["what"]["one_of"] for node in folder.decisions if node.name == INSTEAD), {}
    )
    made = [
        *(_values_of(vocabulary.inputs[name], listed) for name, listed in LIST_OF.items() if name in vocabulary.inputs),
        CodeList("finding", "What may be found in a patient and in a lesion.", dict(_findings(vocabulary))),
        CodeList("finding-value", "What may be stated of a finding: input.value.", dict(_finding_values(vocabulary))),
        _plain("procedure", "What may be ordered or has been done.", {**words.procedures, **instead}),
        _plain("override-reason", "Why a card was not followed.", words.override_reasons),
        _plain("card-topic", "What a card is about.", {**answers.get(LADDER, {}), **words.card_topics}),
        _plain(PROBLEM, "What is wrong with a request: its kind, and the fault at one place.", _problems()),
    ]
    return CodeLists(folder.version, {one.name: one for one in made if one.concepts}, vocabulary)


def problem_coding(code: str) -> Coding | None:
    """A FHIR Coding of a kind of problem or of a fault; None for a code that is not listed."""
    words = _problems().get(code)
    return None if words is None else {"system": CANONICAL + PROBLEM, "code": code, "display": words}


@cache
def _problems() -> Mapping[str, str]:
    return {**{kind.name: kind.title for kind in KINDS.values()}, **terms().problems}


def _statable(vocabulary: Vocabulary) -> list[Input]:
    return [one for about in ABOUT for one in vocabulary.about(about)]


def _values(one: Input) -> Iterable[tuple[str, Value, str]]:
    """The code, the value and the words of everything that may be stated of an input by a code."""
    before = "" if one.name in LIST_OF else f"{one.name}."
    if one.type == "boolean":
        yield f"{before}true", True, "yes"
        yield f"{before}false", False, "no"
    for code, words in one.allowed.items():
        yield f"{before}{code}", code, words


def _values_of(one: Input, name: str) -> CodeList:
    return CodeList(name, one.question, {code: Concept(_capital(words)) for code, _, words in _values(one)})


def _findings(vocabulary: Vocabulary) -> Iterable[tuple[str, Concept]]:
    for one in _statable(vocabulary):
        yield one.name, Concept(_capital(one.label), one.question, one.type, one.unit or "")
    for group in vocabulary.groups.values():
        if group.about in ABOUT:
            members = ", ".join(one.label for one in vocabulary.in_group(group.name))
            said = f"{group.question} True states each of these as absent: {members}."
            yield group.name, Concept(f"{_capital(group.name.replace('_', ' '))}: checked, none", said, "boolean")


def _finding_values(vocabulary: Vocabulary) -> Iterable[tuple[str, Concept]]:
    for one in _statable(vocabulary):
        if one.name not in LIST_OF:
            for code, _, words in _values(one):
                yield code, Concept(f"{_capital(one.label)}: {words}", one.question)


def _plain(name: str, description: str, words: Mapping[str, str]) -> CodeList:
    return CodeList(name, description, {code: Concept(_capital(said)) for code, said in words.items()})


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
