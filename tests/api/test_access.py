"""Keys: none without one, hashed, as often and as many at once as was agreed, and no refusal says why."""

import asyncio
import json
import re

import pytest

from api.access import Access, Register
from api.app import create_app
from api.command.main import main
from api.keys import Key, UnusableKeys, hash_of, key_of, new_key, read_keys
from api.settings import Settings
from tests.api.clock import Clock
from tests.api.conftest import a_case, at_one_moment

KEY, OTHER = "first-key-of-a-practice", "second-key-of-a-practice"
FILE = f"""\
keys:
  - {{name: west, sha256: {hash_of(KEY)}, requests_per_minute: 3, at_once: 2}}
  - {{name: east, sha256: {hash_of(OTHER)}}}
"""


@pytest.fixture
def key_file(tmp_path):
    path = tmp_path / "keys.yaml"
    path.write_text(FILE)
    return path


@pytest.fixture
def guarded(ask, toy_book, key_file):
    """A service that asks for keys."""
    return at_one_moment(type(ask)(create_app(toy_book, Settings(api_keys=key_file))))


def test_a_known_key_lets_in(guarded):
    for key in (KEY, OTHER):
        assert guarded("GET", "/v1/rules", headers={"X-API-Key": key}).status_code == 200


@pytest.mark.parametrize("headers", [{}, {"X-API-Key": ""}, {"X-API-Key": KEY[:-1]}, {"X-API-Key": hash_of(KEY)}])
@pytest.mark.parametrize("path", ["/v1/rules", "/v1/nowhere"])
def test_any_other_key_is_a_401_that_does_not_say_why(guarded, headers, path):
    answer = guarded("GET", path, headers=headers)

    assert (answer.status_code, answer.headers["www-authenticate"]) == (401, "ApiKey")
    assert answer.json()["type"] == "/problems/no-api-key"
    assert answer.json()["detail"] == guarded("GET", "/v1/rules").json()["detail"]


def test_two_keys_are_none(guarded):
    assert guarded("GET", "/v1/rules", headers=[("X-API-Key", KEY), ("X-API-Key", KEY)]).status_code == 401


def test_cds_hooks_is_guarded_too_and_refuses_with_an_outcome(guarded):
    answer = guarded("GET", "/cds-services")

    assert (answer.status_code, answer.json()["resourceType"]) == (401, "OperationOutcome")
    assert guarded("GET", "/cds-services", headers={"X-API-Key": KEY}).status_code == 200


@pytest.mark.parametrize(
    "path", ["/livez", "/openapi.json", "/problems/no-api-key", "/fhir/CodeSystem/finding", "/version"]
)
def test_what_tells_about_the_service_is_open(guarded, path):
    assert guarded("GET", path).status_code == 200


def test_without_keys_everybody_is_let_in(ask):
    assert ask("GET", "/v1/rules", headers={"X-API-Key": "anything"}).status_code == 200


def test_too_many_requests_in_a_minute_are_refused_with_the_time_to_wait(guarded):
    answers = [guarded("GET", "/v1/rules", headers={"X-API-Key": KEY}) for _ in range(4)]

    assert [one.status_code for one in answers] == [200, 200, 200, 429]
    assert answers[3].json()["type"] == "/problems/too-many-requests"
    assert answers[3].json()["detail"].startswith("3 requests a minute were agreed")
    assert answers[3].headers["retry-after"] == "21"  # the next of three a minute comes back within 20 s
    assert guarded("GET", "/v1/rules", headers={"X-API-Key": OTHER}).status_code == 200


def test_every_answer_to_a_known_key_says_what_is_left(guarded):
    answers = [guarded("GET", path, headers={"X-API-Key": KEY}) for path in ("/v1/rules", "/v1/nowhere", "/v1/rules")]
    refused = guarded("GET", "/v1/rules", headers={"X-API-Key": KEY})

    assert {one.headers["ratelimit-policy"] for one in (*answers, refused)} == {'"minute";q=3;w=60'}
    left = [re.fullmatch('"minute";r=([0-9]+);t=([0-9]+)', one.headers["ratelimit"]) for one in (*answers, refused)]
    assert [int(one[1]) for one in left] == [2, 1, 0, 0]
    assert [int(one[2]) for one in left] == [20, 40, 60, 60]


def batch(asking, lines, key=KEY):
    """Send a batch; the lines of its answer."""
    headers = {"Content-Type": "application/x-ndjson", **({"X-API-Key": key} if key else {})}
    answer = asking("POST", "/v1/batches", content="\n".join(lines), headers=headers)
    assert answer.status_code == 200
    return [json.loads(one) for one in answer.text.splitlines()]


