"""The whole of the reasoning: rules, matching, verdicts and reasons. It knows nothing of HTTP.

>>> from decision import load_rule_book
"""

from __future__ import annotations

import contextlib
import gc
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from decision.rule_book import RuleBook

__all__ = ["load_rule_book"]


def load_rule_book(folder: Path | None = None) -> RuleBook:
    """Load a rule folder, the shipped one unless another is named.

    Args:
        folder: A folder with rule_book.yaml, vocabulary.yaml, sources.yaml and a folder for each decision.

    Returns:
        A rule book that recommends.

    Raises:
        RuleBookError: With every fault of the folder; nothing was loaded.
    """
    from decision.folder_reading import read_rule_folder, shipped_rules
    from decision.rule_book import RuleBook

    with _no_search_for_garbage():
        return RuleBook(read_rule_folder(folder or shipped_rules()))


@contextlib.contextmanager
def _no_search_for_garbage() -> Iterator[None]:
    """Put the search off: what is made here stays, and Python would look through it again and again."""
    searching = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if searching:
            gc.enable()
