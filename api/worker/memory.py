"""Keep the search for garbage short while cases are answered.

A rule book is some hundred thousand objects that stay. Python looks through objects again and again for rings that
nothing holds; here it looks only through what was made since start-up, and less often, since an answer makes a
thousand objects, and no rings. Without this the slowest answers wait for such a search.
"""

from __future__ import annotations

import contextlib
import gc
from collections.abc import Iterator

__all__ = ["settle_anew", "settled_memory"]

MADE_BETWEEN_SEARCHES = 20_000  # objects; some fifteen answers


@contextlib.contextmanager
def settled_memory() -> Iterator[None]:
    """Take everything that is there as staying, until the end."""
    before = gc.get_threshold()
    settle_anew()
    gc.set_threshold(MADE_BETWEEN_SEARCHES, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)
        gc.unfreeze()


def settle_anew() -> None:
    """Let go of what nothing holds any more, and take the rest as staying: after a rule book was replaced."""
    gc.unfreeze()
    gc.collect()
    gc.freeze()
