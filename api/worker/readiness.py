"""What the service says of its own state."""

from __future__ import annotations

from api.operations.messages import Ready
from api.worker.board import Board
from decision.rule_book import RuleBook

__all__ = ["ready_by"]


def ready_by(book: RuleBook, board: Board | None) -> Ready:
    """Say by which rule book cases are answered, and whether a change of it was refused since."""
    notice = None if board is None else board.read()
    refused = None if notice is None else notice.refused
    return {
        "status": "ready",
        "rule_book": {"version": book.version, "digest": book.digest},
        "refused": None if refused is None else {"at": refused.at, "places": list(refused.places)},
    }
