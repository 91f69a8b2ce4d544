"""Rules are replaced while the service answers: good ones are taken, bad ones refused, and never are two mixed."""

import asyncio
import json
import os
import signal

import httpx
import pytest

from api.keys import hash_of
from api.running.editions import Editions
from api.settings import Settings
from api.worker.board import Board, Notice
from api.worker.house import house_of
from decision.errors import DecisionError
from decision.folder_reading import shipped_rules
from tests.api.busy_service import running
from tests.benchmarks.reloads_under_load import reload_under_load
from tests.two_books import LASTING, RULE, first_book, right, second_book, verdict_in

JSON = {"Content-Type": "application/json"}
SENTENCE = "Bella Wanderley, 14 Mill Lane"  # as of a person; nothing that is wrong in a rule file may be repeated


@pytest.fixture
def service(tmp_path):
    with running(tmp_path, first_book(tmp_path / "rules")) as service:
        yield service


def answer(service):
    return httpx.post(f"{service.url}/v1/recommendations", json=LASTING, timeout=30).json()


def versions(service):
    """The versions by which ten questions over ten connections were answered."""
    return {service.ready()["rule_book"]["version"] for _ in range(10)}


def test_a_change_is_taken_by_every_worker_at_a_signal(service, tmp_path):
    assert verdict_in(answer(service)) == "sample_first"

    second_book(tmp_path / "rules")
    service.signal(signal.SIGHUP)

    service.until(lambda: versions(service) == {"2026.12.0"})
    assert verdict_in(answer(service)) == "do_not_freeze"
    assert service.ready()["refused"] is None
    assert service.metric('thawline_reloads_total{result="taken"}') == 1
    digest = service.ready()["rule_book"]["digest"]
    assert service.metric(f'thawline_rule_book_info{{digest="{digest}",version="2026.12.0"}}') == 1


def test_a_bad_change_is_refused_with_every_fault_and_the_old_rules_answer_on(service, tmp_path):
    rules = second_book(tmp_path / "rules")
    with (rules / RULE).open("a") as rule:
        rule.write(f"owner: {SENTENCE}\n")
    (rules / "cautions" / "decision.yaml").write_text("question: [\n")

    service.signal(signal.SIGHUP)

    refused = service.until(lambda: service.ready()["refused"])
    assert len(refused["places"]) >= 2
    assert any(one.startswith(f"rules/{RULE}:") for one in refused["places"])
    assert any(one.startswith("rules/cautions/decision.yaml:") for one in refused["places"])
    told = [line["message"] for line in service.said("refused rules: ")]
    assert len(told) == len(refused["places"])
    assert SENTENCE not in json.dumps(service.ready())
    assert versions(service) == {"2026.11.0"}
    assert verdict_in(answer(service)) == "sample_first"
    assert service.metric("thawline_rules_refused") == 1

    # A worker that starts meanwhile answers by the old rules too.
    os.kill(service.workers()[0], signal.SIGKILL)
    service.until(lambda: len(service.workers()) == 2 and service.metric("thawline_workers_replaced_total") == 1)
    assert versions(service) == {"2026.11.0"}

    # And once it is mended it is taken.
    second_book(rules)
    service.signal(signal.SIGHUP)
    service.until(lambda: versions(service) == {"2026.12.0"})
    assert service.ready()["refused"] is None
    answering = [
        line for line in httpx.get(f"{service.url}/metrics", timeout=30).text.splitlines() if "book_info{" in line
    ]
    assert [line.rpartition(" ")[2] for line in answering if "2026.11.0" in line] == [
        "0.0"
    ]  # the dead worker's is gone


def test_rules_whose_examples_would_not_notice_a_change_are_refused(service, tmp_path):
    rule = second_book(tmp_path / "rules") / RULE
    kept = [line for line in rule.read_text().splitlines() if "just under a month" not in line]
    rule.write_text("\n".join(kept) + "\n")

    service.signal(signal.SIGHUP)

    assert service.until(lambda: service.ready()["refused"])["places"][0] == RULE
    assert versions(service) == {"2026.11.0"}


def test_a_watched_folder_is_taken_without_a_signal(tmp_path):
    with running(tmp_path, first_book(tmp_path / "rules"), workers=1, rules_poll_s="1") as service:
        second_book(tmp_path / "rules")

        service.until(lambda: service.ready()["rule_book"]["version"] == "2026.12.0")


WEST, EAST = "a-key-of-the-west", "a-key-of-the-east"


def keys_for(*keys):
    """The file of keys, for its holders."""
    return "keys:\n" + "".join(f"  - {{name: n{hash_of(one)[:8]}, sha256: {hash_of(one)}}}\n" for one in keys)


