"""The rule books at hand: the one that answers, and the released ones beside its folder."""

from __future__ import annotations

import threading
import weakref

from decision.reviewer.shelf import Shelf
from decision.reviewer.what_would_change import ChangeSearch
from decision.rule_book import RuleBook

__all__ = ["at_hand", "change_search_of", "put_away", "shelf_of"]

_shelves: weakref.WeakKeyDictionary[RuleBook, Shelf] = weakref.WeakKeyDictionary()
_searches: weakref.WeakKeyDictionary[RuleBook, ChangeSearch] = weakref.WeakKeyDictionary()
_making = threading.Lock()


def shelf_of(book: RuleBook) -> Shelf:
    """The rule books at hand beside one that answers."""
    with _making:
        if book not in _shelves:
            _shelves[book] = Shelf(book.folder.root)
        return _shelves[book]


def change_search_of(book: RuleBook) -> ChangeSearch:
    """What searches changes by a rule book; made when it is first asked for."""
    with _making:
        if book not in _searches:
            _searches[book] = ChangeSearch(book)
        return _searches[book]


def at_hand(book: RuleBook, data: object) -> RuleBook:
    """The rule book that a case asks for, where that is at hand; otherwise the one that answers, which says so."""
    version = data.get("rule_book_version") if isinstance(data, dict) else None
    if not isinstance(version, str) or version == book.version:
        return book
    shelf = shelf_of(book)
    return shelf.of(version) if version in shelf.versions else book


def put_away(book: RuleBook) -> None:
    """Give back the memory of what stands beside a rule book that no longer answers."""
    with _making:
        for one in (_shelves.pop(book, None), _searches.pop(book, None)):
            if one is not None:
                one.close()
