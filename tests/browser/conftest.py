"""A running service, a browser that may ask nobody else, and a person who fills in a case."""

from __future__ import annotations

import contextlib
import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

ROOT = Path(__file__).parents[2]
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PATIENCE_MS = 8_000
FIRST = (("patient.species", "dog"), ("lesions.0.lesion_kind", "stalked_tag"), ("lesions.0.site", "trunk"))
MEASURES = (
    ("patient.age_years", "11"),
    ("patient.weight_kg", "24"),
    ("lesions.0.base_width_mm", "3"),
    ("lesions.0.height_mm", "2.5"),
    ("equipment.cone_bores_mm", "5 8 12"),
)
LATER = (
    ("lesions.0.known_diagnosis", "skin_tag"),
    ("lesions.0.diagnosis_basis", "appearance"),
    ("lesions.0.change_4_weeks", "none"),
    ("lesions.0.surface", "intact"),
    ("lesions.0.colour", "skin"),
    ("equipment.cryogen", "dimethyl_ether_propane"),
)
LAST = (
    ("lesions.0.under_skin", "muscle_or_fat"),
    ("lesions.0.site_can_be_level", "yes"),
    ("lesions.0.seals_all_round", "yes"),
)
TICKS = (("patient.ruled_out", "general_health"), ("lesions.0.ruled_out", "lesion_signs"))


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a running service over the shipped rule book."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    log = tmp_path_factory.mktemp("service") / "log.txt"
    command = [sys.executable, "-m", "uvicorn", "api.app:create", "--factory", "--port", str(port)]
    with log.open("wb") as written:
        running = subprocess.Popen(command, cwd=ROOT, env={**os.environ}, stdout=written, stderr=written)
    try:
        url = f"http://127.0.0.1:{port}"
        for _ in range(300):
            assert running.poll() is None, log.read_text()
            with contextlib.suppress(OSError), urllib.request.urlopen(f"{url}/readyz"):
                break
            time.sleep(0.1)  # of waiting for another process, not of a test
        yield url
    finally:
        running.terminate()
        running.wait(timeout=20)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        yield opened
        opened.close()


class Person:
    """Somebody at a page, with a note of what the browser complained of and whom it asked."""

    def __init__(self, context: BrowserContext, service: str) -> None:
        context.set_default_timeout(PATIENCE_MS)
        self.page: Page = context.new_page()
        self.service = service
        self.complaints: list[str] = []
        self.asked: set[str] = set()
        self.page.on("console", lambda said: self.complaints.append(said.text))
        self.page.on("pageerror", lambda fault: self.complaints.append(str(fault)))
        self.page.on("request", lambda request: self.asked.add(urlsplit(request.url).netloc))

    def go(self, path: str) -> Page:
        self.page.goto(self.service + path)
        return self.page

    def choose(self, name: str, value: str) -> None:
        """Tap an answer, or take it from its list, and wait for the page to follow."""
        radio = self.page.locator(f'input[name="{name}"][value="{value}"]')
        listed = self.page.locator(f'select[name="{name}"]')
        self.page.locator(f'[name="{name}"]').first.wait_for(state="attached")
        with self.following():
            listed.select_option(value) if listed.count() else radio.check()

    def write(self, name: str, value: str) -> None:
        with self.following():
            self.page.fill(f'input[name="{name}"]', value)

    @contextlib.contextmanager
    def following(self) -> Iterator[None]:
        """Wait until the answer on the page is the one to what the page states."""
        yield
        self.page.locator("#answer:not([aria-busy])").wait_for(state="attached")

    def fill_in_a_tag(self) -> None:
        """State an old dog's soft tag on the flank, by mouse."""
        self.go("/")
        for name, value in FIRST:
            self.choose(name, value)
        for name, value in MEASURES:
            self.write(name, value)
        for name, value in LATER:
            self.choose(name, value)
        for name, value in TICKS:
            self.choose(name, value)
        for name, value in LAST:
            self.choose(name, value)

    @property
    def verdict(self) -> str:
        return self.page.locator(".verdict").first.inner_text().casefold()


@pytest.fixture
def person(browser: Browser, service: str) -> Iterator[Person]:
    """Somebody with a mouse at a desk. At the end nothing was complained of and nobody else was asked."""
    context = browser.new_context(viewport={"width": 1360, "height": 900})
    somebody = Person(context, service)
    yield somebody
    context.close()
    assert somebody.complaints == []
    assert somebody.asked <= {urlsplit(service).netloc}


@pytest.fixture
def without_script(browser: Browser, service: str) -> Iterator[Person]:
    """Somebody whose browser runs no script."""
    context = browser.new_context(java_script_enabled=False)
    somebody = Person(context, service)
    yield somebody
    context.close()
    assert somebody.asked <= {urlsplit(service).netloc}
