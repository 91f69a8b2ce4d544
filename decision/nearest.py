"""The known name that was probably meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

__all__ = ["nearest"]


def nearest(name: str, names: Iterable[str]) -> str:
    """Say which known name was probably meant, or nothing.

    >>> nearest("longest_diamater_mm", ["age_years", "longest_diameter_mm"])
    ' Did you mean "longest_diameter_mm"?'
    """
    close = difflib.get_close_matches(str(name), list(names), n=1, cutoff=0.6)
    return f' Did you mean "{close[0]}"?' if close else ""
