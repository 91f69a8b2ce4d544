"""A service over the toy rule book, and a way to ask it without a server."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from api.app import create_app
from api.settings import Settings
from decision import load_rule_book
from decision.rule_book import RuleBook
from tests.small_folder import write
from tests.visit_folder import visit_files

ROOT = Path(__file__).parents[2]


class Asking:
    """Sends single requests to an application, as a server would hand them over."""

    def __init__(self, app: FastAPI) -> None:
        self.app = app

    def __call__(self, method: str, path: str, **how: Any) -> httpx.Response:
        async def asked() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url="http://thawline.test") as client:
                return await client.request(method, path, **how)

        return asyncio.run(asked())

    def recommend(self, case: object, **how: Any) -> httpx.Response:
        """Post a case; text and bytes are sent as they are."""
        body = case if isinstance(case, str | bytes) else json.dumps(case)
        headers = {"Content-Type": "application/json", **how.pop("headers", {})}
        return self("POST", "/v1/recommendations", content=body, headers=headers, **how)


def at_one_moment(asking: Asking) -> Asking:
    """The same service, for whose limits no time passes: how long requests take is the machine's affair."""
    asking.app.state.service.house.register.clock = lambda: 1_000.0
    return asking


def a_case(**lesion: Any) -> dict[str, Any]:
    """A case of the toy rule book that is answered in full, but for what the caller changes in its lesion."""
    stated = {"lesion_id": "flank", "longest_diameter_mm": 5, "ruled_out": ["checked"], **lesion}
    return {"as_of": "2026-11-24", "patient": {"species": "dog"}, "lesions": [stated]}


@pytest.fixture
def toy_case() -> dict[str, Any]:
    return a_case()


@pytest.fixture
def ask(toy_book) -> Asking:
    return Asking(create_app(toy_book, Settings()))


@contextlib.contextmanager
def _serving(folder: Path | None, log: Path, **settings: str) -> Iterator[str]:
    """Run the service in a process of its own, as an operator would, and give its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    environment = {**os.environ, **({"THAWLINE_RULES_FOLDER": str(folder)} if folder else {}), **settings}
    command = [sys.executable, "-m", "uvicorn", "api.app:create", "--factory", "--port", str(port)]
    command += ["--no-server-header", "--no-access-log", "--log-level", "warning"]
    with log.open("wb") as written:
        server = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=written, stderr=written)
    try:
        url = f"http://127.0.0.1:{port}"
        _wait_until_ready(url, server, log)
        yield url
    finally:
        server.terminate()
        server.wait(timeout=60)


def _wait_until_ready(url: str, server: subprocess.Popen[bytes], log: Path) -> None:
    for _ in range(600):
        assert server.poll() is None, log.read_text()
        with contextlib.suppress(httpx.TransportError):
            if httpx.get(f"{url}/readyz", timeout=60).status_code == 200:
                return
        time.sleep(0.1)  # of waiting for another process, not of a test
    raise AssertionError(log.read_text())


@pytest.fixture(scope="session")
def serving() -> Callable[..., contextlib.AbstractContextManager[str]]:
    """A way to run the service in a process of its own.

    Called with the rule folder (None: the shipped one), where it logs, and settings by their names in the environment.
    """
    return _serving


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a running service over the toy rule book."""
    log = tmp_path_factory.mktemp("server") / "log.txt"
    with _serving(ROOT / "tests" / "toy_rules", log) as url:
        yield url


@pytest.fixture(scope="session")
def shipped_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a running service over the shipped rules."""
    with _serving(None, tmp_path_factory.mktemp("shipped_server") / "log.txt") as url:
        yield url


@pytest.fixture(scope="session")
def visit_book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RuleBook]:
    """A rule book for a whole visit: before, during and after the freeze."""
    book = load_rule_book(write(tmp_path_factory.mktemp("visit") / "rules", visit_files()))
    yield book
    book.close()


@pytest.fixture
def ask_visit(visit_book: RuleBook) -> Asking:
    return Asking(create_app(visit_book, Settings()))
