"""Sobol points: draws that fill a unit cube evenly, made without a library.

Direction numbers: Joe and Kuo 2008 (10.1137/070709359), first 16 dimensions. A seeded
digital shift moves all points alike and keeps their evenness.
"""

from __future__ import annotations

import random

__all__ = ["sobol_points"]

BITS = 30
# Degree, coefficients and first direction numbers of dimensions 2 to 16.
JOE_KUO: tuple[tuple[int, int, tuple[int, ...]], ...] = (
    (1, 0, (1,)),
    (2, 1, (1, 3)),
    (3, 1, (1, 3, 1)),
    (3, 2, (1, 1, 1)),
    (4, 1, (1, 1, 3, 3)),
    (4, 4, (1, 3, 5, 13)),
    (5, 2, (1, 1, 5, 5, 17)),
    (5, 4, (1, 1, 5, 5, 5)),
    (5, 7, (1, 1, 7, 11, 19)),
    (5, 11, (1, 1, 5, 1, 1)),
    (5, 13, (1, 1, 1, 3, 11)),
    (5, 14, (1, 3, 5, 5, 31)),
    (6, 1, (1, 3, 3, 9, 7, 49)),
    (6, 13, (1, 1, 1, 15, 21, 21)),
    (6, 16, (1, 3, 1, 13, 27, 49)),
)


def sobol_points(count: int, dimensions: int, *, seed: int | None) -> list[list[float]]:
    """Make the first points of a Sobol sequence.

    Args:
        count: How many points; a power of two keeps them balanced.
        dimensions: Numbers in each point, 1 to 16.
        seed: Seed of the digital shift, or None for the plain sequence.

    Returns:
        Points with coordinates from 0 to below 1. A shifted coordinate is never 0.

    >>> sobol_points(4, 2, seed=None)
    [[0.0, 0.0], [0.5, 0.5], [0.75, 0.25], [0.25, 0.75]]
    """
    generator = random.Random(seed)
    shifts = [0 if seed is None else generator.getrandbits(BITS) for _ in range(dimensions)]
    half = 0.0 if seed is None else 0.5
    columns = [_directions(number) for number in range(dimensions)]
    state = [0] * dimensions
    points: list[list[float]] = []
    for index in range(count):
        points.append([((one ^ shift) + half) / 2**BITS for one, shift in zip(state, shifts, strict=True)])
        lowest_zero = (~index & (index + 1)).bit_length() - 1
        state = [one ^ column[lowest_zero] for one, column in zip(state, columns, strict=True)]
    return points


def _directions(dimension: int) -> list[int]:
    """Direction numbers of one dimension, as whole numbers of BITS bits."""
    if dimension == 0:
        return [1 << (BITS - 1 - bit) for bit in range(BITS)]
    degree, coefficients, first = JOE_KUO[dimension - 1]
    numbers = [value << (BITS - 1 - bit) for bit, value in enumerate(first)]
    for bit in range(degree, BITS):
        number = numbers[bit - degree] ^ (numbers[bit - degree] >> degree)
        for step in range(1, degree):
            if (coefficients >> (degree - 1 - step)) & 1:
                number ^= numbers[bit - step]
        numbers.append(number)
    return numbers
