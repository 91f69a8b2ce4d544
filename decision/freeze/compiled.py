"""Compile a numerical loop with numba, which only the makers of the table need."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import TypeVar, cast

__all__ = ["compiled"]

AnyLoop = TypeVar("AnyLoop", bound=Callable[..., object])


def compiled(loop: AnyLoop) -> AnyLoop:
    """Return the same function, compiled to machine code at its first call.

    Args:
        loop: A function of numbers and numpy arrays, without Python objects.

    Returns:
        The compiled function, with the same signature.

    Raises:
        ModuleNotFoundError: numba is not installed; it belongs to the build extra.
    """
    numba = importlib.import_module("numba")
    return cast(AnyLoop, numba.njit(cache=True, fastmath=True)(loop))
