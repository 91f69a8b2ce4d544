"""Understand a CodeableConcept by its codes: ours, or those that a mapping file leads to ours. Text is never read."""

from __future__ import annotations

from dataclasses import dataclass

from api.code_lists import CANONICAL, CodeLists, Meaning
from api.fhir.elements import Element
from api.fhir.notes import Notes
from api.mapping import CodeMap
from decision.vocabulary import Value

__all__ = ["Concepts", "Understood"]

FINDING = "finding"  # the list of our codes that name an input, and state nothing by themselves


@dataclass(frozen=True, slots=True)
class Understood:
    """What a concept means here.

    Attributes:
        meanings: Codes of our lists.
        facts: What these state by themselves.
        hints: The inputs of which it may speak, by a code that says less than any of ours.
        unreadable: Whether it is not written as FHIR writes concepts.
        unknown_of_ours: Whether a code is said to be one of our lists, and is in none of them.
    """

    meanings: tuple[Meaning, ...]
    facts: tuple[tuple[str, Value], ...]
    hints: tuple[str, ...]
    unreadable: bool
    unknown_of_ours: bool

    def codes(self, name: str) -> list[str]:
        """Its codes of one of our lists."""
        return [one.code for one in self.meanings if one.list == name]


class Concepts:
    """Understands concepts by our code lists and one mapping."""

    def __init__(self, lists: CodeLists, code_map: CodeMap) -> None:
        """Keep the lists and the mapping."""
        self._lists = lists
        self._code_map = code_map

    def read(self, concept: Element, notes: Notes) -> Understood:
        """Understand a concept, or the concept in a CodeableReference (R5). What is not understood is noted."""
        concept = concept.at("concept") if concept.at("concept") else concept
        meanings: dict[Meaning, None] = {}
        unknown: list[Element] = []
        recognised = False
        for coding in (one for one in concept.each("coding") if isinstance(one.value, dict)):
            found = self._meanings(coding, notes)
            recognised = recognised or found is not None
            if found is None:
                unknown.append(coding)
            meanings.update(dict.fromkeys(found or ()))
        for coding in unknown:
            notes.add(coding, "additional_code" if recognised else "unknown_code")
        unreadable = not _as_fhir_writes_it(concept)
        if unreadable:
            notes.add(concept, "not_read")
        elif not concept.each("coding") and concept.text("text"):
            notes.add(concept, "text_only")
        facts = dict.fromkeys(fact for one in meanings if (fact := self._lists.fact(one)) is not None)
        ours = any(coding.text("system").startswith(CANONICAL) for coding in unknown)
        return Understood(tuple(meanings), tuple(facts), self._hints(concept), unreadable, ours)

    def _hints(self, concept: Element) -> tuple[str, ...]:
        vague = [
            one
            for coding in concept.each("coding")
            for one in self._code_map.too_broad.get((coding.text("system"), coding.text("code")), ())
        ]
        facts = [(one, self._lists.fact(one)) for one in vague]
        names = [fact[0] if fact is not None else one.code for one, fact in facts if fact or one.list == FINDING]
        return tuple(dict.fromkeys(names))

    def _meanings(self, coding: Element, notes: Notes) -> tuple[Meaning, ...] | None:
        """What one coding means; nothing for a code known to mean nothing here, None for one that is unknown."""
        key = (coding.text("system"), coding.text("code"))
        own = self._lists.meaning(*key)
        if own is not None:
            return (own,)
        if key in self._code_map.too_broad:
            notes.add(coding, "code_too_broad")
            return ()
        return self._code_map.means.get(key)


def _as_fhir_writes_it(concept: Element) -> bool:
    """Whether a concept, where there is one, is an object, and its codings are a list of objects."""
    if not concept:
        return True
    codings = concept.at("coding").value if isinstance(concept.value, dict) else "none"
    return codings is None or isinstance(codings, dict) or _all_objects(codings)


def _all_objects(listed: object) -> bool:
    return isinstance(listed, list) and all(isinstance(one, dict) for one in listed)
