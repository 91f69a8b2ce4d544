"""Run the decisions in the order of their requirements, and reach a range and an answer for each ladder.

Every decision is matched by two means (matcher.py and evaluator.py); when they do not name the same rules, no answer
is given. A ladder's range runs from the most cautious answer that holds to the most cautious one that still could.
What stands on the shelf never widens it: a rule that waits only for equipment or operator is left out of the range.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import compress

from decision.case import Facts
from decision.decision_node import DecisionNode
from decision.errors import MatcherFault
from decision.evaluator import Outcome, compile_rules
from decision.library_text import FactWriter
from decision.matcher import Matcher
from decision.rule import Rule
from decision.rule_folder import RuleFolder, all_inputs, readable_inputs
from decision.run import Hits, LadderRange, Run
from decision.unary_test import met
from decision.vocabulary import Input, Value

__all__ = ["Decisions", "Hits", "LadderRange", "Run", "unknown_inputs"]

HOLDS, UNKNOWN = int(Outcome.HOLDS), int(Outcome.UNKNOWN)


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
        self._also_unpresumed = [] if first is None else [*first.requires, first.name]
        self._writer = FactWriter((test for one in self.compiled for test in one.matcher.tests), self.inputs)

    def run(self, facts: Facts) -> Run:
        """Run every decision that applies.

        Raises:
            MatcherFault: The two means of matching differ, or the library failed.
        """
        given = _Pass(facts.known, self._writer)
        stated = _Pass(facts.without_presumptions, self._writer) if facts.presumed else given
        for one in self.compiled:
            both = stated is not given and one.node.name in self._also_unpresumed
            passes = [each for each in ([given, stated] if both else [given]) if each.asks(one.node)]
            if passes:
                self._ask(one, passes)
        return Run(given.known, facts.presumed, given.hits, given.ranges, stated.known, stated.hits, stated.ranges)

    def close(self) -> None:
        """Give the memory of the matcher back."""
        for one in self.compiled:
            one.matcher.close()

    def rated(self, name: str, hits: Mapping[str, Hits]) -> Iterable[tuple[str, Rule, int]]:
        """Each answer that a rule of a ladder, or a statement that raises it, brings or could bring."""
        for source, entries in self._raising[name]:
            if source in hits:
                found = hits[source]
                for place in found.live:
                    if place in entries:
                        yield *entries[place], found.outcomes[place]

    def _ask(self, one: _Compiled, passes: Sequence[_Pass]) -> None:
        """Ask one decision in each of some passes, and let later decisions know what came of it."""
        node = one.node
        for each, hits in zip(passes, one.hits(passes), strict=True):
            each.hits[node.name] = hits
            if node.hit_policy == "priority":
                found = each.ranges[node.name] = self._range(node, each.hits, each.known)
                if found.answer is not None:
                    each.learn({node.name: found.answer})
            elif node.hit_policy == "unique":
                each.learn(_numbers(node, hits))

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

    def hits(self, passes: Sequence[_Pass]) -> list[Hits]:
        matched = self.matcher.holding_each([each.fragments for each in passes])
        return [self._agreed(self.evaluate(each.known), held) for each, held in zip(passes, matched, strict=True)]

    def _agreed(self, outcomes: Sequence[int], matched: set[int]) -> Hits:
        """What both means say; no answer is given where they differ."""
        live = list(compress(range(len(outcomes)), outcomes))
        if matched != {place for place in live if outcomes[place] == HOLDS}:
            self.matcher.reset()
            raise MatcherFault(f"the two means of matching differ in {self.node.name}.")
        return Hits(self.rules, outcomes, live)


class _Pass:
    """One pass over a case, with its presumptions or without: what is known so far, and what was found."""

    def __init__(self, facts: Mapping[str, Value], writer: FactWriter) -> None:
        self._writer = writer
        self.known = dict(facts)
        self.fragments = writer.fragments(facts)
        self.hits: dict[str, Hits] = {}
        self.ranges: dict[str, LadderRange] = {}

    def asks(self, node: DecisionNode) -> bool:
        return not node.given or all(self.known.get(name) in codes for name, codes in node.given.items())

    def learn(self, found: Mapping[str, Value]) -> None:
        self.known.update(found)
        self.fragments.update(self._writer.fragments(found))


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
    if not hits:
        return -1
    highest, _ = max(hits)
    stands = node.stands_unsettled_from
    if stands and highest < node.rank(stands) and not any([own for _, own in hits]):
        return -1
    return highest


def unknown_inputs(rule: Rule, known: Mapping[str, Value]) -> list[str]:
    """The inputs that keep an open rule open, in the order of its tests."""
    names = [test.input for test in rule.when if test.input not in known]
    if not rule.unless:
        return names
    excepted = any(test.input in known and not met(test, known[test.input]) for test in rule.unless)
    if not excepted:
        names += [test.input for test in rule.unless if test.input not in known]
    return names


def _concluding(rules: Sequence[Rule], key: str) -> dict[int, tuple[str, Rule]]:
    """The rules that conclude something under a key: by its place, the answer and the rule."""
    return {place: (rule.conclude[key], rule) for place, rule in enumerate(rules) if key in rule.conclude}


def _raising_fields(name: str, nodes: Mapping[str, DecisionNode]) -> Iterable[tuple[str, str]]:
    """Where the answers of a ladder come from: statements that raise it, then its own rules."""
    for node in nodes.values():
        for key, one in node.fields.items():
            if one["answer_of"] == name:
                yield node.name, key
        if node.name == name:
            yield name, node.concludes
