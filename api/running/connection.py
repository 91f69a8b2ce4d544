"""A connection that does not wait for ever, takes no head that HTTP forbids, and lets what it said be read.

uvicorn's own connection ends one that is idle between two requests, and no other: this one also gives up a head that
does not come, a client that does not read, and one for which there is no place; nothing is said to those. The body of a
request has its limit where it is read (body.py). What cannot be a request is told so (unfit.py). Behind a last answer
what still comes is read and dropped for a moment (RFC 9112, 9.6): a client that is still sending would otherwise lose
the answer with its connection.
"""

from __future__ import annotations

import asyncio
import functools
import os
import sys

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from api.problem_kinds import HEAD_KINDS
from api.running.old_answer import end_by_closing
from api.running.unfit import Unfit, kind_of_fault, refuse_host, refused
from api.settings import Settings, settings_from

__all__ = ["HEAD_LIMIT_BYTES", "LINGER_BYTES", "Connection"]

HEAD_LIMIT_BYTES = 65_536  # the parser itself has no limit
LINGER_S = 5
LINGER_BYTES = 20_000_000


class Connection(HttpToolsProtocol):
    """uvicorn's connection, with an end to its patience."""

    _head_open = True
    _head_bytes = 0  # received since the last request was whole
    _head_read = 0  # of address and headers that are whole
    _whole = 0  # requests that have come to their end
    _dropped: int | None = None  # bytes, since nothing is read any more
    _linger_timer: asyncio.TimerHandle | None = None
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
        self._linger_timer = _without(self._linger_timer)
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Read on; a head has its limits from its first byte until it is whole."""
        if self._dropped is not None:
            self._drop(data)
            return
        before = self._whole
        super().data_received(data)
        if not self._head_open or self._dropped is not None or self.transport.is_closing():
            return
        if self._whole == before:  # otherwise the rest of a request before it is among these bytes
            self._head_bytes += len(data)
        if self._head_bytes > HEAD_LIMIT_BYTES:
            self._refuse(Unfit(HEAD_KINDS["head-too-large"]))
        elif self._head_timer is None:
            self._head_timer = self.loop.call_later(_settings().header_limit_s, self.transport.abort)

    def on_message_begin(self) -> None:
        """Note that a head has begun."""
        self._head_open, self._head_read = True, 0
        super().on_message_begin()

    def on_url(self, url: bytes) -> None:
        """Read on an address, or a part of one."""
        self._count(len(url))
        super().on_url(url)

    def on_header(self, name: bytes, value: bytes) -> None:
        """Read on a header."""
        self._count(len(name) + len(value) + len(": \r\n"))
        super().on_header(name, value)

    def on_headers_complete(self) -> None:
        """Take a head that is whole, if HTTP allows it."""
        version = self.parser.get_http_version()
        refuse_host(version, self.headers)
        super().on_headers_complete()
        self._head_open, self._head_bytes = False, 0
        self._head_timer = _without(self._head_timer)
        self.cycle.transport = _Answering(self, self.cycle.transport)
        if version == "1.0":
            end_by_closing(self.cycle)

    def on_message_complete(self) -> None:
        """Note that a request is whole."""
        self._whole += 1
        super().on_message_complete()

    def send_400_response(self, msg: str) -> None:
        """Tell a client that the parser found no request in what it sent."""
        self._refuse(sys.exc_info()[1])

    def leave(self) -> None:
        """Close behind an answer; where the request is not whole, read on for a moment and drop it."""
        self.pipeline.clear()
        if self.cycle is not None and not self.cycle.more_body and self._dropped is None:
            self.transport.close()
        elif self._linger_timer is None and not self.transport.is_closing():
            self._dropped = self._dropped or 0
            self.transport.write_eof()
            self.flow.resume_reading()
            self._linger_timer = self.loop.call_later(LINGER_S, self.timeout_keep_alive_handler)

    def _refuse(self, fault: BaseException | None) -> None:
        """Say what is wrong and read no more; behind an answer that is still to come, only the latter."""
        self._dropped = 0
        self._head_timer = _without(self._head_timer)
        pending = self.cycle is not None and not self.cycle.response_complete
        if pending and not self.cycle.more_body:  # an earlier request, which is whole: its answer is the last
            self.cycle.keep_alive = False
            return
        if pending:  # its own body is at fault
            self.cycle.disconnected = True
            self.cycle.message_event.set()
        if pending and (self.cycle.response_started or self.pipeline):  # nothing can be said in between
            self.transport.close()
            return
        headers = self.headers if self._head_open or pending else ()
        self.transport.write(refused(kind_of_fault(fault), headers or (), _settings().docs_url))
        self.leave()

    def _count(self, size: int) -> None:
        """Count what is whole of a head.

        Raises:
            Unfit: It is too large. The parser hands it on as its own fault.
        """
        self._head_read += size
        if self._head_read > HEAD_LIMIT_BYTES:
            raise Unfit(HEAD_KINDS["head-too-large"])

    def _drop(self, data: bytes) -> None:
        self._dropped = (self._dropped or 0) + len(data)
        if self._dropped > LINGER_BYTES:
            self.transport.abort()

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


class _Answering(asyncio.Transport):
    """What an answer is written to: the connection's own transport, but for how it is closed behind the answer."""

    def __init__(self, connection: Connection, transport: asyncio.Transport) -> None:
        super().__init__()
        self._connection = connection
        self.write = transport.write  # type: ignore[method-assign]
        self.is_closing = transport.is_closing  # type: ignore[method-assign]

    def close(self) -> None:
        self._connection.leave()


def _without(timer: asyncio.TimerHandle | None) -> asyncio.TimerHandle | None:
    """No timer: one that is running is ended."""
    if timer is not None:
        timer.cancel()
    return None


@functools.cache
def _settings() -> Settings:
    """The settings of this process; a server makes its connections itself and hands nothing to them."""
    return settings_from(os.environ)
