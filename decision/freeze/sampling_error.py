"""How far the quantiles would move if other draws had been made."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from decision.freeze.interpolation import quantile
from decision.freeze.table_file import QUANTITIES

__all__ = ["sampling_error", "sampling_error_of_seconds"]

SEED = 1
RESAMPLES = 60
SHARES = (0.1, 0.5, 0.9)


def sampling_error(nodes: Sequence[Sequence[Sequence[float]]]) -> dict[str, list[float]]:
    """Standard errors of p10, p50 and p90, by drawing the draws again.

    Args:
        nodes: Readings by node, draw and quantity.

    Returns:
        Root mean square over the nodes for each quantity, in its unit. Evenly spread
        draws do somewhat better than this says.
    """
    orders = _orders(len(nodes[0]))
    return {
        name: [
            round(math.sqrt(math.fsum(_variance([one[index] for one in node], orders, share)
                                      for node in nodes) / len(nodes)), 4)
            for share in SHARES
        ]
        for index, name in enumerate(QUANTITIES)
    }  # fmt: skip


def sampling_error_of_seconds(nodes: Sequence[Sequence[float]]) -> list[float | None]:
    """Standard errors of p10, p50 and p90 of seconds, as shares of the quantile.

    Args:
        nodes: Seconds by node and draw; endless where it never came.

    Returns:
        Root mean square over the nodes at which the quantile comes in every resample; None
        where there is no such node.
    """
    orders = _orders(len(nodes[0]))
    errors: list[float | None] = []
    for share in SHARES:
        spreads = [_variance(node, orders, share) / quantile(node, share) ** 2 for node in nodes]
        kept = [one for one in spreads if math.isfinite(one)]
        errors.append(round(math.sqrt(math.fsum(kept) / len(kept)), 4) if kept else None)
    return errors


def _orders(draws: int) -> list[list[int]]:
    """The draws of each resample."""
    chosen = random.Random(SEED)
    return [[chosen.randrange(draws) for _ in range(draws)] for _ in range(RESAMPLES)]


def _variance(values: Sequence[float], orders: Sequence[Sequence[int]], share: float) -> float:
    """Variance of one quantile over the resamples."""
    found = [quantile([values[n] for n in order], share) for order in orders]
    mean = math.fsum(found) / len(found)
    return math.fsum((one - mean) ** 2 for one in found) / len(found)
