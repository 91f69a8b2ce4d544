"""A token is taken once, by whatever process, and is forgotten when it can no longer be shown."""

import threading

import pytest

from api.worker import taken_tokens
from api.worker.taken_tokens import LEEWAY_S, InFolder, InProcess, taken_tokens_in
from tests.api.clock import Clock


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture(params=["process", "folder"])
def taken(request, clock, tmp_path):
    return InProcess(clock) if request.param == "process" else InFolder(tmp_path / "tokens", clock)


def test_a_token_is_taken_once_and_another_after_it(taken, clock):
    assert [taken.first_time("west", name, clock.now + 60) for name in ("a", "a", "b", "a")] == [
        True,
        False,
        True,
        False,
    ]


def test_none_is_taken_while_too_many_live(taken, clock, monkeypatch):
    monkeypatch.setattr(taken_tokens, "MOST", 3)
    monkeypatch.setattr(taken_tokens, "LOOK_AFTER", 1)

    assert [taken.first_time("west", name, clock.now + 60) for name in "abcd"] == [True, True, True, False]


def test_a_holder_that_has_taken_all_locks_nobody_else_out(taken, clock, monkeypatch):
    monkeypatch.setattr(taken_tokens, "MOST", 3)
    monkeypatch.setattr(taken_tokens, "LOOK_AFTER", 1)
    for name in "abcd":
        taken.first_time("west", name, clock.now + 60)

    assert not taken.first_time("west", "e", clock.now + 60)
    assert [taken.first_time("east", name, clock.now + 60) for name in ("a", "a")] == [True, False]


def test_what_is_over_makes_place_and_what_lives_stays_known(taken, clock, monkeypatch):
    monkeypatch.setattr(taken_tokens, "MOST", 3)
    monkeypatch.setattr(taken_tokens, "LOOK_AFTER", 1)
    for name, lives_s in (("a", 60), ("b", 60), ("c", 900)):
        assert taken.first_time("west", name, clock.now + lives_s)

    clock.now += 60 + LEEWAY_S - 1
    assert not taken.first_time("west", "d", clock.now + 60)

    clock.now += 2
    assert [taken.first_time("west", name, clock.now + 60) for name in ("d", "c")] == [True, False]


def test_of_many_that_take_a_token_at_once_one_has_it(tmp_path, clock):
    memories = [InFolder(tmp_path / "tokens", clock) for _ in range(8)]
    found, ready = [], threading.Barrier(len(memories))

    def take(memory):
        ready.wait()
        found.extend(memory.first_time("west", f"token {i}", clock.now + 60) for i in range(50))

    threads = [threading.Thread(target=take, args=(one,)) for one in memories]
    for one in threads:
        one.start()
    for one in threads:
        one.join()

    assert (found.count(True), found.count(False)) == (50, 350)


def test_no_name_of_a_token_is_written_and_only_we_can_read_the_folder(tmp_path, clock):
    taken_tokens_in(tmp_path).first_time("issuer", "issuer and token", clock.now + 60)

    (folder,) = tmp_path.iterdir()
    assert folder.stat().st_mode & 0o777 == 0o700
    (holder,) = folder.iterdir()
    assert (holder.stat().st_mode & 0o777, "issuer" in holder.name) == (0o700, False)
    (file,) = holder.iterdir()
    assert (file.read_bytes(), "issuer" in file.name) == (b"", False)


def test_without_a_state_folder_the_process_remembers():
    assert isinstance(taken_tokens_in(None), InProcess)
