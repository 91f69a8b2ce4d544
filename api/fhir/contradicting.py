"""Take out of a record what contradicts something else in it, and tell it.

A case that states such facts would be refused. A record is not refused for them: neither is taken, and what they would
have settled is asked for. Only a fact that keeps a presumption away is left in, or what is in doubt would be presumed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from api.fhir.notes import Notes
from api.fhir.statements import Statements
from decision.case import stated_in
from decision.contradictions import Contradiction, Contradictions
from decision.vocabulary import Value, Vocabulary

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
        while found := contradictions.among(known := _stated(parts, vocabulary)):
            for name in _doubted(found[0], known, vocabulary):
                for stated, (statements, part) in _standing(name, parts, vocabulary):
                    _take_out(stated, part, vocabulary)
                    said = f"{vocabulary.inputs[name].label}: not taken. {found[0].says}"
                    notes.add(statements.place_of(stated), "facts_contradict", said)


def _doubted(one: Contradiction, known: Mapping[str, Value], vocabulary: Vocabulary) -> list[str]:
    """The facts to take out: all, but those without which something less cautious would be presumed of one of them."""
    inputs = [vocabulary.inputs[name] for name in one.inputs]
    proving = {name for each in inputs for name in each.presumed_unless}
    kept = {each.name for each in inputs if each.name in proving or each.presumed not in (None, known[each.name])}
    return [name for name in one.inputs if name not in kept] or list(one.inputs)


def _stated(parts: Sequence[Part], vocabulary: Vocabulary) -> dict[str, Any]:
    return {name: value for _, part in parts for name, value in stated_in(part, vocabulary).items()}


def _standing(name: str, parts: Sequence[Part], vocabulary: Vocabulary) -> list[tuple[str, Part]]:
    """Where a fact stands: under its own name, or under that of the check list that states it."""
    group = vocabulary.inputs[name].group
    own = [(name, one) for one in parts if name in one[1]]
    return own or [(group, one) for one in parts if group is not None and group in one[1].get("ruled_out", ())]


def _take_out(name: str, part: dict[str, Any], vocabulary: Vocabulary) -> None:
    """Take a fact out, or a check list; a list that was ticked beside a fact of it would state it as absent."""
    part.pop(name, None)
    about = vocabulary.inputs.get(name)
    ticked = [one for one in part.get("ruled_out", ()) if one not in (name, about and about.group)]
    if "ruled_out" in part:
        part["ruled_out"] = ticked
    if not ticked:
        part.pop("ruled_out", None)
