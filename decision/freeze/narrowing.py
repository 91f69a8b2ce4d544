"""Narrow a band by what was seen: weigh the draws by how well their thaw agrees.

The same draws stand behind every node, so a draw can be followed to any diameter and
time in between. A stop-watch reading of a thaw is worth about a tenth of itself, or three
seconds; draws are weighed by a bell curve of that width in the logarithm of thaw.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Sequence

from decision.freeze.interpolation import weighted_quantile
from decision.freeze.ranges import NotCovered
from decision.freeze.table_file import DRAW_UNITS, QUANTITIES

__all__ = ["matching_draws"]

READING_SHARE = 0.10
READING_S = 3.0
FEWEST_DRAWS = 4.0
BEYOND_SHARE = 0.25
NEGLIGIBLE = 1e-3
THAW = QUANTITIES.index("thaw_s")
SHARES = (0.1, 0.5, 0.9)


def matching_draws(
    packed: array[int], nodes: Sequence[tuple[int, float]], draws: int, observed_s: float, *, slower: float
) -> list[float]:
    """Quantiles over the draws that thaw about as long as was observed.

    Args:
        packed: Draws of one applicator and site class, by node, quantity and draw.
        nodes: Number and weight of each node around the freeze.
        draws: How many draws there are.
        observed_s: Observed thaw in seconds.
        slower: How many times longer this cycle thaws than the first, which the draws show.

    Returns:
        p10, p50 and p90 of each of QUANTITIES in turn.

    Raises:
        NotCovered: The observed thaw lies outside what the draws do.
    """
    thaws = _followed(packed, nodes, draws, THAW)
    low, high = slower * min(thaws), slower * max(thaws)
    if not low * (1.0 - BEYOND_SHARE) - READING_S <= observed_s <= high * (1.0 + BEYOND_SHARE):
        raise NotCovered(
            f"The observed thaw is {observed_s:g} s; the draws of this freeze thaw in "
            f"{low:.0f} to {high:.0f} s, so it says nothing about them. Was the contact as stated?"
        )
    weights = _weights(thaws, observed_s / slower)
    quantiles: list[float] = []
    for quantity in range(len(QUANTITIES)):
        values = thaws if quantity == THAW else _followed(packed, nodes, draws, quantity)
        kept = [(v, w) for v, w in zip(values, weights, strict=True) if w > NEGLIGIBLE]
        chosen, weighed = [v for v, _ in kept], [w for _, w in kept]
        quantiles += [weighted_quantile(chosen, weighed, share) for share in SHARES]
    return quantiles


def _followed(packed: array[int], nodes: Sequence[tuple[int, float]], draws: int, quantity: int) -> list[float]:
    """One quantity of every draw, blended between nodes."""
    unit = DRAW_UNITS[quantity]
    total = [0.0] * draws
    for node, weight in nodes:
        start = (node * len(QUANTITIES) + quantity) * draws
        scale = unit * weight
        total = [sofar + scale * one for sofar, one in zip(total, packed[start : start + draws], strict=True)]
    return total


def _weights(thaws: Sequence[float], observed_s: float) -> list[float]:
    """Bell-curve weights, widened until a few draws carry them; the largest is 1."""
    width = max(READING_SHARE, READING_S / observed_s)
    while True:
        distances = [math.log(max(one, 0.5) / observed_s) / width for one in thaws]
        nearest = min(abs(one) for one in distances)
        weights = [math.exp(0.5 * (nearest**2 - one**2)) for one in distances]
        effective = math.fsum(weights) ** 2 / math.fsum(one**2 for one in weights)
        if effective >= FEWEST_DRAWS:
            return weights
        width *= 1.3
