"""More clients than a worker can answer: some are answered as ever, the others are told so, and none hangs.

How long those wait who are answered is measured and judged by the benchmarks.
"""

import asyncio
import json

import httpx
import pytest

from decision.folder_reading import shipped_rules
from tests.api.busy_service import Client, busy, running, until_answered
from tests.benchmarks.practice_cases import practice_cases

CROWD = 40
BODIES = [json.dumps(case).encode() for case in practice_cases(100, seed=9)]


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    with running(tmp_path_factory.mktemp("overload"), shipped_rules(), workers=1) as service:
        yield service


@pytest.fixture(scope="module")
def alone(service):
    """What each case is answered while nobody else asks."""

    async def one_by_one():
        client = Client(service.url)
        found = [await client.post("/v1/recommendations", body) for body in BODIES]
        client.close()
        return found

    return asyncio.run(one_by_one())


@pytest.fixture(scope="module")
def crowd(service, alone):
    """What came of the requests of a crowd; one that hangs would have ended this with an error."""

    async def together():
        async with busy(service.url, BODIES, clients=CROWD) as asked:
            await until_answered(asked, 5 * len(BODIES))
        return asked

    return asyncio.run(together())


def test_who_asks_alone_is_never_refused(alone):
    assert {one.status for one in alone} == {200}


def test_whoever_is_too_many_is_told_so_and_nobody_is_lost(crowd):
    assert {one.status for one in crowd} == {200, 503}
    shed = [one for one in crowd if one.status == 503]
    assert {json.loads(one.body)["type"] for one in shed} == {"/problems/overloaded"}
    assert all(b"retry-after: 1\r\n" in one.head for one in shed)


def test_who_is_answered_in_a_crowd_is_answered_as_alone(alone, crowd):
    assert {one.body for one in crowd if one.status == 200} <= {one.body for one in alone}


def test_the_service_can_be_asked_about_itself_after_it(service, crowd):
    assert service.metric("thawline_shed_total") == sum(one.status == 503 for one in crowd)
    assert httpx.get(f"{service.url}/livez", timeout=10).status_code == 200
