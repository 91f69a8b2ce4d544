"""Remember which tokens were taken, so that each is taken once: by all workers of one supervisor, or by one process.

A token is remembered for as long as it could still be shown. Where so many of one holder live that no more can be
remembered, none of that holder is taken: a token that could be shown again unnoticed is worse than one that is refused.
Others are not touched by it: each holder, an issuer or one of its tenants, has a memory of its own.
"""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

__all__ = ["TOKENS", "InFolder", "InProcess", "TakenTokens", "taken_tokens_in"]

TOKENS = "tokens"  # in the state folder
MOST = 100_000  # living tokens of a holder
LOOK_AFTER = 1_000  # tokens taken, before those that are over are looked for again
LEEWAY_S = 10


class TakenTokens(Protocol):
    """A memory of tokens."""

    def first_time(self, holder: str, name: str, until_s: float) -> bool:
        """Take a token of a holder by its name, which lives until then (seconds since 1970); False if it cannot be."""


class InProcess:
    """A memory of this process alone."""

    def __init__(self, clock: Callable[[], float] = time.time) -> None:
        """Begin with no token."""
        self._clock = clock
        self._taken: dict[str, dict[str, float]] = {}

    def first_time(self, holder: str, name: str, until_s: float) -> bool:
        """Take a token, once."""
        taken = self._taken.setdefault(holder, {})
        if len(taken) >= MOST:
            now = self._clock()
            taken = {one: until for one, until in taken.items() if until + LEEWAY_S > now}
            self._taken[holder] = taken
        if name in taken or len(taken) >= MOST:
            return False
        taken[name] = until_s
        return True


class InFolder:
    """A memory that processes share: a folder a holder, and in it one empty file a token, which only one can make."""

    def __init__(self, folder: Path, clock: Callable[[], float] = time.time) -> None:
        """Begin with what others have taken.

        Args:
            folder: Made if it is not there; only we can read it.
            clock: The time in seconds since 1970.
        """
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        self._folder = folder
        self._clock = clock
        self._before_look: dict[Path, int] = {}

    def first_time(self, holder: str, name: str, until_s: float) -> bool:
        """Take a token, once.

        Raises:
            OSError: The folder cannot be written to.
        """
        folder = self._folder / _hidden(holder)
        if self._before_look.get(folder, 0) == 0:
            folder.mkdir(mode=0o700, exist_ok=True)
            if self._living(folder) >= MOST:
                return False
            self._before_look[folder] = LOOK_AFTER
        made = folder / _hidden(name)
        try:
            os.close(os.open(made, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        except FileExistsError:
            return False
        os.utime(made, (until_s, until_s))  # until then it counts as just made, which is within the leeway
        self._before_look[folder] -= 1
        return True

    def _living(self, folder: Path) -> int:
        """How many tokens of a holder may still be shown; files of others are removed."""
        now, living = self._clock(), 0
        with os.scandir(folder) as files:
            for one in files:
                try:
                    if one.stat().st_mtime + LEEWAY_S > now:
                        living += 1
                    else:
                        Path(one).unlink()
                except FileNotFoundError:
                    continue  # another process has removed it
        return living


def _hidden(name: str) -> str:
    """A name that can be a file's and tells nothing."""
    return hashlib.sha256(name.encode()).hexdigest()


def taken_tokens_in(state_folder: Path | None) -> TakenTokens:
    """The memory that all workers share in a state folder; without one, that of this process."""
    return InProcess() if state_folder is None else InFolder(state_folder / TOKENS)
