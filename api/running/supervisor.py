"""Keep the workers alive, and tell them when there are new rules: what `thawline serve` runs.

uvicorn's supervisor starts the workers, hands them one listening socket, and notices one that died or hangs. Added
here: a worker that cannot start is tried again later instead of taking the others with it, a stop has an end, and the
rule folder is watched. A changed folder is copied, put on trial in a process of its own, and then named on the notice
board; a bad one is refused, and what answered before answers on. Who may call does not wait for rules to be mended: the
rules before are then put on trial once more, with the keys and the mapping as they are now, and taken anew.
"""

from __future__ import annotations

import dataclasses
import datetime
import logging
import signal
import time
from pathlib import Path
from socket import socket

import uvicorn
from prometheus_client.multiprocess import mark_process_dead
from uvicorn.config import STARTUP_FAILURE
from uvicorn.supervisors.multiprocess import Multiprocess, Process

from api.running.snapshot import fingerprint, keep_only, take_snapshot
from api.running.state_folder import counts_in
from api.running.trial import Flaw, Trial
from api.settings import Settings
from api.worker.board import Board, Notice, Refusal

__all__ = ["Supervisor"]

AGAIN_AFTER_S = 5.0  # a worker that could not start is tried again
KILL_AFTER_S = 5.0  # beyond the drain limit

log = logging.getLogger("thawline")