def test_each_line_of_a_batch_is_one_of_the_requests_that_were_agreed(guarded):
    case = json.dumps(a_case())

    told = batch(guarded, [case, "", "{", case, case, case])

    assert [(one["line"], "answer" in one) for one in told] == [
        (1, True),
        (3, False),  # no case, and counted
        (4, True),
        (5, False),
        (6, False),
    ]
    assert [one["problem"]["type"] for one in told[3:]] == ["/problems/too-many-requests"] * 2
    assert "3 requests a minute were agreed" in told[4]["problem"]["detail"]
    assert [one["retry_after_s"] for one in told[3:]] == [21, 41]
    assert guarded("GET", "/v1/rules", headers={"X-API-Key": KEY}).status_code == 429
    assert [len(batch(guarded, [case] * 5, key=OTHER))] == [5]


def test_without_keys_a_batch_has_as_many_lines_as_one_likes(ask):
    assert all("answer" in one for one in batch(ask, [json.dumps(a_case())] * 700, key=""))


@pytest.mark.parametrize("headers", [{}, {"X-API-Key": "unknown"}])
def test_nobody_else_is_told_of_limits(guarded, headers):
    for path in ("/v1/rules", "/livez"):
        assert "ratelimit" not in guarded("GET", path, headers=headers).headers


@pytest.fixture
def clock():
    return Clock()


class Guarding:
    """An application behind keys, whose requests stay open until they are let go."""

    def __init__(self, ask, clock, key):
        self.entered, self.gate = 0, asyncio.Event()
        self.statuses, self.said = [], []
        self.state_app = ask.app
        self.access = Access(self.inner, [key], Register(clock))

    async def inner(self, scope, receive, send):
        self.entered += 1
        await self.gate.wait()
        await send({"type": "http.response.start", "status": 200, "headers": []})

    async def request(self):
        async def send(message):
            if message["type"] == "http.response.start":
                self.statuses.append(message["status"])
            elif message.get("body"):
                self.said.append(json.loads(message["body"])["detail"])

        scope = {
            "type": "http",
            "path": "/v1/rules",
            "method": "GET",
            "headers": [(b"x-api-key", KEY.encode())],
            "state": {"request_id": "test-request"},
            "app": self.state_app,
        }
        await self.access(scope, None, send)


def test_more_at_once_than_agreed_are_refused_and_a_place_comes_back(ask, clock):
    async def scene():
        guarding = Guarding(ask, clock, Key("west", hash_of(KEY), 1_000, 2))
        running = [asyncio.create_task(guarding.request()) for _ in range(3)]
        await asyncio.sleep(0)
        refused = list(guarding.statuses)
        guarding.gate.set()
        await asyncio.gather(*running)
        await guarding.request()
        return refused, guarding.statuses, guarding.said

    refused, all_of_them, said = asyncio.run(scene())

    assert refused == [429]
    assert all_of_them == [429, 200, 200, 200]
    assert said == ["2 requests may be open at once, and as many are."]


def test_tokens_come_back_evenly(ask, clock):
    async def scene():
        guarding = Guarding(ask, clock, Key("west", hash_of(KEY), 2, 9))
        guarding.gate.set()
        for seconds in (0, 0, 0, 29, 1, 300, 0, 0):
            clock.now += seconds
            await guarding.request()
        return guarding.statuses

    assert asyncio.run(scene()) == [200, 200, 429, 429, 200, 200, 200, 429]


def test_a_new_key_is_long_and_never_drawn_twice():
    assert len({new_key() for _ in range(100)}) == 100
    assert len(new_key()) >= 43


def test_a_key_is_found_by_its_hash_alone(key_file):
    keys = read_keys(key_file)

    assert key_of(KEY, keys) == Key("west", hash_of(KEY), 3, 2)
    assert key_of(OTHER, keys) == Key("east", hash_of(OTHER), 600, 20)
    assert key_of("x" * 100_000, keys) is None


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("name: west", "name: West", "keys.yaml:2 keys[0].name"),
        (hash_of(KEY), KEY, "keys.yaml:2 keys[0].sha256"),
        ("requests_per_minute: 3", "requests_per_minute: 0", "keys[0].requests_per_minute"),
        ("name: east", "name: west", "keys.yaml:3 keys[1].name: stands twice"),
        (hash_of(OTHER), hash_of(KEY), "keys.yaml:3 keys[1].sha256: stands twice"),
        ("at_once", "at_ones", 'Did you mean "at_once"?'),
        ("keys:", "key:", "keys.yaml"),
    ],
)
def test_a_file_of_keys_with_a_fault_stops_the_start_and_shows_no_key(tmp_path, toy_book, before, after, said):
    path = tmp_path / "keys.yaml"
    path.write_text(FILE.replace(before, after, 1))

    with pytest.raises(UnusableKeys) as refused:
        create_app(toy_book, Settings(api_keys=path))

    assert said in str(refused.value)
    assert KEY not in str(refused.value)


def test_the_command_prints_a_key_and_an_entry_that_fits_it(tmp_path, capsys):
    assert main(["new-key", "west_practice"]) == 0

    printed = capsys.readouterr().out
    key = printed.splitlines()[0].rpartition(" ")[2]
    path = tmp_path / "keys.yaml"
    path.write_text(printed[printed.index("keys:") :])
    assert key_of(key, read_keys(path)).name == "west_practice"
