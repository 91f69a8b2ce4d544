"""The reader of YAML: `decision.strict_yaml`. An input is a text."""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Iterator
from typing import Any

import yaml

from decision.strict_yaml import Document, in_words, read_yaml
from tests.fuzz.harness import STRANGE, Harness, mutated_tree
from tests.small_folder import in_yaml, small_files

__all__ = ["HARNESS", "TEXTS"]

TEXTS = (
    "a: &a [1]\nb: *a",
    "a: !!python/object:os.system x",
    "a: !x 1\nb: ! 2\nc: !!str 3",
    "a: 1\na: 2",
    "--- 1\n--- 2",
    "? [a]\n: b",
    "? \n: b",
    "when:\n  base_width_mm: >= 10",
    "title: 'never closed",
    "\ta: 1",
    "a: " + "[" * 30 + "]" * 30,
    "a: 999999999999999999\nb: 1.5e3\nc: 0x10\nd: 2026-11-24\ne: .inf\nf: -0\ng: +1\nh: 007\ni: 1.0",
    "%YAML 1.1\n---\na: \u0085b",
    "\ufeffa: \u2028",
    'a: "\\ud83d\\ude00 \\uD800 \\x00 \\L"',
    "a: |\n  one\n\n  two\nb: >-\n  one\n  two\n",
    "a: 123456789012345678901234567890.5",
    "<<: {a: 1}\nb: 2",
)


def seeds() -> Iterable[bytes]:
    """Texts that are hard to read, and the files of the small folder."""
    yield from (one.encode() for one in TEXTS)
    yield from (in_yaml(one).encode() for one in (*STRANGE, *small_files().values()))


def hold(data: bytes) -> None:
    """A text has faults that name a line of it, or is data that reads the same when it is written again."""
    text = data.decode("utf-8", "replace")
    document, faults = read_yaml(text, file="x.yaml")
    most = len(text.splitlines()) + 1
    for fault in faults:
        assert fault.message
        assert 1 <= fault.line <= most, (fault, most)
    assert all(1 <= line <= most and isinstance(in_words(path), str) for path, line in document.lines.items())
    if not faults:
        _reads_the_same(document)


def _reads_the_same(document: Document) -> None:
    assert all(_plain(value) for value in _leaves(document.data))
    again, faults = read_yaml(in_yaml(document.data), file="x.yaml")
    assert not faults, faults
    assert repr(again.data) == repr(document.data), "written again it reads otherwise"


def _leaves(data: Any) -> Iterator[Any]:
    if isinstance(data, dict):
        yield from data
        data = list(data.values())
    if isinstance(data, list):
        for one in data:
            yield from _leaves(one)
    else:
        yield data


def _plain(value: Any) -> bool:
    """Whether a value is one that JSON has, and that UTF-8 can hold."""
    if isinstance(value, str):
        return value.encode("utf-8", "replace").decode() == value
    return value is None or isinstance(value, bool | int) or (isinstance(value, float) and math.isfinite(value))


def _mutated(data: bytes, chance: random.Random) -> bytes:
    try:
        return in_yaml(mutated_tree(yaml.safe_load(data), chance)).encode()
    except (yaml.YAMLError, ValueError, TypeError, RecursionError):
        return data


HARNESS = Harness(seeds, hold, _mutated)
