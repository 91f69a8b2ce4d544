import asyncio
from pathlib import Path

import pytest

from api.app import create, create_app
from api.settings import Settings
from decision.errors import RuleBookError

TOY_RULES = Path(__file__).parents[1] / "toy_rules"


def test_the_service_says_ready_only_between_start_and_close(ask):
    async def around():
        async with ask.app.router.lifespan_context(ask.app):
            return ask.app.state.service.ready.is_set()

    before = ask("GET", "/readyz")
    during = asyncio.run(around())
    after = ask("GET", "/readyz")

    assert (before.status_code, during, after.status_code) == (503, True, 503)
    assert before.json()["type"] == "/problems/not-ready"
    assert before.headers["retry-after"] == "5"


def test_a_ready_service_says_so_and_by_which_rules(ask, toy_book):
    ask.app.state.service.ready.set()

    assert ask("GET", "/readyz").json() == {
        "status": "ready",
        "rule_book": {"version": toy_book.version, "digest": toy_book.digest},
        "refused": None,
    }


def test_the_process_is_alive_though_not_ready(ask):
    assert ask("GET", "/livez").json() == {"status": "alive"}


def test_the_factory_reads_the_rule_folder_that_the_environment_names(monkeypatch):
    monkeypatch.setenv("THAWLINE_RULES_FOLDER", str(TOY_RULES))
    monkeypatch.setenv("THAWLINE_BODY_LIMIT_BYTES", "5000")

    service = create().state.service

    assert len(service.book.vocabulary.inputs) == 7
    assert service.settings.body_limit_bytes == 5000


def test_a_rule_folder_with_a_fault_stops_the_start(tmp_path, monkeypatch):
    monkeypatch.setenv("THAWLINE_RULES_FOLDER", str(tmp_path))

    with pytest.raises(RuleBookError, match="Nothing was loaded"):
        create()


def test_two_services_stand_side_by_side(toy_book):
    one, other = create_app(toy_book, Settings()), create_app(toy_book, Settings(body_limit_bytes=2_000))

    one.state.service.ready.set()

    assert not other.state.service.ready.is_set()
    assert one.state.service.settings != other.state.service.settings
