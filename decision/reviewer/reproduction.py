"""Would it say so again? Run the case of a record once more and say identical, or each difference and its cause.

The record is answered by the very rule book that answered it where that is at hand, and by the one in use otherwise;
public holidays are taken from the record.
Identical means: the same conclusion (verdicts, rules, numbers, dates), by its digest and in what the record tells of
it: a verdict that was changed beside an untouched digest is no same conclusion. Where only text differs, that is said.
"""

from __future__ import annotations

import dataclasses
import datetime
import re
from collections.abc import Iterator, Mapping
from typing import Any, Literal

from typing_extensions import TypedDict

from decision.case import Case
from decision.case_faults import pointer_to
from decision.case_shape import VERSION
from decision.errors import CaseError, CaseFault
from decision.recommendation import BookReference
from decision.reviewer.answer_record import answered
from decision.reviewer.record_faults import FRAME, answer_in, inside, is_digest
from decision.reviewer.recorded_holidays import recorded_holidays
from decision.reviewer.released import rule_digests
from decision.reviewer.shelf import Shelf
from decision.reviewer.told_conclusion import told_conclusion
from decision.rule_book import RuleBook

__all__ = ["Cause", "Difference", "Reproduction", "reproduce"]

MOST_DIFFERENCES = 200
RULE_ID = re.compile(r"[a-z][a-z0-9_]{0,63}/[a-z][a-z0-9_]{0,79}")
_BY_DIGEST: tuple[Literal["rule_book", "freeze_table"], ...] = ("rule_book", "freeze_table")
_BY_NUMBER: tuple[Literal["answer_contract", "engine_version"], ...] = ("answer_contract", "engine_version")


class Cause(TypedDict):
    """Why an answer could differ: what is not the same as it was."""

    what: Literal["case", "rule_book", "rule", "freeze_table", "answer_contract", "engine_version"]
    name: str
    was: str
    now: str


class Difference(TypedDict):
    """One place in the answer where it is not as recorded: a JSON Pointer, and both values."""

    pointer: str
    was: Any
    now: Any


class Reproduction(TypedDict):
    """The answer, given again. `same_conclusion` is what counts; `same_text` says that nothing at all differs.

    `matches_own_digest` is false where the recorded answer does not say what its digest stands for: it was changed.
    """

    same_conclusion: bool
    matches_own_digest: bool | None
    same_text: bool
    answered_by: BookReference
    recorded_book_at_hand: bool
    causes: list[Cause]
    differences: list[Difference]
    differences_left_out: int


def reproduce(record: Mapping[str, Any], in_use: RuleBook, shelf: Shelf) -> Reproduction:
    """Answer the case of a record again and compare.

    Args:
        record: `{case, answer, rules?}`; the answer as it was given, whole.
        in_use: The rule book that answers cases now.
        shelf: The ones released before it.

    Raises:
        CaseError: The record has no case and answer, or its case cannot be used by the rule book that answers it now.
        MatcherFault: The two means of matching differ; no answer is given.
    """
    was = answer_in(record)
    version, digest = was["rule_book"]["version"], was["rule_book"]["digest"]
    same = in_use.digest == digest and in_use.freeze_table["digest"] == was["freeze_table"]["digest"]
    found_book = in_use if same else shelf.with_digest(version, digest) or (in_use if in_use.digest == digest else None)
    at_hand, book = found_book is not None, found_book or in_use
    moment = _moment(record["case"])
    if not any(node.moments[0] == moment for node in book.folder.decisions):
        said = f"rule book {book.version} decides nothing {moment} the freeze."
        raise CaseError([CaseFault("#/case", "wrong_moment", said)])
    today = datetime.date.fromisoformat(was["as_of"])
    with inside("case"):
        case = book.read(_unpinned(record["case"], book), today=today, moment=moment)
        now = answered(book, _with_days_of(was, case))
    found = list(_differences(_without_frame(was), _without_frame(now)))
    own = _matches_own_digest(was, now)
    return {
        "same_conclusion": own is True,
        "matches_own_digest": own,
        "same_text": not found,
        "answered_by": {"version": book.version, "digest": book.digest},
        "recorded_book_at_hand": at_hand,
        "causes": [*_causes(was, now), *_changed_rules(record, book, at_hand=at_hand)],
        "differences": found[:MOST_DIFFERENCES],
        "differences_left_out": max(len(found) - MOST_DIFFERENCES, 0),
    }


def _matches_own_digest(was: Mapping[str, Any], now: Mapping[str, Any]) -> bool | None:
    """Whether a recorded answer says what its digest stands for; None where no answer with that digest is at hand."""
    if now["conclusion_digest"] != was["conclusion_digest"]:
        return None
    told = told_conclusion(_without_frame(was)), told_conclusion(_without_frame(now))
    return not any(_differences(*told))


def _moment(case: Mapping[str, Any]) -> str:
    """The moment of the job, as the parts of the case tell it."""
    return "during" if "cycle" in case else "after" if "healing" in case else "before"


def _with_days_of(was: Mapping[str, Any], case: Case) -> Case:
    """The case with the public holidays as its record tells them, whatever a library says of those days now."""
    return case._replace(holidays=dataclasses.replace(case.holidays, settled=recorded_holidays(was)))


def _unpinned(case: Mapping[str, Any], book: RuleBook) -> dict[str, Any]:
    """The case without a wish for a rule book that is not the one that answers."""
    pin = case.get("rule_book_version")
    other = isinstance(pin, str) and pin != book.version and re.fullmatch(VERSION, pin)
    return {name: part for name, part in case.items() if not (other and name == "rule_book_version")}


def _without_frame(answer: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in answer.items() if name not in FRAME}


def _causes(was: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Cause]:
    """What is not the same: versions and digests, whether or not the answer differs."""
    if was["case_digest"] != now["case_digest"]:
        yield {"what": "case", "name": "digest", "was": was["case_digest"], "now": now["case_digest"]}
    for what in _BY_DIGEST:
        if was[what]["digest"] != now[what]["digest"]:
            yield {"what": what, "name": "version", "was": was[what]["version"], "now": now[what]["version"]}
    for number in _BY_NUMBER:
        if was[number] != now[number]:
            yield {"what": number, "name": "version", "was": str(was[number]), "now": str(now[number])}


def _changed_rules(record: Mapping[str, Any], book: RuleBook, *, at_hand: bool) -> Iterator[Cause]:
    """Which rules are not those that answered, told by the digests in the record."""
    recorded = record.get("rules")
    if at_hand or not isinstance(recorded, dict):
        return
    current = rule_digests(book.folder)
    known = {name: digest for name, digest in recorded.items() if RULE_ID.fullmatch(name) and is_digest(digest)}
    for name in sorted(known.keys() | current.keys()):
        was, now = known.get(name, "not there"), current.get(name, "not there")
        if was != now:
            yield {"what": "rule", "name": name, "was": was, "now": now}


def _differences(was: Any, now: Any, steps: tuple[str | int, ...] = ()) -> Iterator[Difference]:
    """Each place where two values of JSON differ; 10 and 10.0 do not."""
    if isinstance(was, dict) and isinstance(now, dict):
        for key in dict.fromkeys((*was, *now)):
            yield from _differences(was.get(key), now.get(key), (*steps, key))
    elif isinstance(was, list) and isinstance(now, list) and len(was) == len(now):
        for i, (one, other) in enumerate(zip(was, now, strict=True)):
            yield from _differences(one, other, (*steps, i))
    elif was != now or isinstance(was, bool) is not isinstance(now, bool):
        yield {"pointer": pointer_to(steps), "was": was, "now": now}
