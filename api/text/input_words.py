"""Say a value, and what is allowed for an input, in plain words."""

from __future__ import annotations

from decision.vocabulary import Input, Value

__all__ = ["allowed_in_words", "figure", "range_in_words", "unit_beside", "value_in_words", "with_unit"]

SECONDS = "s"


def value_in_words(value: Value | None, about: Input) -> str:
    """A value as a reader says it: the meaning of a code, yes or no, a figure with its unit.

    >>> value_in_words(4.0, Input("base_width_mm", "lesion", "number", "How wide?", "mm", 0.5, 300))
    '4 mm'
    """
    if value is None:
        return "not stated"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return about.allowed.get(value, value)
    return with_unit(value, about.unit or "")


def allowed_in_words(about: Input) -> str:
    """What may be stated for an input.

    >>> allowed_in_words(Input("infected", "lesion", "boolean", "Is there pus?"))
    'yes or no'
    """
    if about.type == "boolean":
        return "yes or no"
    if about.type == "code":
        return "; ".join(_code_in_words(code, meaning) for code, meaning in about.allowed.items())
    return f"numbers, each {range_in_words(about)}" if about.type == "numbers" else range_in_words(about)


def range_in_words(about: Input) -> str:
    """The range of a number.

    >>> range_in_words(Input("height_mm", "lesion", "number", "How high?", "mm", 0, 200))
    'from 0 to 200 mm'
    """
    return f"from {figure(about.low)} to {figure(about.high)} {about.unit}"


def with_unit(number: float, unit: str) -> str:
    """A number with its unit, which loses its plural beside 1.

    >>> with_unit(1.0, "weeks"), with_unit(1.0, "s"), with_unit(2.5, "mm")
    ('1 week', '1 s', '2.5 mm')
    """
    return f"{figure(number)} {unit_beside(number, unit)}".strip()


def unit_beside(number: float, unit: str) -> str:
    """A unit as it stands beside a number.

    >>> unit_beside(1, "cycles"), unit_beside(2, "cycles"), unit_beside(1, "s")
    ('cycle', 'cycles', 's')
    """
    return unit.removesuffix("s") if number == 1 and unit != SECONDS else unit


def figure(number: float) -> str:
    """A number without idle zeros.

    >>> figure(6.40), figure(100000.0)
    ('6.4', '100000')
    """
    return f"{number:.6g}" if abs(number) < 1e6 else f"{number:.0f}"


def _code_in_words(code: str, meaning: str) -> str:
    return code if code.replace("_", " ") == meaning else f"{code} = {meaning}"
