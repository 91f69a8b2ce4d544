"""Say a fact: the value that it has, what it may be, and how an input is asked for.

The wording of a test is that of unary_test.in_words; here are values, not tests.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from decision.markdown import sentence
from decision.vocabulary import Input, Value

__all__ = [
    "Stated",
    "allowed_in_words",
    "amount",
    "asked_in_words",
    "fact_in_words",
    "figure",
    "unless_in_words",
    "value_in_words",
]

Stated = Value | Sequence[float]

SECONDS = "s"
OPEN = "cannot be said"


def fact_in_words(about: Input, value: Stated | None) -> str:
    """A fact of a case: what it is about, and its value.

    >>> width = Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300)
    >>> fact_in_words(width, 5.5), fact_in_words(width, None)
    ('base width: 5.5 mm', 'base width: cannot be said')
    """
    return f"{about.label}: {OPEN if value is None else value_in_words(about, value)}"


def value_in_words(about: Input, value: Stated) -> str:
    """A value as a reader says it.

    >>> value_in_words(Input("similar_lesions", "patient", "number", "How many?", "lesions", 1, 500), 1)
    '1 lesion'
    >>> value_in_words(Input("cone_bores_mm", "equipment", "numbers", "Which?", "mm", 1, 40), [5, 8.5])
    '5 and 8.5 mm'
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return about.allowed.get(value, value)
    if isinstance(value, int | float):
        return amount(value, about.unit or "")
    return f"{' and '.join(figure(one) for one in value)} {about.unit or ''}".strip()


def amount(number: float, unit: str) -> str:
    """A number with its unit, which loses its plural beside 1.

    >>> amount(2.5, "weeks"), amount(1, "weeks"), amount(1, "s")
    ('2.5 weeks', '1 week', '1 s')
    """
    said = unit.removesuffix("s") if number == 1 and unit != SECONDS else unit
    return f"{figure(number)} {said}".strip()


def figure(number: float) -> str:
    """A number without idle zeros.

    >>> figure(6.40), figure(100000.0), figure(2e6)
    ('6.4', '100000', '2000000')
    """
    return f"{number:.6g}" if abs(number) < 1e6 else f"{number:.0f}"


def allowed_in_words(about: Input) -> str:
    """What a fact may be.

    >>> allowed_in_words(Input("infected", "lesion", "boolean", "Is there pus?"))
    'yes or no'
    """
    if about.type == "boolean":
        return "yes or no"
    if about.type == "code":
        return "; ".join(about.allowed.values())
    listed = "numbers, each from" if about.type == "numbers" else "from"
    return f"{listed} {figure(about.low)} to {figure(about.high)} {about.unit}"


def asked_in_words(about: Input) -> list[str]:
    """How a fact is asked for, what may be answered, and what is taken when nobody says: one sentence each."""
    said = [about.question]
    if about.type == "code" or (about.type != "boolean" and not about.derived):
        said.append(sentence(f"Answers: {allowed_in_words(about)}"))
    if about.group:
        said.append(f"On the check list of the {about.about}.")
    if about.presumed is not None:
        least = "at least " if about.charted_alike else ""
        said.append(f"Presumed: {least}{value_in_words(about, about.presumed)}. {about.presumed_because}")
    elif about.presumed_in_review is not None:
        taken = value_in_words(about, about.presumed_in_review)
        said.append(f"Presumed in a review: {taken}. {about.presumed_because}")
    return said


def unless_in_words(about: Input, inputs: Mapping[str, Input]) -> list[str]:
    """Beside which facts an input is not presumed: one sentence, or none where nothing keeps the presumption away."""
    if not about.presumed_unless:
        return []
    facts = [_proving(inputs[name], values) for name, values in about.presumed_unless.items()]
    return [f"Not presumed where this is stated: {'; or '.join(facts)}."]


def _proving(about: Input, values: Sequence[Value]) -> str:
    said = " or ".join(value_in_words(about, value) for value in values)
    return f"{about.label}: {said}" if said else about.label