class Supervisor(Multiprocess):
    """The parent of the workers."""

    def __init__(self, config: uvicorn.Config, sockets: list[socket], settings: Settings, rules: Path) -> None:
        """Prepare to run.

        Args:
            config: How workers serve.
            sockets: What they listen at.
            settings: How the service is run; its state folder must be set.
            rules: The rule folder that is watched.
        """
        super().__init__(config, sockets)
        assert settings.state_folder is not None
        self._state_folder = settings.state_folder
        self._poll_s = settings.rules_poll_s
        self._board = Board(settings.state_folder)
        self._rules = rules
        self._notice = Notice("")
        self._trial: Trial | None = None
        self._renewing = False
        self._asked = False
        self._seen = self._looked = fingerprint(rules)
        self._next_look = 0.0
        self._served = False
        self._not_before: dict[int, float] = {}

    def begin_with(self, snapshot: Path) -> None:
        """Let the workers answer by a copy of the rule folder that loads."""
        self._tell(Notice(str(snapshot)))

    def handle_hup(self) -> None:
        """Look at the rule folder now, whether it seems changed or not."""
        self._asked = True

    def keep_subprocess_alive(self) -> None:
        """Replace workers that died or hang, and see to the rule folder; called twice a second."""
        self._served = self._served or any(one.is_ready(timeout=1) for one in self.processes)
        for place, process in enumerate(self.processes):
            if not self.should_exit.is_set() and not process.is_alive(timeout=self.config.timeout_worker_healthcheck):
                self._replace(place, process)
        if not self.should_exit.is_set():
            self._see_to_rules()

    def join_all(self) -> None:
        """Wait for the workers to answer what is open, then end those that do not come to an end."""
        until = time.monotonic() + (self.config.timeout_graceful_shutdown or 0) + KILL_AFTER_S
        for one in self.processes:
            one.process.join(max(0.0, until - time.monotonic()))
            if one.process.exitcode is None:
                log.error("Worker %s did not stop in time and is ended.", one.pid)
                one.process.kill()
                one.process.join()
        if self._trial is not None:
            self._trial.give_up()

    def _replace(self, place: int, process: Process) -> None:
        if time.monotonic() < self._not_before.get(place, 0.0):
            return
        process.kill()
        process.process.join()
        if process.exitcode == STARTUP_FAILURE and not self._served:
            log.critical("A worker cannot start; its reason stands above. The service stops.")
            self.should_exit.set()
            return
        log.error("Worker %s ended by itself (%s) and is replaced.", process.pid, _how(process.exitcode))
        if process.exitcode == STARTUP_FAILURE:
            self._not_before[place] = time.monotonic() + AGAIN_AFTER_S
        mark_process_dead(process.pid, str(counts_in(self._state_folder)))  # type: ignore[no-untyped-call]
        fresh = Process(self.config, self.sockets)
        fresh.start()
        self.processes[place] = fresh
        self._tell(dataclasses.replace(self._notice, replaced=self._notice.replaced + 1))

    def _see_to_rules(self) -> None:
        if self._trial is not None:
            flaws = self._trial.outcome()
            if flaws is not None:
                snapshot, self._trial = self._trial.folder, None
                if self._renewing:
                    self._conclude_renewal(snapshot, flaws)
                else:
                    self._conclude(snapshot, flaws)
        elif self._asked or self._changed():
            self._asked = False
            self._begin_trial()

    def _begin_trial(self) -> None:
        """Copy the folder and put the copy on trial; a folder that is still being written is looked at again."""
        self._seen = fingerprint(self._rules)
        try:
            snapshot = take_snapshot(self._rules, self._state_folder)
        except OSError as fault:
            self._refuse([Flaw("the rule folder", f"it cannot be copied: {type(fault).__name__}.")])
            self._begin_renewal()
            return
        if fingerprint(self._rules) == self._seen:
            self._trial = Trial(snapshot)
        else:
            self._asked = True
            keep_only(self._state_folder, Path(self._notice.rules))

    def _changed(self) -> bool:
        """Whether the folder looks different, and has been left alone since the last look."""
        if not self._poll_s or time.monotonic() < self._next_look:
            return False
        self._next_look = time.monotonic() + self._poll_s
        found, before = fingerprint(self._rules), self._looked
        self._looked = found
        return found == before and found != self._seen

    def _conclude(self, snapshot: Path, flaws: list[Flaw]) -> None:
        if flaws:
            keep_only(self._state_folder, Path(self._notice.rules))
            self._refuse(flaws)
            self._begin_renewal()
            return
        before = Path(self._notice.rules)
        self._tell(Notice(str(snapshot), None, self._notice.taken + 1, self._notice.turned_down, self._notice.replaced))
        keep_only(self._state_folder, snapshot, before)  # a worker may be loading the one before
        log.info("The changed rule folder was found good; the workers turn to it.")

    def _begin_renewal(self) -> None:
        """Put the rules that answer on trial with the keys, tokens and mapping of now."""
        try:
            self._trial = Trial(take_snapshot(Path(self._notice.rules), self._state_folder))
            self._renewing = True
        except OSError as fault:
            log.error("Keys and mapping are not read again: the rules cannot be copied: %s.", type(fault).__name__)

    def _conclude_renewal(self, snapshot: Path, flaws: list[Flaw]) -> None:
        self._renewing = False
        before = Path(self._notice.rules)
        for flaw in flaws:
            log.error("Keys and mapping are not read again: %s: %s", flaw.place, flaw.said)
        if not flaws:
            self._tell(dataclasses.replace(self._notice, rules=str(snapshot)))
            log.info("Keys and mapping are read again; the rules before answer on.")
        keep_only(self._state_folder, Path(self._notice.rules), before)

    def _refuse(self, flaws: list[Flaw]) -> None:
        for flaw in flaws:
            log.error("refused rules: %s: %s", flaw.place, flaw.said)
        log.error("The changed rule folder has %s faults and is not used; the one before answers on.", len(flaws))
        at = datetime.datetime.now(tz=datetime.UTC).isoformat(timespec="seconds")
        refusal = Refusal(at, tuple(flaw.place for flaw in flaws))
        self._tell(dataclasses.replace(self._notice, refused=refusal, turned_down=self._notice.turned_down + 1))

    def _tell(self, notice: Notice) -> None:
        self._notice = notice
        self._board.put(notice)


def _how(exitcode: int | None) -> str:
    """How a process ended.

    >>> _how(-9), _how(3)
    ('SIGKILL', 'exit code 3')
    """
    return signal.Signals(-exitcode).name if exitcode is not None and exitcode < 0 else f"exit code {exitcode}"
