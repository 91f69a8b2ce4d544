"""What a process holds however often its rule book is replaced: who is in it, who may call, and whether it is ready."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, field

from api.access import Register
from api.audit import audit_request, open_audit_log
from api.settings import Settings
from api.worker.board import Board
from api.worker.counts import count_request
from api.worker.crowd import Crowd
from api.worker.spans import Spans, spans_of
from api.worker.taken_tokens import TakenTokens, taken_tokens_in
from api.worker.watch import Observer

__all__ = ["House", "house_of"]


@dataclass(frozen=True, slots=True)
class House:
    """One process of the service.

    Attributes:
        settings: How it is run.
        crowd: Who is in it.
        register: How often each caller was answered.
        taken: The tokens that were taken.
        board: Where its supervisor tells it what to answer by; None where it has no supervisor.
        spans: Where spans are recorded; None where nobody wants any.
        ready: Whether cases may be sent.
    """

    settings: Settings
    crowd: Crowd
    register: Register
    taken: TakenTokens
    board: Board | None
    spans: Spans | None
    ready: threading.Event = field(default_factory=threading.Event)

    @property
    def observers(self) -> list[Observer]:
        """Those who are told of each request."""
        audited = [audit_request] if self.settings.audit_log else []
        traced = [] if self.spans is None else [self.spans.record]
        return [count_request, *audited, *traced]


def house_of(settings: Settings) -> House:
    """An empty house, with its audit log open.

    Raises:
        UnusableSetting: The audit log cannot be opened, or spans are wanted and cannot be made.
    """
    open_audit_log(settings)
    board = None if settings.state_folder is None else Board(settings.state_folder)
    crowd = Crowd(settings.open_limit, settings.waiting_limit)
    taken = taken_tokens_in(settings.state_folder)
    return House(settings, crowd, Register(time.monotonic), taken, board, spans_of(settings))
