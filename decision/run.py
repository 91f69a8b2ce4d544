"""What the decisions found for one lesion: the outcome of every rule, the range of every ladder, what was known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from decision.evaluator import Found, chosen
from decision.rule import Rule
from decision.vocabulary import Value

__all__ = ["Hits", "LadderRange", "Run"]


class Hits:
    """The rules of one decision in one case: which hold and which are unknown, a bit for each; all others fail."""

    __slots__ = ("_held", "_opened", "holding", "rules", "unknown")

    def __init__(self, rules: Sequence[Rule], holding: int, unknown: int) -> None:
        """Keep what was found of some rules."""
        self.rules = rules
        self.holding = holding
        self.unknown = unknown
        self._held: list[Rule] | None = None
        self._opened: list[Rule] | None = None

    @property
    def held(self) -> list[Rule]:
        """The rules that hold, in the order of the folder."""
        if self._held is None:
            self._held = chosen(self.holding, self.rules)
        return self._held

    @property
    def opened(self) -> list[Rule]:
        """The rules that are unknown, in the order of the folder."""
        if self._opened is None:
            self._opened = chosen(self.unknown, self.rules)
        return self._opened

    @property
    def failed(self) -> list[Rule]:
        """The rules that fail, in the order of the folder."""
        live = self.holding | self.unknown
        return [rule for place, rule in enumerate(self.rules) if not live >> place & 1]

    @property
    def outcomes(self) -> list[int]:
        """The outcome of every rule, in the order of the folder, as whole numbers of `Outcome`."""
        return Found(self.holding, self.unknown).outcomes(len(self.rules))


class LadderRange(NamedTuple):
    """What a ladder answers at least, what it could become, and what stands as its answer now."""

    at_least: str | None
    could_become: str | None
    answer: str | None

    @property
    def settled(self) -> bool:
        """Whether nothing that is open could make the answer more cautious."""
        return self.at_least is not None and self.at_least == self.could_become


class Run(NamedTuple):
    """Everything that the decisions found for one lesion."""

    known: dict[str, Value]
    presumed: tuple[str, ...]
    hits: Mapping[str, Hits]
    ranges: Mapping[str, LadderRange]
    stated_known: dict[str, Value]
    stated_hits: Mapping[str, Hits] = MappingProxyType({})
    stated_ranges: Mapping[str, LadderRange] = MappingProxyType({})
