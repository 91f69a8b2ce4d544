"""What the networks of all decisions are told of a case: every fact that could be stated is prepared at load.

A fact is looked up once, and put down for each network that some test of its could be met by. Numbers are written
when they come, and some are kept.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence

from decision.library_text import FactWriter
from decision.matcher import Matcher, Told
from decision.vocabulary import Input, Value

__all__ = ["FactTable"]

MOST_NUMBERS = 4096  # kept as they are written: patients are measured in few steps


class FactTable:
    """Facts as the networks of some matchers are told them."""

    def __init__(self, matchers: Sequence[Matcher], inputs: Mapping[str, Input]) -> None:
        """Write every code and truth value beforehand.

        Args:
            matchers: The matchers; their networks are numbered through.
            inputs: The inputs that they ask about.
        """
        self._matchers = matchers
        self._networks = max((one.first + one.networks for one in matchers), default=0)
        self._writer = FactWriter((test for one in matchers for test in one.tests), inputs)
        self._number = functools.lru_cache(MOST_NUMBERS, typed=True)(self._prepared)
        self._facts = {
            name: {value: self._prepared(name, value) for value in one.values} for name, one in inputs.items()
        }

    def told(self, facts: Mapping[str, Value]) -> Told:
        """What the networks are told where this is known."""
        told = Told([[] for _ in range(self._networks)], 0)
        self.tell(told, facts)
        return told

    def tell(self, told: Told, facts: Mapping[str, Value]) -> None:
        """Tell the networks more."""
        prepared, texts = self._facts, told.texts
        for name, value in facts.items():
            fact = prepared[name].get(value) if name in prepared else None
            if fact is None:
                fact = self._number(name, value)
            text, networks, needing = fact
            if networks:
                told.needed |= needing
                for place in networks:
                    texts[place].append(text)

    def _prepared(self, name: str, value: Value) -> tuple[str, tuple[int, ...], int]:
        """A fact as text, the networks that hear it, and a bit for each that needs it."""
        text = self._writer.text(name, value)
        if text is None:
            return "", (), 0
        heard = [one.hears(name, text) for one in self._matchers]
        return text, tuple(place for places, _ in heard for place in places), sum([needing for _, needing in heard])
