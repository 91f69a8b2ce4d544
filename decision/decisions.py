"""Run the decisions in the order of their requirements, and reach a range and an answer for each ladder.

Every decision is matched by two means (matcher.py and evaluator.py); when they do not name the same rules, no answer
is given. A ladder's range runs from the most cautious answer that holds to the most cautious one that still could.
What stands on the shelf never widens it: a rule that waits only for equipment or operator is left out of the range.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from decision.case import Facts
from decision.decision_node import DecisionNode
from decision.errors import MatcherFault
from decision.evaluator import Evaluator, Found, places
from decision.fact_table import FactTable
from decision.ladder import ladder_of
from decision.matcher import Matcher, Told
from decision.rule import Rule
from decision.rule_folder import RuleFolder, all_inputs, readable_inputs
from decision.run import Hits, LadderRange, Run
from decision.unary_test import met
from decision.vocabulary import Input, Value

__all__ = ["Decisions", "Hits", "LadderRange", "Run", "unknown_inputs"]


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
        self.compiled: list[_Compiled] = []
        first = networks = 0
        for node in (node for node in folder.decisions if node.name in names):
            rules = folder.rules[node.name]
            matcher = Matcher(node.name, rules, readable_inputs(node, folder.vocabulary, nodes), networks)
            networks += matcher.networks
            every, given = (1 << len(rules)) - 1, tuple(node.given.items())
            self.compiled.append(_Compiled(node, given, rules, matcher, first, every, self._reading_shelf(rules)))
            first += len(rules)
        self.evaluator = Evaluator([rule for one in self.compiled for rule in one.rules])
        self.ladders = {
            node.name: ladder_of(node, folder.decisions, folder.rules) for node in folder.decisions if node.answers
        }
        top = next((one.node for one in self.compiled if one.node.hit_policy == "priority"), None)
        self._also_unpresumed = () if top is None else (*top.requires, top.name)
        self._decided = tuple(name for name in self.evaluator.inputs if self.inputs[name].about == "decision")
        self._stated = self.evaluator.inputs - set(self._decided)
        self._facts = FactTable([one.matcher for one in self.compiled], self.inputs)

    def run(self, facts: Facts) -> Run:
        """Run every decision that applies.

        Raises:
            MatcherFault: The two means of matching differ, or the library failed.
        """
        given, stated = self._passes(facts)
        for one in self.compiled:
            both = stated is not given and one.node.name in self._also_unpresumed
            passes = [each for each in ([given, stated] if both else [given]) if each.asks(one)]
            if passes:
                self._ask(one, passes)
        return Run(given.known, facts.presumed, given.hits, given.ranges, stated.known, stated.hits, stated.ranges)

    def close(self) -> None:
        """Give the memory of the matcher back."""
        for one in self.compiled:
            one.matcher.close()

    def _passes(self, facts: Facts) -> tuple[_Pass, _Pass]:
        """The pass with the presumptions, and the one without: the same one where nothing was presumed."""
        untold = self._untold(facts.known)
        if not facts.presumed:
            given = self._pass_of(facts.known, untold)
            return given, given
        without = facts.without_presumptions
        more = _added(facts.known, without)
        if more is None:
            return self._pass_of(facts.known, untold), self._pass_of(without, self._untold(without))
        stated = self._pass_of(without, untold | self.evaluator.untold(self._stated & more.keys()))
        given = _Pass(stated.known.copy(), stated.told.copy(), stated.mark, untold)
        self._learn(given, more)
        return given, stated

    def _pass_of(self, facts: Mapping[str, Value], untold: int) -> _Pass:
        return _Pass(dict(facts), self._facts.told(facts), self.evaluator.told(facts), untold)

    def _untold(self, facts: Mapping[str, Value]) -> int:
        return self.evaluator.untold(self._stated - facts.keys())

    def _ask(self, one: _Compiled, passes: Sequence[_Pass]) -> None:
        """Ask one decision in each of some passes, and let later decisions know what came of it."""
        node = one.node
        matched = one.matcher.holding_each([each.told for each in passes])
        for each, held in zip(passes, matched, strict=True):
            hits = each.hits[node.name] = self._agreed(one, each, held)
            if node.hit_policy == "priority":
                found = each.ranges[node.name] = self._range(node, each)
                if found.answer is not None:
                    self._learn(each, {node.name: found.answer})
            elif node.hit_policy == "unique":
                self._learn(each, _numbers(node, hits))

    def _agreed(self, one: _Compiled, each: _Pass, matched: int) -> Hits:
        """What both means say; no answer is given where they differ."""
        found = each.found
        if found is None:
            undecided = [name for name in self._decided if name not in each.known]
            found = each.found = self.evaluator.found(each.mark, each.untold | self.evaluator.untold(undecided))
        holding = found.holding >> one.first & one.every
        if holding != matched:
            one.matcher.reset()
            raise MatcherFault(f"the two means of matching differ in {one.node.name}.")
        return Hits(one.rules, holding, found.unknown >> one.first & one.every)

    def _learn(self, one: _Pass, facts: Mapping[str, Value]) -> None:
        """Let both means know more; what was known beforehand stands, as the method of a freeze under review does."""
        more = {name: value for name, value in facts.items() if name not in one.known}
        one.known.update(more)
        self._facts.tell(one.told, more)
        one.mark |= self.evaluator.told(more)
        one.found = None

    def _range(self, node: DecisionNode, each: _Pass) -> LadderRange:
        ladder = self.ladders[node.name]
        holding = {name: hits.holding for name, hits in each.hits.items()}
        possible = {
            one.node.name: hits.holding | hits.unknown & ~self._waiting(one, hits, each.known)
            for one in self.compiled
            if (hits := each.hits.get(one.node.name))
        }
        at_least, could_become = ladder.highest(holding), ladder.highest(possible)
        stands = node.stands_unsettled_from
        settled = at_least == could_become or (stands and at_least >= node.rank(stands))
        return LadderRange(
            at_least=ladder.answer(at_least),
            could_become=ladder.answer(could_become),
            answer=ladder.answer(at_least) if settled else None,
        )

    def _reading_shelf(self, rules: Sequence[Rule]) -> int:
        """The rules that ask about something on the shelf."""
        return sum(1 << i for i, rule in enumerate(rules) if any(test.input in self._shelf for test in rule.tests))

    def _waiting(self, one: _Compiled, hits: Hits, known: Mapping[str, Value]) -> int:
        """The open rules that nothing learnt of the animal could make hold before the shelf is known."""
        reading = hits.unknown & one.reading_shelf
        return sum(1 << place for place in places(reading) if self._waits_for_shelf(one.rules[place], known))

    def _waits_for_shelf(self, rule: Rule, known: Mapping[str, Value]) -> bool:
        if any(self._lacks_shelf(test.input, known) for test in rule.when):
            return True
        wanted = {test.input for test in rule.when}
        excepting = [name for name in unknown_inputs(rule, known) if name not in wanted]
        return bool(excepting) and all(self._lacks_shelf(name, known) for name in excepting)

    def _lacks_shelf(self, name: str, known: Mapping[str, Value]) -> bool:
        """Whether an input is unknown for want of something on the shelf."""
        return name not in known and any(root not in known for root in self._shelf.get(name, ()))


@dataclass(slots=True)
class _Compiled:
    """One decision: when it is asked, its rules, and where they stand among all rules in the evaluator.

    `every` has a bit for each rule, `reading_shelf` for each that asks about something on the shelf.
    """

    node: DecisionNode
    given: tuple[tuple[str, tuple[str, ...]], ...]
    rules: Sequence[Rule]
    matcher: Matcher
    first: int
    every: int
    reading_shelf: int


class _Pass:
    """One pass over a case, with its presumptions or without: what is known so far, and what was found.

    `told` is what the matchers are told of it; `mark` and `untold` are the marks that the evaluator gives what is known
    and what was not stated; `found` is what comes of them, until a decision adds to what is known.
    """

    __slots__ = ("found", "hits", "known", "mark", "ranges", "told", "untold")

    def __init__(self, known: dict[str, Value], told: Told, mark: int, untold: int) -> None:
        self.known, self.told, self.mark, self.untold = known, told, mark, untold
        self.found: Found | None = None
        self.hits: dict[str, Hits] = {}
        self.ranges: dict[str, LadderRange] = {}

    def asks(self, one: _Compiled) -> bool:
        """Whether a decision is taken at all, by what was decided before."""
        return not one.given or all(self.known.get(name) in codes for name, codes in one.given)


def _added(known: Mapping[str, Value], without: Mapping[str, Value]) -> dict[str, Value] | None:
    """What is known beyond what is known without presumptions; None where these changed more than that."""
    more = {}
    for name, value in known.items():
        if name not in without:
            more[name] = value
        elif without[name] != value:
            return None
    return more if len(more) + len(without) == len(known) else None


def _numbers(node: DecisionNode, hits: Hits) -> dict[str, Value]:
    """The plain numbers that the rules of a plan settle, as later decisions read them."""
    names = node.as_inputs()
    found: dict[str, Value] = {}
    for rule in hits.held:
        found.update({name: float(value) for name, value in rule.conclude.items() if name in names})
    return found


def unknown_inputs(rule: Rule, known: Mapping[str, Value]) -> list[str]:
    """The inputs that keep an open rule open, in the order of its tests."""
    names = [test.input for test in rule.when if test.input not in known]
    if not rule.unless:
        return names
    excepted = any(test.input in known and not met(test, known[test.input]) for test in rule.unless)
    if not excepted:
        names += [test.input for test in rule.unless if test.input not in known]
    return names
