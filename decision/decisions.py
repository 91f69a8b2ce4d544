"""Run the decisions in the order of their requirements, and reach a range and an answer for each ladder.

Every decision is matched by two means (matcher.py and evaluator.py); when they do not name the same rules, no answer
is given. A ladder's range runs from the most cautious answer that holds to the most cautious one that still could.
What stands on the shelf never widens it: a rule that waits only for equipment or operator is left out of the range.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from decision.case import Facts
from decision.decision_node import DecisionNode
from decision.errors import MatcherFault
from decision.evaluator import Outcome, compile_rules
from decision.matcher import Matcher, fact_fragments
from decision.rule import Rule
from decision.rule_folder import RuleFolder, all_inputs, readable_inputs
from decision.unary_test import met
from decision.vocabulary import Input, Value

__all__ = ["Decisions", "Hits", "LadderRange", "Run", "unknown_inputs"]

HOLDS, UNKNOWN = int(Outcome.HOLDS), int(Outcome.UNKNOWN)


@dataclass(frozen=True, slots=True)
class Hits:
    """The rules of one decision in one case, with their outcomes."""

    rules: Sequence[Rule]
    outcomes: Sequence[int]

    def having(self, outcome: Outcome) -> list[Rule]:
        """The rules with this outcome, in the order of the folder."""
        wanted = int(outcome)
        return [rule for rule, found in zip(self.rules, self.outcomes, strict=True) if found == wanted]


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


class Decisions:
    """The compiled decisions of a rule folder."""

    def __init__(self, folder: RuleFolder, names: Sequence[str]) -> None:
        """Compile decisions for both means of matching.

        Args:
            folder: The rule folder.
            names: The decisions to run; those they require and that are not among them must be known beforehand.
        """
        nodes = {node.name: node for node in folder.decisions}
        self.inputs: dict[str, Input] = all_inputs(folder)
        self._shelf = {
            name: roots for name, one in self.inputs.items() if (roots := folder.vocabulary.on_the_shelf(one))
        }
        self.compiled = [
            _Compiled(node, folder.rules[node.name], readable_inputs(node, folder.vocabulary, nodes))
            for node in folder.decisions
            if node.name in names
        ]
        self._reading_shelf = {
            rule.id
            for one in self.compiled
            for rule in one.rules
            if any(test.input in self._shelf for test in rule.tests)
        }
        self._raising = {
            name: [(source, _concluding(folder.rules[source], key)) for source, key in _raising_fields(name, nodes)]
            for name in nodes
        }
        first = next((one.node for one in self.compiled if one.node.hit_policy == "priority"), None)
        self._before_presuming = [] if first is None else [*first.requires, first.name]

    def run(self, facts: Facts) -> Run:
        """Run every decision that applies.

        Raises:
            MatcherFault: The two means of matching differ, or the library failed.
        """
        known, hits, ranges = self._pass(facts.known, self.compiled)
        if not facts.presumed:
            return Run(known, (), hits, ranges, known, hits, ranges)
        first = [one for one in self.compiled if one.node.name in self._before_presuming]
        stated_known, stated_hits, stated_ranges = self._pass(facts.without_presumptions, first)
        return Run(known, facts.presumed, hits, ranges, stated_known, stated_hits, stated_ranges)

    def close(self) -> None:
        """Give the memory of the matcher back."""
        for one in self.compiled:
            one.matcher.close()

    def rated(self, name: str, hits: Mapping[str, Hits]) -> Iterable[tuple[str, Rule, int]]:
        """Each answer that a rule of a ladder, or a statement that raises it, brings or could bring."""
        for source, entries in self._raising[name]:
            if source in hits:
                outcomes = hits[source].outcomes
                for place, answer, rule in entries:
                    if outcomes[place]:  # most rules fail in most cases
                        yield answer, rule, outcomes[place]

    def _pass(
        self, facts: Mapping[str, Value], compiled: Sequence[_Compiled]
    ) -> tuple[dict[str, Value], dict[str, Hits], dict[str, LadderRange]]:
        known = dict(facts)
        fragments = fact_fragments(known)
        hits: dict[str, Hits] = {}
        ranges: dict[str, LadderRange] = {}
        for one in compiled:
            node = one.node
            if any(known.get(name) not in codes for name, codes in node.given.items()):
                continue
            hits[node.name] = one.hits(known, fragments)
            if node.hit_policy == "priority":
                found = self._range(node, hits, known)
                ranges[node.name] = found
                if found.answer is not None:
                    known[node.name] = found.answer
                    fragments.update(fact_fragments({node.name: found.answer}))
            elif node.hit_policy == "unique":
                found_numbers = _numbers(node, hits[node.name])
                known.update(found_numbers)
                fragments.update(fact_fragments(found_numbers))
        return known, hits, ranges

    def _range(self, node: DecisionNode, hits: Mapping[str, Hits], known: Mapping[str, Value]) -> LadderRange:
        holding, possible, stands = [], [], node.stands_unsettled_from
        for answer, rule, outcome in self.rated(node.name, hits):
            hit = (node.rank(answer), rule.decision == node.name)
            if outcome == HOLDS:
                holding.append(hit)
                possible.append(hit)
            elif outcome == UNKNOWN and not self._waits_for_shelf(rule, known):
                possible.append(hit)
        at_least, could_become = _highest(holding, node), _highest(possible, node)
        answers = [None, *node.answers]
        settled = at_least == could_become or (stands and at_least >= node.rank(stands))
        return LadderRange(
            at_least=answers[at_least + 1],
            could_become=answers[could_become + 1],
            answer=answers[at_least + 1] if settled else None,
        )

    def _waits_for_shelf(self, rule: Rule, known: Mapping[str, Value]) -> bool:
        """Whether nothing learnt of the animal could make an open rule hold before the shelf is known."""
        if rule.id not in self._reading_shelf:
            return False
        if any(self._lacks_shelf(test.input, known) for test in rule.when):
            return True
        wanted = {test.input for test in rule.when}
        excepting = [name for name in unknown_inputs(rule, known) if name not in wanted]
        return bool(excepting) and all(self._lacks_shelf(name, known) for name in excepting)

    def _lacks_shelf(self, name: str, known: Mapping[str, Value]) -> bool:
        """Whether an input is unknown for want of something on the shelf."""
        return name not in known and any(root not in known for root in self._shelf.get(name, ()))


class _Compiled:
    """One decision, ready for both means."""

    def __init__(self, node: DecisionNode, rules: Sequence[Rule], inputs: Mapping[str, Input]) -> None:
        self.node = node
        self.rules = rules
        self.evaluate = compile_rules(rules)
        self.matcher = Matcher(node.name, rules, inputs)

    def hits(self, known: Mapping[str, Value], fragments: Mapping[str, str]) -> Hits:
        outcomes = self.evaluate(known)
        holding = self.matcher.holding(fragments)
        if len(holding) != outcomes.count(HOLDS) or any(outcomes[place] != HOLDS for place in holding):
            self.matcher.reset()
            raise MatcherFault(f"the two means of matching differ in {self.node.name}.")
        return Hits(self.rules, outcomes)


def _numbers(node: DecisionNode, hits: Hits) -> dict[str, Value]:
    """The plain numbers that the rules of a plan settle, as later decisions read them."""
    names = node.as_inputs()
    found: dict[str, Value] = {}
    for rule in hits.having(Outcome.HOLDS):
        found.update({name: float(value) for name, value in rule.conclude.items() if name in names})
    return found


def _highest(hits: Sequence[tuple[int, bool]], node: DecisionNode) -> int:
    """The most cautious of these answers, each with whether a rule of the ladder itself brings it.

    A statement raises a permission that a rule of the ladder gives; by itself it never gives one.
    """
    highest = max((rank for rank, _ in hits), default=-1)
    stands = node.stands_unsettled_from
    if stands and highest < node.rank(stands) and not any(own for _, own in hits):
        return -1
    return highest


def unknown_inputs(rule: Rule, known: Mapping[str, Value]) -> list[str]:
    """The inputs that keep an open rule open, in the order of its tests."""
    names = [test.input for test in rule.when if test.input not in known]
    excepted = any(test.input in known and not met(test, known[test.input]) for test in rule.unless)
    if not excepted:
        names += [test.input for test in rule.unless if test.input not in known]
    return names


def _concluding(rules: Sequence[Rule], key: str) -> list[tuple[int, str, Rule]]:
    """The rules that conclude something under a key, each with its place and its answer."""
    return [(place, rule.conclude[key], rule) for place, rule in enumerate(rules) if key in rule.conclude]


def _raising_fields(name: str, nodes: Mapping[str, DecisionNode]) -> Iterable[tuple[str, str]]:
    """Where the answers of a ladder come from: statements that raise it, then its own rules."""
    for node in nodes.values():
        for key, one in node.fields.items():
            if one["answer_of"] == name:
                yield node.name, key
        if node.name == name:
            yield name, node.concludes
