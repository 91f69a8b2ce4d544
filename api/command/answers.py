"""Read what somebody types in answer to a question, or say what would be right."""

from __future__ import annotations

from api.text.input_words import range_in_words
from decision.vocabulary import Input, Value

__all__ = ["Answer", "UnreadableAnswer", "choices_of", "read_answer"]

Answer = Value | list[float]


class UnreadableAnswer(Exception):
    """What was typed is not an answer to the question. The text says what would be."""


def choices_of(about: Input) -> list[tuple[Value, str]]:
    """The answers to choose from, each with its words; none where a number is asked for.

    >>> choices_of(Input("infected", "lesion", "boolean", "Is there pus?"))
    [(True, 'yes'), (False, 'no')]
    """
    if about.type == "boolean":
        return [(True, "yes"), (False, "no")]
    return [(code, words) for code, words in about.allowed.items()]


def read_answer(written: str, about: Input) -> Answer:
    """Read an answer: a number of the list of choices, a code or its words; or a figure, or several.

    Args:
        written: What was typed.
        about: The input that was asked for.

    Raises:
        UnreadableAnswer: It is none of these, or out of range.

    >>> width = Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300)
    >>> read_answer("4,5", width)
    4.5
    >>> read_answer("0.2", width)
    Traceback (most recent call last):
    api.command.answers.UnreadableAnswer: That is outside the range. Type a number from 0.5 to 300 mm.
    """
    choices = choices_of(about)
    if choices:
        return _choice(written, choices)
    if about.type == "numbers":
        return [_figure(part, about) for part in written.split()]
    return _figure(written, about)


def _choice(written: str, choices: list[tuple[Value, str]]) -> Value:
    typed = written.casefold()
    if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(choices):
        return choices[int(typed) - 1][0]
    exact = [value for value, words in choices if typed in (str(value).casefold(), words.casefold())]
    begun = [value for value, words in choices if words.casefold().startswith(typed)]
    for found in (exact, begun):
        if len(found) == 1:
            return found[0]
    raise UnreadableAnswer(f"Type the number of one answer, from 1 to {len(choices)}.")


def _figure(written: str, about: Input) -> float:
    several = "numbers with spaces between, each" if about.type == "numbers" else "a number"
    wanted = f"Type {several} {range_in_words(about)}."
    try:
        number = float(written.replace(",", "."))
    except ValueError:
        raise UnreadableAnswer(f"That is not a number. {wanted}") from None
    if not about.low <= number <= about.high:
        raise UnreadableAnswer(f"That is outside the range. {wanted}")
    return number
