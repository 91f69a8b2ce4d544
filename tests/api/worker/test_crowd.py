"""Who is too many is told so at once, and who is not is answered as fast as ever."""

import asyncio
import json

import httpx
import pytest

from api.app import create_app
from api.problems import Problem
from api.settings import Settings
from api.worker.crowd import NEVER_SHED, Crowd
from tests.api.conftest import a_case

HEADERS = {"Content-Type": "application/json"}


def together(app, count):
    """Post a case so many times at once; the answers."""

    async def posted():
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport, base_url="http://thawline.test") as client:
            one = {"content": json.dumps(a_case()), "headers": HEADERS}
            return await asyncio.gather(*(client.post("/v1/recommendations", **one) for _ in range(count)))

    return asyncio.run(posted())


def test_as_many_as_may_wait_are_answered_and_the_others_are_told_when_to_come_again(toy_book):
    app = create_app(toy_book, Settings(waiting_limit=3))

    answers = together(app, 10)

    assert sorted(one.status_code for one in answers) == [200] * 3 + [503] * 7
    for one in (one for one in answers if one.status_code == 503):
        assert one.json()["type"] == "/problems/overloaded"
        assert one.headers["retry-after"] == "1"
        assert one.headers["x-request-id"] == one.json()["request_id"]


def test_who_waited_makes_place_for_the_next(toy_book):
    app = create_app(toy_book, Settings(waiting_limit=3))

    for _ in range(3):
        assert [one.status_code for one in together(app, 3)] == [200] * 3


def test_a_hook_that_is_too_many_gets_an_outcome(toy_book):
    app = create_app(toy_book, Settings(open_limit=1, waiting_limit=1))

    async def while_one_is_open():
        house = app.state.service.house
        house.crowd.open = 1
        transport = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=transport, base_url="http://thawline.test") as client:
            return await client.get("/cds-services")

    answer = asyncio.run(while_one_is_open())

    assert (answer.status_code, answer.json()["issue"][0]["code"]) == (503, "transient")


@pytest.mark.parametrize("path", sorted(NEVER_SHED))
def test_what_tells_about_the_service_is_never_refused(toy_book, ask, path):
    app = create_app(toy_book, Settings(open_limit=1))
    app.state.service.ready.set()
    app.state.service.house.crowd.open = 1

    assert type(ask)(app)("GET", path).status_code == 200
    assert type(ask)(app)("GET", "/v1/rules").status_code == 503


def test_a_request_that_fails_gives_its_place_back(toy_book, ask):
    app = create_app(toy_book, Settings(open_limit=1))

    for _ in range(3):
        assert type(ask)(app).recommend("{").status_code == 400

    assert app.state.service.house.crowd.open == 0


def test_only_so_many_wait_for_their_turn():
    async def three():
        crowd = Crowd(open_limit=10, waiting_limit=2)
        return await asyncio.gather(*(crowd.turn() for _ in range(3)), return_exceptions=True), crowd.full

    (first, second, third), full = asyncio.run(three())

    assert (first, second, full) == (None, None, False)
    assert isinstance(third, Problem)
    assert third.kind.name == "overloaded"


def test_however_many_batches_there_are_a_case_waits_for_two_of_their_lines_at_most():
    async def lines_before_the_case():
        crowd, done = Crowd(open_limit=100, waiting_limit=4), []

        async def batch():
            for _ in range(50):
                await crowd.line_turn()
                done.append("line")

        async def case():
            while not done:
                await asyncio.sleep(0)
            before = len(done)
            await crowd.turn()
            return len(done) - before

        *_, between = await asyncio.gather(*(batch() for _ in range(20)), case())
        return between

    assert asyncio.run(lines_before_the_case()) <= 2
