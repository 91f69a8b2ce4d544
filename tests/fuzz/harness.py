"""What a harness is: inputs to begin with, and what must hold whatever bytes come.

A harness holds when nothing but the documented errors leaves the reader, and what is accepted survives a round trip.
Where it does not hold, an exception leaves it: an AssertionError of its own, or the one that should not have left.
"""

from __future__ import annotations

import importlib
import json
import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

__all__ = ["NAMES", "Harness", "findings", "harness_named", "mutated", "mutated_bytes", "mutated_tree"]

NAMES = ("batches", "bodies", "records", "rule_folders", "unary_tests", "yaml_texts")

Mutation = Callable[[bytes, random.Random], bytes]

STRANGE: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 1, 10**15, -(10**15), 0.5, -0.0, 1e-320, 1e15, 1e300, 9007199254740993),
    *("", "0", "no", "null", "10.0", "1e5", "\u0000", "\u2028", "\U0001f43e", "a" * 70, "../x", "#/a~1b", "${x}"),
    *("2026-11-24", "2026-02-30", "0001-01-01", "9999-12-31", "2026-11-24T23:59:60Z", "2026", "urn:uuid:1"),
    *([], {}, [[]], [None], {"": ""}, {"value": 1}, {"coding": [{}]}),
)
BYTES = (b"", b"\x00", b"\xff", b"\n", b'"', b"{", b"}", b"[", b"]", b":", b",", b"-", b".", b"1", b"9" * 400, b"e9")


@dataclass(frozen=True, slots=True)
class Harness:
    """A reader under test.

    Attributes:
        seeds: Makes the inputs to begin with: accepted ones, and ones with a fault.
        hold: Raises when what must hold does not.
        mutate: Changes an input in its own terms, where plain bytes would only break it; None where bytes do.
    """

    seeds: Callable[[], Iterable[bytes]]
    hold: Callable[[bytes], None]
    mutate: Mutation | None = None


def harness_named(name: str) -> Harness:
    """The harness in the module of that name. What it tries is imported with it, and not before."""
    harness: Harness = importlib.import_module(f"tests.fuzz.{name}").HARNESS
    return harness


def findings(name: str) -> list[bytes]:
    """What once broke what a harness holds, kept so that it does so no more."""
    return [path.read_bytes() for path in sorted((Path(__file__).parent / "findings" / name).glob("*"))]


def mutated(harness: Harness, data: bytes, chance: random.Random) -> bytes:
    """Change an input, in its own terms or byte by byte."""
    if harness.mutate is None or chance.random() < 0.3:
        return mutated_bytes(data, chance)
    return harness.mutate(data, chance)


def mutated_bytes(data: bytes, chance: random.Random) -> bytes:
    """Cut some bytes out, or put others in their place."""
    start = chance.randint(0, len(data))
    end = min(len(data), start + chance.choice((0, 0, 1, 1, 2, 8, 40)))
    return data[:start] + chance.choice((*BYTES, data[:40], data[end:start:-1])) + data[end:]


def mutated_tree(data: Any, chance: random.Random) -> Any:
    """Change one to three places of plain data: leave out, repeat, rename, put something strange or something near."""
    made = json.loads(json.dumps(data))
    for _ in range(chance.randint(1, 3)):
        places = list(_places(made))
        if places:
            _change(*chance.choice(places), chance.choice(places), chance)
    return made


def _places(data: Any) -> Iterable[tuple[Any, Any]]:
    """Every container with a key or number in it."""
    if isinstance(data, dict | list):
        for step in data if isinstance(data, dict) else range(len(data)):
            yield data, step
            yield from _places(data[step])


def _change(inside: Any, step: Any, other: tuple[Any, Any], chance: random.Random) -> None:
    doing = chance.randint(0, 5)
    if doing == 0:
        del inside[step]
    elif doing == 1 and isinstance(inside, dict):
        inside[chance.choice(("x", "", f"{step}s", "resourceType", "$m", "id"))] = inside.pop(step)
    elif doing == 2 and isinstance(inside, list):
        inside.insert(step, json.loads(json.dumps(inside[step])))
    elif doing == 3:
        inside[step] = json.loads(json.dumps(other[0][other[1]])) if other[1] in _steps(other[0]) else None
    elif doing == 4:
        inside[step] = _near(inside[step], chance)
    else:
        inside[step] = json.loads(json.dumps(chance.choice(STRANGE)))


def _steps(inside: Any) -> Any:
    return inside if isinstance(inside, dict) else range(len(inside))


def _near(value: Any, chance: random.Random) -> Any:
    """Another value of the same kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return chance.choice((value + 1, -value, value * 1000, value // 3))
    if isinstance(value, str):
        return mutated_bytes(value.encode(), chance).decode("utf-8", "replace")
    return [value]
