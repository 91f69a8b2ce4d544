"""Take out of a record what contradicts something else in it: neither fact stands, and both are told.

A case that states them would be refused. A record is not refused for them: what they would have settled is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from api.fhir.notes import Notes
from api.fhir.statements import Statements
from decision.case import stated_in
from decision.contradictions import Contradiction, Contradictions
from decision.vocabulary import Vocabulary

__all__ = ["Part", "take_out_contradicting"]

Part = tuple[Statements, dict[str, Any]]  # what was stated, and the part of a case that came of it


def take_out_contradicting(
    patient: Part, lesions: Sequence[Part], contradictions: Contradictions, vocabulary: Vocabulary, notes: Notes
) -> None:
    """Take facts that cannot be together out of the parts of a case, and note each where it was stated.

    Args:
        patient: The patient; what a lesion of it contradicts is taken out for all lesions.
        lesions: Its lesions.
        contradictions: What cannot be together.
        vocabulary: The inputs.
        notes: Where it is told.
    """
    for lesion in lesions:
        parts = (patient, lesion)
        while found := contradictions.among(_stated(parts, vocabulary)):
            for one in found:
                for name, (statements, part) in list(_standing(one, parts, vocabulary)):
                    _take_out(name, part, vocabulary)
                    notes.add(statements.place_of(name), "facts_contradict", one.says)


def _stated(parts: Sequence[Part], vocabulary: Vocabulary) -> dict[str, Any]:
    return {name: value for _, part in parts for name, value in stated_in(part, vocabulary).items()}


def _standing(one: Contradiction, parts: Sequence[Part], vocabulary: Vocabulary) -> Iterator[tuple[str, Part]]:
    """The facts and check lists behind a contradiction, each with the part in which it still stands."""
    for name in one.inputs:
        group = vocabulary.inputs[name].group
        for statements, part in parts:
            if name in part:
                yield name, (statements, part)
            elif group is not None and group in part.get("ruled_out", ()):
                yield group, (statements, part)


def _take_out(name: str, part: dict[str, Any], vocabulary: Vocabulary) -> None:
    """Take a fact out, or a check list; a list that was ticked beside a fact of it would state it as absent."""
    part.pop(name, None)
    about = vocabulary.inputs.get(name)
    ticked = [one for one in part.get("ruled_out", ()) if one not in (name, about and about.group)]
    if "ruled_out" in part:
        part["ruled_out"] = ticked
    if not ticked:
        part.pop("ruled_out", None)
