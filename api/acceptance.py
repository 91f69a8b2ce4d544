"""Choose a media type by an Accept header (RFC 9110, 12.5.1)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

__all__ = ["accepts", "preferred"]

EVERYTHING = ("", "*/*")


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
    return preferred(written, (offered,)) is not None


def preferred(written: str, offered: Sequence[str]) -> str | None:
    """The media type that an Accept header gives the most weight to, the first of those it weighs the same.

    Args:
        written: The header; empty when there is none.
        offered: Media types without parameters.

    >>> preferred("image/svg+xml, application/json;q=0.5", ("application/json", "image/svg+xml"))
    'image/svg+xml'
    >>> preferred("text/*", ("application/json", "image/svg+xml")) is None
    True
    """
    if written in EVERYTHING or written == offered[0]:
        return offered[0]
    weights: dict[str, float] = {}
    for media_range, weight in _ranges(written.lower()):
        weights[media_range] = max(weight, weights.get(media_range, 0.0))
    if not weights:
        return offered[0]
    best = max(offered, key=lambda one: _weight_of(one, weights))
    return best if _weight_of(best, weights) > 0 else None


def _weight_of(offered: str, weights: dict[str, float]) -> float:
    """The weight of a media type: that of the most specific range that fits it."""
    for fitting in (offered, f"{offered.partition('/')[0]}/*", "*/*"):
        if fitting in weights:
            return weights[fitting]
    return 0.0


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
