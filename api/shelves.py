"""The rule books at hand: the one that answers, and the released ones beside its folder."""

from __future__ import annotations

import threading

from decision.reviewer.shelf import Shelf
from decision.reviewer.what_would_change import ChangeSearch
from decision.rule_book import RuleBook

__all__ = ["Shelves"]


class Shelves:
    """A rule book that answers, and what stands beside it."""

    def __init__(self, book: RuleBook) -> None:
        """Look which releases there are; nothing of them is loaded yet."""
        self._book = book
        self.released = Shelf(book.folder.root)
        self._searches: dict[RuleBook, ChangeSearch] = {}
        self._making = threading.Lock()

    def book_for(self, data: object) -> RuleBook:
        """The rule book that a case asks for, where that is at hand; otherwise the one that answers, which says so."""
        version = data.get("rule_book_version") if isinstance(data, dict) else None
        if not isinstance(version, str) or version == self._book.version:
            return self._book
        return self.released.of(version) if version in self.released.versions else self._book

    def change_search_of(self, book: RuleBook) -> ChangeSearch:
        """What searches changes by a rule book that is at hand; made when it is first asked for."""
        with self._making:
            if book not in self._searches:
                self._searches[book] = ChangeSearch(book)
            return self._searches[book]

    def close(self) -> None:
        """Give back the memory of what stands beside the rule book; it answers on."""
        with self._making:
            for one in self._searches.values():
                one.close()
            self._searches.clear()
        self.released.close()
