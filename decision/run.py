"""What the decisions found for one lesion: the outcome of every rule, the range of every ladder, what was known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from decision.evaluator import Outcome
from decision.rule import Rule
from decision.vocabulary import Value

__all__ = ["Hits", "LadderRange", "Run"]


@dataclass(frozen=True, slots=True)
class Hits:
    """The rules of one decision in one case, with their outcomes.

    `live` are the places of those that hold or are unknown: few, for most rules fail in most cases.
    """

    rules: Sequence[Rule]
    outcomes: Sequence[int]
    live: Sequence[int]

    def having(self, outcome: Outcome) -> list[Rule]:
        """The rules with this outcome, in the order of the folder."""
        places = self.live if outcome else range(len(self.rules))
        return [self.rules[place] for place in places if self.outcomes[place] == outcome]


@dataclass(frozen=True, slots=True)
class LadderRange:
    """What a ladder answers at least, what it could become, and what stands as its answer now."""

    at_least: str | None
    could_become: str | None
    answer: str | None

    @property
    def settled(self) -> bool:
        """Whether nothing that is open could make the answer more cautious."""
        return self.at_least is not None and self.at_least == self.could_become


@dataclass(frozen=True, slots=True)
class Run:
    """Everything that the decisions found for one lesion."""

    known: Mapping[str, Value]
    presumed: tuple[str, ...]
    hits: Mapping[str, Hits]
    ranges: Mapping[str, LadderRange]
    stated_known: Mapping[str, Value]
    stated_hits: Mapping[str, Hits] = field(default_factory=dict)
    stated_ranges: Mapping[str, LadderRange] = field(default_factory=dict)
