"""A ladder: which rules bring which of its answers, and which answer is the most cautious one that some rules bring.

An answer comes from the ladder's own rules, or from a statement of another decision that raises it. Which rules bring
an answer is kept as the bits that evaluator.py gives rules, so that no rule needs to be looked at to find a range.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

from decision.decision_node import DecisionNode
from decision.evaluator import Outcome, chosen, places
from decision.rule import Rule
from decision.run import Hits

__all__ = ["Ladder", "ladder_of"]

HOLDS, UNKNOWN = int(Outcome.HOLDS), int(Outcome.UNKNOWN)

# The rules of one decision that bring answers: by its place in the decision, the answer and the rule.
Bringing = Mapping[int, tuple[str, Rule]]


class Ladder:
    """The rules behind the answers of one ladder."""

    def __init__(self, node: DecisionNode, sources: Sequence[tuple[str, Bringing]]) -> None:
        """Keep which rules bring what.

        Args:
            node: The ladder.
            sources: The decisions whose rules bring its answers, with those rules.
        """
        self.node = node
        self._sources = sources
        self._answers = (None, *node.answers)
        self._brought = {rule.id: answer for _, rules in sources for answer, rule in rules.values()}
        ranks = range(len(node.answers))
        by_rank = [
            [(name, sum(1 << place for place, (answer, _) in rules.items() if node.rank(answer) == rank))
             for name, rules in sources]
            for rank in ranks
        ]  # fmt: skip
        self._from_the_top = [(rank, name, bits) for rank in reversed(ranks) for name, bits in by_rank[rank] if bits]
        self._above = [
            [(name, sum(by_rank[higher][i][1] for higher in ranks if higher > rank), rules)
             for i, (name, rules) in enumerate(sources)]
            for rank in range(-1, len(ranks))
        ]  # fmt: skip
        self._own = sum(bits for one in by_rank for name, bits in one if name == node.name)
        self._stands_from = node.rank(node.stands_unsettled_from or None)

    def answer(self, rank: int) -> str | None:
        """The answer of a rank; none of -1."""
        return self._answers[rank + 1]

    def brought_by(self, rule: Rule) -> str:
        """The answer that one of the ladder's rules brings."""
        return self._brought[rule.id]

    def highest(self, bits: Mapping[str, int]) -> int:
        """The rank of the most cautious answer that some rules bring: -1 where they bring none.

        A statement raises a permission that a rule of the ladder gives; by itself it never gives one.

        Args:
            bits: By decision, the rules that count.
        """
        for rank, name, bringing in self._from_the_top:
            if bits.get(name, 0) & bringing:
                alone = rank < self._stands_from and not bits.get(self.node.name, 0) & self._own
                return -1 if alone else rank
        return -1

    def holding(self, hits: Mapping[str, Hits]) -> list[Rule]:
        """The rules that hold and bring an answer, the most cautious first."""
        found = []
        for _, name, bringing in self._from_the_top:
            if name in hits and (bits := hits[name].holding & bringing):
                found += chosen(bits, hits[name].rules)
        return found

    def open_above(
        self, rank: int, hits: Mapping[str, Hits], *, but: Mapping[str, Hits] = MappingProxyType({})
    ) -> Iterator[tuple[str, Rule]]:
        """The open rules that could bring an answer above a rank, with that answer.

        Args:
            rank: Of an answer; see `DecisionNode.rank`.
            hits: In which they are open.
            but: In which they must not hold.
        """
        for name, bringing, rules in self._above[rank + 1]:
            if name in hits and (bits := hits[name].unknown & bringing):
                if name in but:
                    bits &= ~but[name].holding
                yield from chosen(bits, rules)

    def entries(self) -> Iterator[tuple[str, Rule]]:
        """Each answer that a rule can bring, with the rule."""
        for _, rules in self._sources:
            yield from rules.values()

    def rated(self, hits: Mapping[str, Hits]) -> Iterator[tuple[str, Rule, int]]:
        """Each answer that a rule brings or could bring, with the rule and its outcome."""
        for name, rules in self._sources:
            if name in hits:
                holding = hits[name].holding
                for place in places(holding | hits[name].unknown):
                    if place in rules:
                        yield *rules[place], HOLDS if holding >> place & 1 else UNKNOWN


def ladder_of(node: DecisionNode, nodes: Iterable[DecisionNode], rules: Mapping[str, Sequence[Rule]]) -> Ladder:
    """Find where the answers of a ladder come from: statements that raise it, then its own rules."""
    sources = []
    for other in nodes:
        keys = [key for key, one in other.fields.items() if one["answer_of"] == node.name]
        keys += [node.concludes] if other is node else []
        sources += [(other.name, _bringing(rules[other.name], key)) for key in keys]
    return Ladder(node, sources)


def _bringing(rules: Sequence[Rule], key: str) -> Bringing:
    return {place: (rule.conclude[key], rule) for place, rule in enumerate(rules) if key in rule.conclude}
