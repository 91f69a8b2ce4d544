"""Run the decisions of one lesion by two rule books, asking no more than where the two can differ.

A rule that fails on what is known fails whatever else is learnt, and a rule that fails says nothing. So where every
rule that differs between the books fails, on what is stated, on the facts, or on what the first book then decides, both
books answer the same, and no more is asked. In every other case both run the ladder of the moment with what it
requires, and what else a rule that differs can reach. What is asked is asked by both means of matching, as in every
answer.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping, Sequence

from decision.case import Case, Facts
from decision.decision_node import DecisionNode
from decision.decisions import Decisions, Run
from decision.folder_form import keeping_order
from decision.folder_reading import CONTRADICTIONS
from decision.moments import known_beforehand
from decision.rule import Rule
from decision.rule_book import RuleBook
from decision.rule_folder import RuleFolder
from decision.vocabulary import Value

__all__ = ["TwinRuns"]


class TwinRuns:
    """Two rule books at one moment."""

    def __init__(self, before: RuleBook, after: RuleBook, moment: str) -> None:
        """Find what differs at this moment, and compile what must be asked."""
        folders = (before.folder, after.folder)
        nodes = [node for node in after.folder.decisions if moment in node.moments]
        self.ladder = next((node for node in nodes if _answers_for(node, moment)), None)
        same_table = before.freeze_table == after.freeze_table
        self.same_facts = same_table and _same_but_rules(*folders)
        differing = {node.name for node in nodes for pair in (folders, folders[::-1]) if _differing(*pair, node.name)}
        wanted = _reached(nodes, differing, self.ladder) if self.same_facts else None
        self.decisions = tuple(Decisions(folder, _names(folder, moment, wanted)) for folder in folders)
        self._books = (before, after)
        self._screens = tuple(_Screen(folder, other, differing) for folder, other in (folders, folders[::-1]))

    def runs(self, cases: Sequence[Case], place: int) -> tuple[Run, Run] | None:
        """Run one lesion of a case as both books have read it; None where both answer it the same.

        Raises:
            MatcherFault: The two means of matching differ.
        """
        stated = {**cases[0].stated, **cases[0].lesions[place].stated}
        if self.same_facts and not self._speaking(stated):
            return None
        facts = self._facts(cases, place)
        if self.same_facts and not self._speaking(facts[0].known):
            return None
        first = self.decisions[0].run(facts[0])
        if self.same_facts and self._speaking(first.known).isdisjoint(first.hits):
            return None
        return first, self.decisions[1].run(facts[1])

    def close(self) -> None:
        """Give the matcher's memory back."""
        for decisions in self.decisions:
            decisions.close()
        for screen in self._screens:
            screen.close()

    def _speaking(self, known: Mapping[str, Value]) -> set[str]:
        """The decisions in which some rule that differs does not fail on what is known."""
        return {name for screen in self._screens for name in screen.speaking(known)}

    def _facts(self, cases: Sequence[Case], place: int) -> tuple[Facts, Facts]:
        """What both books know of one lesion. What a presumption hides changes no verdict, so it is left out."""
        first = _known(cases[0], place, self._books[0])
        return first, first if self.same_facts else _known(cases[1], place, self._books[1])


def _known(case: Case, place: int, book: RuleBook) -> Facts:
    known = book.facts_of(case, case.lesions[place]).known
    known |= known_beforehand(case.moment, known)
    return Facts(known, known, ())


class _Screen:
    """The rules of one book that differ from those of another, each decision by itself, whether or not it is asked."""

    def __init__(self, folder: RuleFolder, other: RuleFolder, decisions: Iterable[str]) -> None:
        rules = {node.name: _differing(folder, other, node.name) for node in folder.decisions}
        nodes = tuple(dataclasses.replace(node, given={}) for node in folder.decisions)
        only = dataclasses.replace(folder, decisions=nodes, rules=rules)
        self._decisions = {name: Decisions(only, [name]) for name in decisions if rules.get(name)}
        self._read = {name: {test.input for rule in rules[name] for test in rule.tests} for name in self._decisions}

    def speaking(self, known: Mapping[str, Value]) -> Iterator[str]:
        for name, decisions in self._decisions.items():
            read = {one: known[one] for one in self._read[name] if one in known}
            if any(decisions.run(Facts(read, read, ())).hits[name].outcomes):
                yield name

    def close(self) -> None:
        for decisions in self._decisions.values():
            decisions.close()


def _answers_for(node: DecisionNode, moment: str) -> bool:
    """Whether a decision is the ladder that gives the answer at a moment."""
    return bool(node.answers) and node.moments[0] == moment and not node.given


def _same_but_rules(before: RuleFolder, after: RuleFolder) -> bool:
    """Whether two folders ask for the same facts and make the same decisions of them, rules aside."""
    return _beside_rules(before) == _beside_rules(after)


def _beside_rules(folder: RuleFolder) -> dict[str, object]:
    names = {"vocabulary.yaml", CONTRADICTIONS, *(f"{node.name}/decision.yaml" for node in folder.decisions)}
    return {name: data for name, data in keeping_order(folder.written).items() if name in names}


def _differing(folder: RuleFolder, other: RuleFolder, decision: str) -> tuple[Rule, ...]:
    """The rules of a decision that ask or say something else in the other folder, or are not there."""
    beside = {rule.id: _logic(rule) for rule in other.rules.get(decision, ())}
    return tuple(rule for rule in folder.rules.get(decision, ()) if beside.get(rule.id) != _logic(rule))


def _logic(rule: Rule) -> tuple[object, ...]:
    """What a rule asks and says; its words and its evidence change no answer."""
    return rule.when, rule.unless, rule.conclude


def _reached(nodes: Sequence[DecisionNode], differing: set[str], ladder: DecisionNode | None) -> set[str]:
    """The ladder of a moment, the decisions that differ or read what may differ, and everything that these require.

    What reads the ladder alone is left out: statements are compared only where its answer is the same.
    """
    reached: set[str] = set()
    read = {node.name for node in nodes if node.name in differing and node.as_inputs() and node is not ladder}
    for node in nodes:
        if node.name in differing or read & set(node.requires):
            reached.add(node.name)
            read |= {node.name} if node.as_inputs() and node is not ladder else set()
    reached |= {ladder.name} if ladder is not None else set()
    for node in reversed(nodes):
        reached |= set(node.requires) if node.name in reached else set()
    return reached


def _names(folder: RuleFolder, moment: str, wanted: set[str] | None) -> list[str]:
    """The decisions to run at a moment; all of them where no choice was made."""
    names = [node.name for node in folder.decisions if moment in node.moments]
    return [name for name in names if wanted is None or name in wanted]
