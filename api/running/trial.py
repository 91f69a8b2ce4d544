"""Put a rule folder on trial before it may answer: `python -m api.running.trial FOLDER`, in a process of its own.

All that `thawline check` asks but its proofs, which take seconds and find what an author should think about, not what
cannot be loaded. Then the service is made over it once, with the operator's own keys and mapping. The process may
crash, since the matcher is C: that too is a refusal. What it prints is JSON, a list of faults: empty for a good folder.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import orjson

from decision.errors import MatcherFault, RuleBookError

__all__ = ["Flaw", "Trial"]

LIMIT_S = 300


@dataclass(frozen=True, slots=True)
class Flaw:
    """What speaks against a rule folder: where (`file:line path`, or what was being done), and what is wrong there."""

    place: str
    said: str


class Trial:
    """One rule folder on trial."""

    def __init__(self, folder: Path) -> None:
        """Begin."""
        self.folder = folder
        self._until = time.monotonic() + LIMIT_S
        command = [sys.executable, "-m", "api.running.trial", str(folder)]
        self._process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, start_new_session=True
        )

    @property
    def process(self) -> int:
        """The number of the process."""
        return self._process.pid

    def outcome(self) -> list[Flaw] | None:
        """What was found; None while it goes on."""
        if self._process.poll() is None:
            if time.monotonic() < self._until:
                return None
            self.give_up()
        printed, _ = self._process.communicate()
        if self._process.returncode == 0:
            return [Flaw(**one) for one in orjson.loads(printed)]
        return [Flaw("the trial", f"it ended with {self._process.returncode} before it had come to an end.")]

    def give_up(self) -> None:
        """End it."""
        self._process.kill()
        self._process.wait()


def try_folder(folder: Path) -> list[Flaw]:
    """Try everything on a rule folder, in this process."""
    from api.app import create_app
    from api.operations.examples import answer_examples
    from api.settings import UnusableSetting, settings_from
    from decision import load_rule_book
    from decision.verification.examples import probe, tally

    try:
        book = load_rule_book(folder)
        probe(book)
        create_app(book, settings_from(os.environ))
        answer_examples(book)
    except RuleBookError as refused:
        return [Flaw(f"{one.file}:{one.line} {one.path}".rstrip(), one.message) for one in refused.faults]
    except (MatcherFault, UnusableSetting) as fault:
        return [Flaw("the two means of matching" if isinstance(fault, MatcherFault) else "the settings", str(fault))]
    survivors = [survivor for one in tally(book.folder, mutants=True) for survivor in one.survivors]
    return [Flaw(f"{one.rule}.yaml", f"no example notices this change: {one.change}") for one in survivors]


if __name__ == "__main__":
    sys.stdout.buffer.write(orjson.dumps(try_folder(Path(sys.argv[1]))))
