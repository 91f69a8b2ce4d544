"""Ask for what is missing, in a terminal: one question, the answer recomputed, then the next question.

What is asked comes from `ask_next` of the answer, the most telling question first. A check list is asked as one tick.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from api.command.answers import Answer, UnreadableAnswer, choices_of, read_answer
from api.command.standing import part_of, standings
from api.text.input_words import range_in_words
from decision.errors import CaseError
from decision.recommendation import Question
from decision.rule_book import RuleBook
from decision.vocabulary import Group, Input

__all__ = ["Interview"]

SKIP = "s"
HOW = "Enter alone stops the questions; s skips one."


class Interview:
    """The questions about one case."""

    def __init__(
        self,
        book: RuleBook,
        console: Console,
        today: datetime.date,
        listen: Callable[[str], str] = input,
        *,
        moment: str = "before",
    ) -> None:
        """Prepare to ask.

        Args:
            book: The rule book that says what to ask.
            console: Where the questions are printed.
            today: The date of a case that states none.
            listen: Gives the next line that is typed, after printing a prompt.
            moment: The moment of the job: "before" the freeze, "during" it, "after" it.
        """
        self._book = book
        self._console = console
        self._today = today
        self._listen = listen
        self._moment = moment
        self._deciding = {node.name for node in book.folder.decisions if node.hit_policy != "collect"}
        self._passed: set[tuple[int, str]] = set()
        self._asked_lists: set[tuple[int, str]] = set()
        self._standing = ""

    def completed(self, case: Any) -> Any:
        """Ask until the answer is settled, nothing is left to ask, or the questions are stopped.

        Raises:
            CaseError: The case cannot be used as it is.
        """
        self._say(HOW)
        while True:
            asked = self._next(case)
            if asked is None or not self._ask(case, *asked):
                return case

    def _next(self, case: Any) -> tuple[int, str] | None:
        """The lesion and the input to ask about now; the standing of that lesion is printed."""
        for one in standings(self._book, case, self._moment, self._today):
            left = [question for question in one.questions if self._telling(one.place, question)]
            if one.settled or not left:
                continue
            self._console.print()
            if one.summary != self._standing:
                self._say(f"So far, {one.summary}")
                self._standing = one.summary
            self._say(f"Asked next, since it bears on: {left[0]['why']}")
            return one.place, left[0]["input"]
        return None

    def _telling(self, place: int, question: Question) -> bool:
        """Whether a question is still to be asked: one that can settle a verdict, a method or a plan."""
        passed = {(place, question["input"]), (-1, question["input"])} & self._passed
        return question["decision"] in self._deciding and not passed

    def _ask(self, case: Any, place: int, name: str) -> bool:
        """Ask about one input and lay the answer into the case. False when the questions are stopped."""
        one = self._book.vocabulary.inputs[name]
        part = part_of(case, one.about, place)
        where = place if one.about == "lesion" else -1
        group = self._book.vocabulary.groups[one.group] if one.group else None
        if group is not None and (where, group.name) not in self._asked_lists:
            self._asked_lists.add((where, group.name))
            return self._ask_list(part, group)
        written = self._put(one)
        if written is None:
            return False
        if written == SKIP:
            self._passed.add((where, name))
        else:
            part[name] = written
            if faults := self._faults(case):
                del part[name]
                for said in faults:
                    self._say(said, indent=2)
        return True

    def _faults(self, case: Any) -> list[str]:
        """What is wrong with the case since the last answer, which may contradict an earlier one."""
        try:
            self._book.read(case, today=self._today, moment=self._moment)
        except CaseError as error:
            return list(dict.fromkeys(fault.message for fault in error.faults))
        return []

    def _ask_list(self, part: dict[str, Any], group: Group) -> bool:
        """Ask for the tick of a whole check list. Without it, its inputs are asked one by one."""
        self._say(group.question, style="bold")
        for one in self._book.vocabulary.in_group(group.name):
            self._say(f"- {one.question}", indent=2)
        tick = Input(group.name, group.about, "boolean", group.question)
        written = self._put(tick, words=("yes: checked, none of these", "no: ask me each"), heading=False)
        if written is True:
            part["ruled_out"] = [*part.get("ruled_out", ()), group.name]
        return written is not None

    def _put(self, one: Input, *, words: tuple[str, ...] = (), heading: bool = True) -> Answer | None:
        """Put a question until it is answered; None when the questions are stopped."""
        if heading:
            self._say(one.question, style="bold")
        choices = choices_of(one)
        shown = words or tuple(said for _, said in choices)
        for number, said in enumerate(shown, 1):
            self._say(f"{number:>2}  {said}", indent=2)
        if not choices:
            several = "Numbers with spaces between, each" if one.type == "numbers" else "A number"
            self._say(f"{several} {range_in_words(one)}.", indent=2)
        while True:
            typed = self._typed()
            if not typed:
                return None
            if typed.casefold() == SKIP:
                return SKIP
            try:
                return read_answer(typed, one)
            except UnreadableAnswer as fault:
                self._say(str(fault), indent=2)

    def _typed(self) -> str:
        try:
            return self._listen("> ").strip()
        except EOFError:
            return ""

    def _say(self, words: str, *, style: str = "", indent: int = 0) -> None:
        self._console.print(Padding(Text(words, style=style), (0, 0, 0, indent), expand=False))
