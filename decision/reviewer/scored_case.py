"""Answer one case by two rule books and count how the answers differ: in verdict, or in other statements only."""

from __future__ import annotations

import datetime
import json
from typing import Any

import orjson

from decision.case import Case
from decision.decision_node import DecisionNode
from decision.decisions import Decisions, Run
from decision.errors import CaseError
from decision.evaluator import Outcome
from decision.reviewer.replay_tally import KEPT, ReplayTally, empty_tally
from decision.rule_book import RuleBook

__all__ = ["Scorer"]

TODAY = datetime.date(2000, 1, 1)  # of a case without a date: no rule asks for it, and a replay reads no clock
HOLDS = int(Outcome.HOLDS)


class Scorer:
    """Answers cases by two rule books."""

    def __init__(self, before: RuleBook, after: RuleBook) -> None:
        """Keep the books, and what each rule says, so that equal statements are found equal."""
        self._books = (before, after)
        self._same_vocabulary = before.folder.written["vocabulary.yaml"] == after.folder.written["vocabulary.yaml"]
        self._says = tuple(
            {
                rule.id: (rule.id, json.dumps(rule.conclude, sort_keys=True))
                for rules in book.folder.rules.values()
                for rule in rules
            }
            for book in self._books
        )
        self._ladders = {moment: _ladder(after, moment) for moment in ("before", "during", "after")}

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
        runs = zip(self._books[0].runs(cases[0]), self._books[1].runs(cases[1]), strict=True)
        ladder = self._ladders[cases[0].moment]
        for lesion, (was, now) in zip(cases[0].lesions, runs, strict=True):
            self._count(place, data, lesion.lesion_id, was, now, ladder, tally)

    def _read(self, data: Any) -> tuple[Case, Case]:
        moment = "before"
        if isinstance(data, dict):
            moment = "during" if "cycle" in data else "after" if "healing" in data else "before"
            data = {name: part for name, part in data.items() if name != "rule_book_version"}
        first = self._books[0].read(data, today=TODAY, moment=moment)
        same = self._same_vocabulary
        return first, first if same else self._books[1].read(data, today=TODAY, moment=moment)

    def _count(
        self,
        place: int,
        data: Any,
        lesion_id: str,
        was: Run,
        now: Run,
        ladder: DecisionNode | None,
        tally: ReplayTally,
    ) -> None:
        tally["lesions"] += 1
        held = [self._held(run, says) for run, says in zip((was, now), self._says, strict=True)]
        answers = [None if ladder is None else run.ranges[ladder.name].answer for run in (was, now)]
        if answers[0] == answers[1]:
            changed = held[0] ^ held[1]
            tally["other_statements_only" if changed else "same"] += 1
            for rule in {rule for rule, _ in changed}:
                _one_more(tally["statements"], rule)
            return
        assert ladder is not None
        change, direction = f"{answers[0] or 'none'} -> {answers[1] or 'none'}", _direction(answers, ladder)
        _one_more(tally["directions"], direction)
        _one_more(tally["verdicts"], change)
        moment = ladder.moments[0]
        deciding = [
            _deciding(book.decisions(moment), run, ladder) for book, run in zip(self._books, (was, now), strict=True)
        ]
        for rule in _responsible(deciding, held):
            _one_more(tally["rules"].setdefault(rule, {}), direction)
        examples = tally["examples"].setdefault(change, [])
        if len(examples) < KEPT:
            rules = {"rules_before": deciding[0], "rules_after": deciding[1]}
            examples.append({"place": place, "lesion_id": lesion_id, "case": data, **rules})  # type: ignore[typeddict-item]

    def _held(self, run: Run, says: dict[str, tuple[str, str]]) -> set[tuple[str, str]]:
        return {
            says[rule.id]
            for hits in run.hits.values()
            for rule, outcome in zip(hits.rules, hits.outcomes, strict=True)
            if outcome == HOLDS
        }


def _ladder(book: RuleBook, moment: str) -> DecisionNode | None:
    """The ladder that gives the answer at a moment."""
    nodes = [one.node for one in book.decisions(moment).compiled]
    return next((node for node in nodes if node.answers and node.moments[0] == moment and not node.given), None)


def _deciding(decisions: Decisions, run: Run, ladder: DecisionNode) -> list[str]:
    """The rules that bring the answer that stands at least."""
    at_least = run.ranges[ladder.name].at_least
    rated = decisions.rated(ladder.name, run.hits)
    return sorted({rule.id for answer, rule, outcome in rated if outcome == HOLDS and answer == at_least})


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
