"""A connection that does not wait for ever: for the head of a request, for a client to read, or for a place.

uvicorn's own connection ends one that is idle between two requests, and nothing else. The body of a request has its
limit where it is read (body.py). Nothing is said to a client that is ended here: it was not listening.
"""

from __future__ import annotations

import asyncio
import functools
import os

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from api.settings import Settings, settings_from

__all__ = ["HEAD_LIMIT_BYTES", "Connection"]

HEAD_LIMIT_BYTES = 65_536  # the parser itself has no limit


class Connection(HttpToolsProtocol):
    """uvicorn's connection, with an end to its patience."""

    _head_open = True
    _head_bytes = 0
    _head_timer: asyncio.TimerHandle | None = None
    _reader_timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take a connection, if there is a place."""
        super().connection_made(transport)
        if len(self.connections) > _settings().connection_limit:
            transport.abort()
            return
        self._head_timer = self.loop.call_later(_settings().header_limit_s, transport.abort)

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait for nothing any more."""
        self._head_timer = _without(self._head_timer)
        self._reader_timer = _without(self._reader_timer)
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Read on; a head has its limits from its first byte until it is whole."""
        super().data_received(data)
        if not self._head_open or self.transport.is_closing():
            return
        self._head_bytes += len(data)
        if self._head_bytes > HEAD_LIMIT_BYTES:
            self.transport.abort()
        elif self._head_timer is None:
            self._head_timer = self.loop.call_later(_settings().header_limit_s, self.transport.abort)

    def on_message_begin(self) -> None:
        """Note that a head has begun."""
        self._head_open = True
        super().on_message_begin()

    def on_headers_complete(self) -> None:
        """Note that a head is whole."""
        self._head_open, self._head_bytes = False, 0
        self._head_timer = _without(self._head_timer)
        super().on_headers_complete()

    def pause_writing(self) -> None:
        """Begin to wait for a client that does not take its answer."""
        super().pause_writing()
        self._reader_timer = self.loop.call_later(_settings().reader_limit_s, self.transport.abort)

    def resume_writing(self) -> None:
        """Note that the client has taken what waited for it."""
        self._reader_timer = _without(self._reader_timer)
        super().resume_writing()

    def timeout_keep_alive_handler(self) -> None:
        """End an idle connection, even if the last answer was never taken."""
        if self.transport.get_write_buffer_size():
            self.transport.abort()
        else:
            super().timeout_keep_alive_handler()


def _without(timer: asyncio.TimerHandle | None) -> asyncio.TimerHandle | None:
    """No timer: one that is running is ended."""
    if timer is not None:
        timer.cancel()
    return None


@functools.cache
def _settings() -> Settings:
    """The settings of this process; a server makes its connections itself and hands nothing to them."""
    return settings_from(os.environ)
