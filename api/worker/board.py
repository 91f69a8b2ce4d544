"""The notice board: one small file by which the supervisor tells its workers which rules to answer by.

It lies in the state folder, which only the service's own user can read, and is replaced as a whole, so that a reader
finds the old notice or the new one and never half of one.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import orjson

__all__ = ["Board", "Notice", "Refusal"]


@dataclass(frozen=True, slots=True)
class Refusal:
    """A rule folder that was refused: when (ISO 8601), and each place (`file:line path`) where it has a fault."""

    at: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Notice:
    """What stands on the board.

    Attributes:
        rules: The copy of the rule folder that was checked last and found good.
        refused: The change that was refused since; None when the last one was taken.
        taken: How many changes were taken since the start.
        turned_down: How many were refused.
        replaced: How many workers were replaced after they had died or hung.
    """

    rules: str
    refused: Refusal | None = None
    taken: int = 0
    turned_down: int = 0
    replaced: int = 0


class Board:
    """The file that the notice is written to."""

    def __init__(self, state_folder: Path) -> None:
        """Name the file; it need not be there yet."""
        self._file = state_folder / "notice.json"
        self._seen = (0, 0)
        self._notice: Notice | None = None

    def put(self, notice: Notice) -> None:
        """Replace the notice."""
        fresh = self._file.with_suffix(".new")
        fresh.write_bytes(orjson.dumps(dataclasses.asdict(notice)))
        fresh.replace(self._file)

    def read(self) -> Notice | None:
        """The notice; None where there is no supervisor that writes one. It is read anew only when it was replaced."""
        try:
            found = self._file.stat()
        except FileNotFoundError:
            return None
        stamp = (found.st_ino, found.st_mtime_ns)  # a file that was put in its place has a number of its own
        if stamp != self._seen:
            self._notice, self._seen = _notice_of(orjson.loads(self._file.read_bytes())), stamp
        return self._notice


def _notice_of(data: Mapping[str, Any]) -> Notice:
    refused = data["refused"]
    return Notice(**{**data, "refused": Refusal(refused["at"], tuple(refused["places"])) if refused else None})
