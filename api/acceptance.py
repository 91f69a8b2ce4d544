"""Say whether an Accept header accepts a media type (RFC 9110, 12.5.1)."""

from __future__ import annotations

from collections.abc import Iterable

__all__ = ["accepts"]


def accepts(written: str, offered: str) -> bool:
    """Say whether the most specific range of an Accept header that fits a media type accepts it.

    Args:
        written: The header; empty when there is none.
        offered: A media type without parameters.

    >>> accepts("text/html, application/*;q=0.5", "application/json")
    True
    >>> accepts("*/*, application/json;q=0", "application/json")
    False
    """
    if written in ("*/*", offered, ""):
        return True
    family = offered.partition("/")[0]
    weights: dict[str, float] = {}
    for media_range, weight in _ranges(written.lower()):
        weights[media_range] = max(weight, weights.get(media_range, 0.0))
    if not weights:
        return True
    for fitting in (offered, f"{family}/*", "*/*"):
        if fitting in weights:
            return weights[fitting] > 0
    return False


def _ranges(written: str) -> Iterable[tuple[str, float]]:
    for listed in written.split(","):
        media_range, *parameters = (part.strip() for part in listed.split(";"))
        if media_range:
            yield media_range, _weight(parameters)


def _weight(parameters: list[str]) -> float:
    """The weight of a range; one that cannot be read counts in full."""
    for parameter in parameters:
        name, _, value = parameter.partition("=")
        if name.strip() == "q":
            try:
                return float(value)
            except ValueError:
                return 1.0
    return 1.0
