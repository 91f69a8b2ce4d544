"""Which drawing of a body belongs to which species. Species without a drawing choose the site from the list alone."""

from __future__ import annotations

__all__ = ["body_of"]

_BODIES = {
    "paws": ("dog", "cat", "ferret"),
    "hoofs": ("horse", "donkey", "cattle", "sheep", "goat", "pig"),
    "small": ("rabbit", "guinea_pig", "small_rodent"),
}
_BY_SPECIES = {species: body for body, listed in _BODIES.items() for species in listed}


def body_of(species: str) -> str:
    """The drawing for a species, or nothing.

    >>> body_of("cat"), body_of("bird")
    ('paws', '')
    """
    return _BY_SPECIES.get(species, "")
