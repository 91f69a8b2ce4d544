"""Calls of CDS clients: the example that is shipped, changed by a test as it needs, and services."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from api.app import create_app
from api.settings import Settings
from decision.rule_book import RuleBook
from tests.api.conftest import Asking

ROOT = Path(__file__).parents[3]
EXAMPLE = ROOT / "openapi" / "examples" / "order_select_request.json"
SERVICE = "/cds-services/skin-lesion-freeze"
OURS = "https://thawline.example.org/fhir/CodeSystem/"


@pytest.fixture
def call() -> dict[str, Any]:
    """The shipped example: an order to freeze a dark tag on a dog has just been selected."""
    return json.loads(EXAMPLE.read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def service(shipped_book: RuleBook) -> Asking:
    """The service over the shipped rules."""
    return Asking(create_app(shipped_book, Settings(base_url="https://thawline.test")))


@pytest.fixture
def service_with(toy_book: RuleBook) -> Callable[..., Asking]:
    """Makes a service over the toy rules with settings of its own."""
    return lambda book=toy_book, **settings: Asking(create_app(book, Settings(**settings)))


@pytest.fixture
def advise(service) -> Callable[..., Any]:
    """Sends a call, and gives the answer."""
    return lambda sent, **how: service("POST", SERVICE, json=sent, **how)


@pytest.fixture
def cards(advise) -> Callable[[Any], list[dict[str, Any]]]:
    """Sends a call, and gives the cards."""

    def sent(one: Any) -> list[dict[str, Any]]:
        answer = advise(one)
        assert answer.status_code == 200, answer.text
        return answer.json()["cards"]

    return sent


@pytest.fixture
def on_hook(call) -> Callable[[str], dict[str, Any]]:
    """The example as a call of another hook."""

    def made(hook: str) -> dict[str, Any]:
        one = copy.deepcopy(call)
        one["hook"] = hook
        context = one["context"]
        selections, drafts = context.pop("selections"), context.pop("draftOrders")
        if hook.startswith("order"):
            context["draftOrders"] = drafts
        if hook == "order-select":
            context["selections"] = selections
        if hook.endswith("chart"):
            found = [*one["prefetch"]["conditions"].pop("entry"), *one["prefetch"]["observations"].pop("entry")]
            context["lesions"] = {"resourceType": "Bundle", "type": "collection", "entry": found}
            for key in ("conditions", "observations"):
                one["prefetch"][key]["total"] = 0
        return one

    return made
