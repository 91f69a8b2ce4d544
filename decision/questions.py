"""Say what to ask next, and what was presumed: facts that are not stated and could move an answer.

Nothing is decided here, and no case is tried again: everything is read off the open rules of a run.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from decision.decision_node import DecisionNode
from decision.decisions import Decisions, Run, unknown_inputs
from decision.evaluator import chosen
from decision.ladder import Ladder
from decision.recommendation import Presumed, Question, QuestionChange
from decision.rule import Rule
from decision.spoken import Spoken
from decision.vocabulary import Input, Value
from decision.written import Keep, as_data

__all__ = ["Asker"]


class Asker:
    """Finds the questions of a run, with what can be prepared once for a rule book."""

    def __init__(self, decisions: Decisions, spoken: Spoken, keep: Keep[Any] = as_data) -> None:
        """Prepare the words of every question, kept by `keep`, and which open rules make one."""
        self._spoken = spoken
        here = {one.node.name for one in decisions.compiled}
        ladders_first = sorted(decisions.compiled, key=lambda one: one.node.hit_policy != "priority")
        self._sources = [
            _Source.of(
                one.node,
                one.rules,
                decisions.ladders.get(one.node.name),
                borrowed=not here.issuperset(one.node.requires),
            )
            for one in ladders_first
        ]
        self._ladder = next((one.ladder for one in self._sources if one.ladder), None)
        inputs = decisions.inputs
        self._stated_behind = {name: _stated_behind(one) for name, one in inputs.items()}
        plain = [rule for one in decisions.compiled for rule in one.rules if not rule.unless]
        self._asked_by = {
            rule.id: [(test.input, self._stated_behind[test.input]) for test in rule.when] for rule in plain
        }
        self._heads = {name: _Head(place, one, keep) for place, (name, one) in enumerate(inputs.items())}
        read = {test.input for one in decisions.compiled for rule in one.rules for test in rule.tests}
        read |= {parent for name in read for parent in inputs[name].parents}
        self._presumptions = {name: _presumption(one) for name, one in inputs.items() if name in read}
        self._harmless = {name: keep(one) for name, one in self._presumptions.items()}

    def questions(self, run: Run) -> list[Question]:
        """What to ask next: each input not stated that an open rule reads, the most telling first.

        Questions that can move a ladder come before those of decisions that only collect; within a decision the
        order is by how cautious the answers are that the question could bring, and by how many rules wait for it.
        """
        found: dict[str, _Weighed] = {}
        for place, source in enumerate(self._sources):
            for answer, rule in self._open_rules(source, run):
                names = self._asked_for(rule, run.known)
                for name in names:
                    one = found.get(name)
                    if one is None:
                        one = found[name] = _Weighed(self._heads[name], place, source)
                    if one.source is source:
                        one.add(answer, rule, alone=len(names) == 1)
        return [one.question() for one in sorted(found.values(), key=lambda one: one.order)]

    def presumed(self, run: Run) -> list[Presumed]:
        """Each presumption with the answers it could bring if it is wrong."""
        listed = [name for name in run.presumed if name in self._presumptions]
        wrong = self._brought_if_wrong(run) if listed else {}
        return [self._told(name, run.known[name], wrong.get(name)) for name in listed]

    def _told(self, name: str, value: Value, wrong: list[str] | None) -> Presumed:
        """A presumption as it is told; of one that counts what is charted, with the value that was taken."""
        said = self._presumptions[name]
        told: Presumed = self._harmless[name]
        if wrong is not None or value != said["presumed"]:
            told = {**said, "presumed": value, "if_wrong": wrong or []}
        return told

    def _brought_if_wrong(self, run: Run) -> dict[str, list[str]]:
        """By presumption, the answers of rules that it closed, as far as they are more cautious than what holds."""
        ladder = self._ladder
        assert ladder is not None
        at_least = ladder.node.rank(run.ranges[ladder.node.name].at_least)
        found: dict[str, set[str]] = {}
        for answer, rule in ladder.open_above(at_least, run.stated_hits, but=run.hits):
            for name in self._asked_for(rule, run.stated_known):
                found.setdefault(name, set()).add(answer)
        return {name: sorted(answers, key=ladder.node.rank, reverse=True) for name, answers in found.items()}

    def _open_rules(self, source: _Source, run: Run) -> Iterable[tuple[str | None, Rule]]:
        """The open rules of a decision; for a ladder only those that could raise its answer."""
        node = source.node
        hits = run.hits.get(node.name)
        if hits is None:
            return ()
        if source.ladder is not None:
            return source.ladder.open_above(node.rank(run.ranges[node.name].at_least), run.hits)
        counted = source.counted & ~self._spoken.unasked(run, node.name)
        return [(None, rule) for rule in chosen(hits.unknown & counted, hits.rules)]

    def _asked_for(self, rule: Rule, known: Mapping[str, Value]) -> list[str]:
        """The statable inputs behind the open tests of a rule."""
        asked = self._asked_by.get(rule.id)
        if asked is None:
            behind = self._stated_behind
            asked = [(read, behind[read]) for read in unknown_inputs(rule, known)]
        names = []
        for read, stated in asked:
            if read not in known:
                for name in stated:
                    if name not in known and name not in names:
                        names.append(name)
        return names


@dataclass(frozen=True, slots=True)
class _Source:
    """A decision that may leave questions, and the rules that count when they are open, a bit for each."""

    node: DecisionNode
    ladder: Ladder | None
    counted: int

    @classmethod
    def of(cls, node: DecisionNode, rules: Sequence[Rule], ladder: Ladder | None, *, borrowed: bool) -> _Source:
        """Leave out statements that raise a ladder: they count there.

        Of a plan that was made before and is only read here (borrowed), those count that give a number others read.
        """
        raising = {key for key, one in node.fields.items() if one["answer_of"]}
        read = node.as_inputs().keys() if borrowed else None
        counted = (
            1 << place
            for place, rule in enumerate(rules)
            if not raising & rule.conclude.keys() and (read is None or read & rule.conclude.keys())
        )
        return cls(node, ladder, sum(counted))


class _Head:
    """What a question about an input always says, and where the input stands in the vocabulary."""

    __slots__ = ("allowed", "name", "place", "question", "unit")

    def __init__(self, place: int, one: Input, keep: Keep[Any]) -> None:
        self.place, self.name, self.question, self.unit = place, one.name, one.question, one.unit
        self.allowed: dict[str, str] | None = keep(dict(one.allowed)) if one.allowed else None


class _Weighed:
    """A question in the making: which open rules wait for it, and what they could bring."""

    __slots__ = ("_head", "_place", "_title", "_top", "_weight", "changes", "source")

    def __init__(self, head: _Head, place: int, source: _Source) -> None:
        self._head, self._place, self.source = head, place, source
        self.changes: dict[str, bool] = {}
        self._weight, self._title, self._top = 0, "", -2

    def add(self, answer: str | None, rule: Rule, *, alone: bool) -> None:
        rank = self.source.node.rank(answer)
        self._weight += (rank + 2) * (2 if alone else 1)
        if answer is not None:
            self.changes[answer] = self.changes.get(answer, False) or alone
        if rank > self._top:
            self._top, self._title = rank, rule.title

    @property
    def order(self) -> tuple[int, int, int]:
        if self.source.ladder is not None:
            return 0, -self._weight, self._head.place
        return 1, self._place, self._head.place

    def question(self) -> Question:
        head, node = self._head, self.source.node
        changes: list[QuestionChange] = [
            {"answer": answer, "alone": alone}
            for answer, alone in sorted(self.changes.items(), key=lambda item: node.rank(item[0]), reverse=True)
        ]
        return {
            "input": head.name,
            "question": head.question,
            "unit": head.unit,
            "allowed": head.allowed,
            "decision": node.name,
            "why": self._title,
            "could_change_to": changes,
        }


def _stated_behind(one: Input) -> tuple[str, ...]:
    """What a caller may state of an input: itself, or what it is computed from; nothing of what was decided."""
    if one.about == "decision":
        return ()
    return tuple(one.parents) if one.derived else (one.name,)


def _presumption(one: Input) -> Presumed:
    return {
        "input": one.name,
        "question": one.question,
        "presumed": one.presumed if one.presumed is not None else one.presumed_in_review,  # type: ignore[typeddict-item]
        "because": one.presumed_because,
        "if_wrong": [],
    }