def statuses(service):
    """How each of the two holders is answered, over several connections."""
    asked = [(key, httpx.get(f"{service.url}/v1/rule-book", headers={"X-API-Key": key})) for key in 5 * (WEST, EAST)]
    return {(key, one.status_code) for key, one in asked}


def test_a_key_is_taken_back_at_a_signal_with_the_shipped_rules(tmp_path):
    keys = tmp_path / "keys.yaml"
    keys.write_text(keys_for(WEST, EAST))
    with running(tmp_path, shipped_rules(), workers=1, api_keys=str(keys)) as service:
        assert statuses(service) == {(WEST, 200), (EAST, 200)}

        keys.write_text(keys_for(WEST))
        service.signal(signal.SIGHUP)

        service.until(lambda: statuses(service) == {(WEST, 200), (EAST, 401)})
        assert service.ready()["refused"] is None


def test_a_key_is_taken_back_though_the_rules_are_refused(tmp_path):
    keys, rules = tmp_path / "keys.yaml", first_book(tmp_path / "rules")
    keys.write_text(keys_for(WEST, EAST))
    with running(tmp_path, rules, api_keys=str(keys)) as service:
        (rules / "cautions" / "decision.yaml").write_text("question: [\n")
        keys.write_text(keys_for(WEST))
        service.signal(signal.SIGHUP)

        service.until(lambda: statuses(service) == {(WEST, 200), (EAST, 401)})
        assert service.ready()["refused"]["places"]
        assert versions(service) == {"2026.11.0"}
        assert service.metric('thawline_reloads_total{result="taken"}') == 0


def test_keys_that_cannot_be_read_take_no_key_away_and_are_told(tmp_path):
    keys, rules = tmp_path / "keys.yaml", first_book(tmp_path / "rules")
    keys.write_text(keys_for(WEST, EAST))
    with running(tmp_path, rules, api_keys=str(keys)) as service:
        (rules / "cautions" / "decision.yaml").write_text("question: [\n")
        keys.write_text("keys: 3\n")
        service.signal(signal.SIGHUP)

        service.until(lambda: service.said("Keys and mapping are not read again: the settings"))
        assert statuses(service) == {(WEST, 200), (EAST, 200)}


def test_a_service_whose_rules_vanish_answers_on(service, tmp_path):
    (tmp_path / "rules").rename(tmp_path / "elsewhere")

    service.signal(signal.SIGHUP)

    assert service.until(lambda: service.ready()["refused"])["places"] == ["the rule folder"]
    assert verdict_in(answer(service)) == "sample_first"


def test_an_answer_ends_on_the_rules_it_began_with_and_their_memory_is_given_back(tmp_path):
    first, second = first_book(tmp_path / "a" / "rules"), second_book(tmp_path / "b" / "rules")
    board = Board(tmp_path)
    board.put(Notice(str(first)))
    editions = Editions(house_of(Settings(state_folder=tmp_path)), first)
    line = json.dumps(LASTING).encode() + b"\n"
    before = editions.book

    async def replaced_in_the_middle():
        go_on = asyncio.Event()

        async def lines():
            yield line
            await go_on.wait()
            yield line

        client = httpx.AsyncClient(transport=httpx.ASGITransport(app=editions), base_url="http://thawline.test")
        async with client, editions.living():
            batch = asyncio.create_task(
                client.post("/v1/batches", content=lines(), headers={"Content-Type": "application/x-ndjson"})
            )
            await asyncio.sleep(0)
            board.put(Notice(str(second)))
            async with asyncio.timeout(30):
                while (new := (await client.post("/v1/recommendations", json=LASTING)).json())["rule_book"][
                    "version"
                ] != "2026.12.0":
                    await asyncio.sleep(0.05)  # until the board was looked at
            still_open = before.recommend(LASTING)
            go_on.set()
            return new, still_open, [json.loads(one)["answer"] for one in (await batch).text.splitlines()]

    new, still_open, batch = asyncio.run(replaced_in_the_middle())

    assert verdict_in(new) == "do_not_freeze"
    assert [verdict_in(one) for one in (still_open, *batch)] == ["sample_first"] * 3
    assert [one["rule_book"]["version"] for one in batch] == ["2026.11.0"] * 2
    with pytest.raises(DecisionError):
        before.recommend(LASTING)  # its networks were given back when the batch had ended


def test_reloads_under_load_give_no_wrong_answer(tmp_path):
    found = reload_under_load(12, tmp_path)

    assert (found.wrong, found.lost) == (0, 0)
    assert found.answers >= found.reloads == 12
    assert found.growth_mb < 25  # the memory of a thousand is measured by the script; this is only a stop


def test_the_check_of_a_wrong_answer_can_fail():
    assert not right({"rule_book": {"version": "2026.11.0"}, "lesions": [{"suitability": {"verdict": "suitable"}}]})
