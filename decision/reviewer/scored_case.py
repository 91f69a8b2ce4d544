"""Answer one case by two rule books and count how the answers differ: in verdict, or in other statements only."""

from __future__ import annotations

import datetime
import json
from typing import Any

import orjson

from decision.case import Case
from decision.decision_node import DecisionNode
from decision.decisions import Run
from decision.errors import CaseError
from decision.evaluator import Outcome
from decision.reviewer.replay_tally import KEPT, ReplayTally, empty_tally
from decision.reviewer.twin_runs import TwinRuns
from decision.rule_book import RuleBook
from decision.trace import deciding

__all__ = ["Scorer"]

TODAY = datetime.date(2000, 1, 1)  # of a case without a date: no rule asks for it, and a replay reads no clock
HOLDS = int(Outcome.HOLDS)


class Scorer:
    """Answers cases by two rule books."""

    def __init__(self, before: RuleBook, after: RuleBook) -> None:
        """Keep the books, and what each rule says, so that equal statements are found equal."""
        self._books = (before, after)
        self._twins: dict[str, TwinRuns] = {}
        self._says = tuple(
            {
                rule.id: (rule.id, json.dumps(rule.conclude, sort_keys=True))
                for rules in book.folder.rules.values()
                for rule in rules
            }
            for book in self._books
        )

    def empty(self) -> ReplayTally:
        """A tally of no case, by these two rule books."""
        return empty_tally(book.digest for book in self._books)

    def score(self, place: int, text: bytes, tally: ReplayTally) -> None:
        """Answer one case and count. One that cannot be used is counted as such and stops nothing.

        Raises:
            MatcherFault: The two means of matching differ; then no count can be trusted.
        """
        tally["cases"] += 1
        try:
            data = orjson.loads(text)
            data = data["case"] if isinstance(data, dict) and isinstance(data.get("case"), dict) else data
            cases = self._read(data)
        except (orjson.JSONDecodeError, CaseError):
            tally["unusable"] += 1
            tally["unusable_places"].append(place)
            return
        twins = self._twin(cases[0].moment)
        for number, lesion in enumerate(cases[0].lesions):
            tally["lesions"] += 1
            runs = twins.runs(cases, number)
            if runs is None:
                tally["same"] += 1
            else:
                self._count(runs, twins, tally, place, lesion.lesion_id, data)

    def _read(self, data: Any) -> tuple[Case, Case]:
        moment = "before"
        if isinstance(data, dict):
            moment = "during" if "cycle" in data else "after" if "healing" in data else "before"
            data = {name: part for name, part in data.items() if name != "rule_book_version"}
        first = self._books[0].read(data, today=TODAY, moment=moment)
        same = self._twin(moment).same_facts
        return first, first if same else self._books[1].read(data, today=TODAY, moment=moment)

    def _twin(self, moment: str) -> TwinRuns:
        """Both books at a moment; compiled when the first case of it comes."""
        if moment not in self._twins:
            self._twins[moment] = TwinRuns(*self._books, moment)
        return self._twins[moment]

    def _count(
        self, runs: tuple[Run, Run], twins: TwinRuns, tally: ReplayTally, place: int, lesion_id: str, data: Any
    ) -> None:
        ladder = twins.ladder
        held = [_held(run, says) for run, says in zip(runs, self._says, strict=True)]
        answers = [None if ladder is None else run.ranges[ladder.name].answer for run in runs]
        if ladder is None or answers[0] == answers[1]:
            changed = held[0] ^ held[1]
            tally["other_statements_only" if changed else "same"] += 1
            for rule in {rule for rule, _ in changed}:
                _one_more(tally["statements"], rule)
            return
        change, direction = f"{answers[0] or 'none'} -> {answers[1] or 'none'}", _direction(answers, ladder)
        _one_more(tally["directions"], direction)
        _one_more(tally["verdicts"], change)
        decided = [deciding(one, ladder.name, run) for one, run in zip(twins.decisions, runs, strict=True)]
        for rule in _responsible(decided, held):
            _one_more(tally["rules"].setdefault(rule, {}), direction)
        examples = tally["examples"].setdefault(change, [])
        if len(examples) < KEPT:
            rules = {"rules_before": decided[0], "rules_after": decided[1]}
            examples.append({"place": place, "lesion_id": lesion_id, "case": data, **rules})  # type: ignore[typeddict-item]


def _held(run: Run, says: dict[str, tuple[str, str]]) -> set[tuple[str, str]]:
    """What the rules that hold say."""
    return {says[rule.id] for hits in run.hits.values() for rule in hits.held}


def _responsible(deciding: list[list[str]], held: list[set[tuple[str, str]]]) -> list[str]:
    """The rules that the change rests on: deciding before or after, and not holding alike in both.

    Where every one of them holds alike, a rule that is open now and was not, or the reverse, unsettled the verdict;
    then the deciding ones are named.
    """
    alike = {rule for rule, _ in held[0] & held[1]}
    named = {*deciding[0], *deciding[1]}
    return sorted(named - alike) or sorted(named)


def _direction(answers: list[str | None], ladder: DecisionNode) -> str:
    was, now = answers
    if was is None or now is None:
        return "now answered" if was is None else "no longer answered"
    if was not in ladder.answers:
        return "other answers"
    return "more cautious" if ladder.rank(now) > ladder.rank(was) else "less cautious"


def _one_more(counts: dict[str, int], name: str) -> None:
    counts[name] = counts.get(name, 0) + 1
