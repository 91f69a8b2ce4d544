"""The words that other systems exchange with this service beside those of the rule book, read from terms.yaml."""

from __future__ import annotations

import functools
from pathlib import Path

from pydantic import BaseModel, ConfigDict

from decision.errors import RuleBookError
from decision.shape import shape_faults
from decision.strict_yaml import read_yaml

__all__ = ["Terms", "terms"]

FILE = Path(__file__).parent / "terms.yaml"


class Terms(BaseModel):
    """Codes with their words, and which alternatives may be ordered."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    procedures: dict[str, str]
    orderable: list[str]
    override_reasons: dict[str, str]
    card_topics: dict[str, str]
    problems: dict[str, str]


@functools.cache
def terms() -> Terms:
    """The words that came with this package.

    Raises:
        RuleBookError: The file has a fault.
    """
    document, faults = read_yaml(FILE.read_text(encoding="utf-8"), file=FILE.name)
    shape, more = shape_faults(Terms, document)
    if shape is None or faults:
        raise RuleBookError([*faults, *more])
    return shape
