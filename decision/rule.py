"""A rule: tests that must be met, exceptions, a conclusion, its reason and its evidence.

One rule, one file; the path is its id. The fields are those of the standards: purpose, explanation, author,
specialist, validation and revisions from Arden, certainty and strength from GRADE. A file is read and
checked by rule_file.py; what the rules say together by rule_folder.py.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from decision.recommendation import Evidence as EvidenceTold
from decision.strict_yaml import Document
from decision.unary_test import UnaryTest

__all__ = ["NO_SOURCE", "Evidence", "Example", "Rule"]

NO_SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a rule rests on, and what that does not show.

    `species_direct` is its author's word that what it says was measured in animals; `measured_in` are the species in
    which its sources measured, none where it was not.
    """

    certainty: str
    strength: str
    citations: tuple[str, ...]
    species_direct: bool
    cryogen_direct: bool
    limits: str
    measured_in: tuple[str, ...] = ()

    def direct_for(self, species: object) -> bool:
        """Whether it was measured in the species of a patient; not while that is not stated."""
        return species in self.measured_in

    def as_data(self) -> EvidenceTold:
        """The same of the rule by itself, without a patient."""
        return self.told(direct=bool(self.measured_in))

    def told(self, *, direct: bool) -> EvidenceTold:
        """The same, as an answer tells it.

        Args:
            direct: Whether it was measured in the species of the patient.
        """
        return {
            "certainty": self.certainty,
            "strength": self.strength,
            "citations": list(self.citations),
            "species_direct": direct,
            "measured_in": list(self.measured_in),
            "cryogen_direct": self.cryogen_direct,
            "limits": self.limits,
        }


@dataclass(frozen=True, slots=True)
class Example:
    """A worked case of one rule: what is known, and what the rule then does."""

    title: str
    case: Mapping[str, Any]
    outcome: str


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of the rule book. `document` is the file it stands in, for digests, faults and the reader's page.

    `id` is the path that names it, decision/name; `tests` are those of `when`, then those of `unless`.
    """

    decision: str
    name: str
    title: str
    purpose: str
    explanation: str
    when: tuple[UnaryTest, ...]
    unless: tuple[UnaryTest, ...]
    conclude: Mapping[str, Any]
    topics: tuple[str, ...]
    evidence: Evidence
    examples: tuple[Example, ...]
    document: Document
    id: str = field(init=False, repr=False, compare=False)
    tests: tuple[UnaryTest, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Put together once what every request asks for."""
        object.__setattr__(self, "id", f"{self.decision}/{self.name}")
        object.__setattr__(self, "tests", self.when + self.unless)

    @property
    def written(self) -> Mapping[str, Any]:
        """The whole file as data."""
        return self.document.data  # type: ignore[no-any-return]
