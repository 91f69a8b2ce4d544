"""Answer by the newest rule book that the supervisor found good, while those that came before are still read.

`api.running.editions:create` is the factory that the supervisor's workers call. Each rule book has an application of
its own, an edition; a request is answered by the edition that it began with. An edition that was replaced gives its
memory back when its last request is answered.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import os
import signal
import sys
from collections.abc import AsyncIterator
from pathlib import Path

from fastapi import FastAPI
from starlette.applications import Starlette
from starlette.types import Receive, Scope, Send
from uvicorn.config import STARTUP_FAILURE

from api.app import app_in
from api.operations.examples import answer_examples
from api.settings import UnusableSetting, settings_from
from api.worker.counts import show_book
from api.worker.house import House, house_of
from api.worker.memory import settle_anew, settled_memory
from decision import load_rule_book
from decision.errors import DecisionError
from decision.folder_reading import shipped_rules
from decision.rule_book import RuleBook

__all__ = ["Editions", "create"]

LOOK_EVERY_S = 0.25
AGAIN_AFTER_S = 2.0
POLITE_S = 0.0005  # how long the loading of a rule book may keep the interpreter from those who are answered

log = logging.getLogger("thawline")


class Edition:
    """One rule book and the application that answers by it."""

    def __init__(self, house: House, rules: Path) -> None:
        """Load a rule folder and answer its examples.

        Raises:
            RuleBookError, UnusableSetting, MatcherFault: It cannot answer.
        """
        self.rules = rules
        self.book: RuleBook = load_rule_book(rules)
        self.app: FastAPI = app_in(house, self.book)
        answer_examples(self.book)
        self.replaced = False
        self._open = 0

    async def answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        self._open += 1
        try:
            await self.app(scope, receive, send)
        finally:
            self._open -= 1
            self.close_if_done()

    def close_if_done(self) -> None:
        """Give the memory back, if nobody is answered by it any more."""
        if self.replaced and not self._open:
            self.app.state.service.shelves.close()
            self.book.close()


class Editions:
    """ASGI application of one worker."""

    def __init__(self, house: House, rules: Path) -> None:
        """Begin with a rule folder. Raises as `Edition`."""
        self._house = house
        self._edition = Edition(house, rules)
        self._life = Starlette(lifespan=self.living)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or live from start to stop."""
        if scope["type"] == "lifespan":
            await self._life(scope, receive, send)
        else:
            await self._edition.answer(scope, receive, send)

    @property
    def book(self) -> RuleBook:
        """The rule book that answers now."""
        return self._edition.book

    @contextlib.asynccontextmanager
    async def living(self, _: Starlette | None = None) -> AsyncIterator[None]:
        """Answer, and turn to new rules when the supervisor names some."""
        show_book(self._edition.book, answers=True)
        self._house.ready.set()
        looking = asyncio.create_task(self._look())
        with settled_memory():
            yield
        self._house.ready.clear()
        looking.cancel()
        if self._house.spans is not None:
            await asyncio.to_thread(self._house.spans.close)  # sends what has not been sent yet

    async def _look(self) -> None:
        """Look at the notice board now and then; stop when the supervisor is gone."""
        board, supervisor = self._house.board, os.getppid()
        while board is not None:
            await asyncio.sleep(LOOK_EVERY_S)
            if os.getppid() != supervisor:
                log.critical("The supervisor is gone; this worker stops.")
                signal.raise_signal(signal.SIGTERM)
                return
            try:
                notice = board.read()
                if notice is not None and Path(notice.rules) != self._edition.rules:
                    await self._turn_to(Path(notice.rules))
            except Exception:  # whatever goes wrong, the rule book before keeps answering
                log.exception("A rule book that was found good cannot be taken.")
                await asyncio.sleep(AGAIN_AFTER_S)

    async def _turn_to(self, rules: Path) -> None:
        """Replace the rule book."""
        fresh = await asyncio.to_thread(_loaded_politely, self._house, rules)
        old, self._edition = self._edition, fresh
        show_book(old.book, answers=False)
        show_book(fresh.book, answers=True)
        log.info("Answers are by rule book %s, %s.", fresh.book.version, fresh.book.digest)
        old.replaced = True
        old.close_if_done()
        settle_anew()


def create() -> Editions:
    """Make the application of a worker, as the environment and the notice board say; end the worker if it cannot be."""
    try:
        house = house_of(settings_from(os.environ))
        notice = house.board.read() if house.board else None
        return Editions(house, Path(notice.rules) if notice else house.settings.rules_folder or shipped_rules())
    except (DecisionError, UnusableSetting) as fault:
        log.critical("This worker cannot start. %s", fault)
        sys.exit(STARTUP_FAILURE)


def _loaded_politely(house: House, rules: Path) -> Edition:
    """Load a rule book while requests are answered: the interpreter changes hands often meanwhile."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(POLITE_S)
    try:
        return Edition(house, rules)
    finally:
        sys.setswitchinterval(usual)
