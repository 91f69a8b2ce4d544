"""An answer as the pages show it: beside what the rule book said, where it stands on its ladder and what is drawn.

No statement is made here. Words are those of the rule book; this module finds them and puts them in reach.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from api.text.verdict_text import LADDER, STANDING, ladder_of
from api.web.section import pictures_of
from api.web.timeline import Timeline, timeline_of
from decision.applicator import not_now_steps, with_obstacle
from decision.case import Case
from decision.decision_node import DecisionNode
from decision.recommendation import LesionAnswer, Question, Recommendation, Step
from decision.rule_book import RuleBook
from decision.vocabulary import Vocabulary

__all__ = ["LesionView", "Rung", "Standing", "asked_by_place", "further_by_place", "lesion_views", "standing_of"]


@dataclass(frozen=True, slots=True)
class Rung:
    """One answer of a ladder: is it the verdict, and does it lie in the range that is still open?"""

    words: str
    chosen: bool
    reachable: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """Where an answer stands: its words, whether it permits, and its ladder."""

    words: str
    tone: str
    settled: bool
    reachable: str
    least: str
    bare: str
    rungs: tuple[Rung, ...]
    status: str


@dataclass(frozen=True, slots=True)
class LesionView:
    """The answer for one lesion, and what is drawn beside it."""

    place: str
    said: LesionAnswer
    standing: Standing
    timeline: Timeline | None
    pictures: tuple[Markup, ...]
    cautions: tuple[tuple[str, tuple[Any, ...]], ...]
    not_now: tuple[Step, ...]
    open_method: bool


def lesion_views(answer: Recommendation, case: Case, book: RuleBook) -> list[LesionView]:
    """The lesions of an answer, in order."""
    urgencies = _words_of(book, "cautions", "urgency")
    return [
        LesionView(
            place=f"lesions.{number}",
            said=said,
            standing=standing_of(said["suitability"], said["status"], ladder_of(book, LADDER)),
            timeline=timeline_of(said["plan"]) if said["plan"] else None,
            pictures=tuple(pictures_of(said, case.lesions[number].stated, number)),
            cautions=tuple(
                (words, tuple(one for one in said["cautions"] if one["urgency"] == code))
                for code, words in urgencies.items()
            ),
            not_now=tuple(not_now_steps(said)),
            open_method=said["method"] is None and said["suitability"]["obstacle"] is not None,
        )
        for number, said in enumerate(answer["lesions"])
    ]


def standing_of(found: Mapping[str, Any], status: str, ladder: DecisionNode) -> Standing:
    """Where the answer of a ladder stands. Only a verdict permits anything; a review says what it says.

    Args:
        found: The verdict on a lesion, or the answer of a review.
        status: How far the answer got.
        ladder: The ladder, with its words.
    """
    answer = found.get("verdict", found.get("answer"))
    least, most = found["at_least"], found["could_become"]
    low = ladder.rank(least) if least else 0
    high = ladder.rank(most) if most else len(ladder.answers) - 1
    bare = found.get("without_presumptions", {}).get("could_become")
    against = found.get("obstacle")
    return Standing(
        words=with_obstacle(ladder.answers[answer], against) if answer else "",
        tone="stay" if against else _tone(answer, ladder, permits="verdict" in found),
        settled=found["settled"],
        reachable=ladder.answers[most] if most else "",
        least=ladder.answers[least] if least else "",
        bare=ladder.answers[bare] if bare and bare != most else "",
        rungs=tuple(
            Rung(words, code == answer, low <= ladder.rank(code) <= high) for code, words in ladder.answers.items()
        ),
        status=STANDING[status],
    )


def asked_by_place(questions: Mapping[str, Sequence[Question]], book: RuleBook) -> dict[str, list[str]]:
    """The inputs that could move a ladder or a plan, by place, as the answer asks for them."""
    deciding = {node.name for node in book.folder.decisions if node.hit_policy != "collect"}
    return _by_place(questions, book.vocabulary, deciding)


def further_by_place(
    questions: Mapping[str, Sequence[Question]], presumed: Mapping[str, Sequence[Mapping[str, Any]]], book: RuleBook
) -> dict[str, list[str]]:
    """The inputs that are presumed, and those that could move nothing but cautions and steps, by place."""
    listing = [node.name for node in book.folder.decisions if node.hit_policy == "collect"]
    found = _by_place(presumed, book.vocabulary, None)
    for place, names in _by_place(questions, book.vocabulary, listing).items():
        found.setdefault(place, []).extend(names)
    return found


def _by_place(
    lines: Mapping[str, Sequence[Mapping[str, Any]]], vocabulary: Vocabulary, decisions: Iterable[str] | None
) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for lesion, listed in lines.items():
        for one in listed:
            about = vocabulary.inputs[one["input"]].about
            if decisions is None or one["decision"] in decisions:
                found.setdefault(lesion if about == "lesion" else about, []).append(one["input"])
    return found


def _tone(answer: str | None, ladder: DecisionNode, *, permits: bool) -> str:
    """Whether an answer permits, forbids or alarms, states, or is not there yet."""
    if answer is None:
        return "open"
    if not permits:
        return "stay" if ladder.rank(answer) == len(ladder.answers) - 1 else "said"
    return "go" if ladder.rank(answer) < ladder.rank(ladder.stands_unsettled_from or None) else "stay"


def _words_of(book: RuleBook, decision: str, name: str) -> Mapping[str, str]:
    """The words for the codes of a field, the gravest first."""
    for node in book.folder.decisions:
        if node.name == decision:
            return dict(reversed(node.fields[name]["one_of"].items()))
    return {}
