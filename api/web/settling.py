"""What would settle an answer, as links into the form: each question, or the one check list that answers several."""

from __future__ import annotations

from collections.abc import Iterable

from decision.recommendation import Question
from decision.vocabulary import Vocabulary

__all__ = ["settling"]


def settling(questions: Iterable[Question], lesion: str, vocabulary: Vocabulary) -> list[tuple[str, str]]:
    """The questions that could move an answer.

    Args:
        questions: As the answer asks them, in its order.
        lesion: The place of the lesion that is answered.
        vocabulary: Of the rule book that answers.

    Returns:
        Where on the page each is answered, and its words. A check list stands once, where its first question would.
    """
    found: dict[str, str] = {}
    for asked in questions:
        if not asked["could_change_to"]:
            continue
        about = vocabulary.inputs[asked["input"]]
        place = (lesion if about.about == "lesion" else about.about).replace(".", "-")
        if about.group is None:
            found[f"q-{place}-{about.name}"] = asked["question"]
        else:
            found[f"list-{place}-ruled_out-{about.group}"] = vocabulary.groups[about.group].question
    return list(found.items())
