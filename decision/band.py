"""A band of the freeze table, as data."""

from __future__ import annotations

from decision.freeze.answers import Band as FreezeBand
from decision.recommendation import Band

__all__ = ["band_of"]


def band_of(band: FreezeBand | None) -> Band | None:
    """A band as data; None where the zone vanishes.

    >>> band_of(FreezeBand(1.0, 1.5, 2.0))
    {'p10': 1.0, 'p50': 1.5, 'p90': 2.0}
    """
    return None if band is None else {"p10": band.p10, "p50": band.p50, "p90": band.p90}
