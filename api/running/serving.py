"""Serve over HTTP with workers under a supervisor, until told to stop."""

from __future__ import annotations

import dataclasses
import os
from pathlib import Path

import uvicorn

from api.cds.desk import desk_of
from api.keys import keys_of
from api.running.log_lines import LOGGING
from api.running.snapshot import take_snapshot
from api.running.state_folder import counts_in, state_folder_of
from api.running.supervisor import Supervisor
from api.settings import PREFIX, Settings
from decision import load_rule_book
from decision.folder_reading import shipped_rules

__all__ = ["APPLICATION", "serve_until_stopped"]

APPLICATION = "api.running.editions:create"


def serve_until_stopped(settings: Settings, *, host: str, port: int, workers: int, application: str) -> None:
    """Serve until a signal says stop.

    Args:
        settings: How the service is run.
        host: The address to listen at.
        port: The port.
        workers: How many processes answer.
        application: The factory that each of them calls.

    Raises:
        RuleBookError, UnusableSetting: The rule folder, the mapping or the file of keys has faults; all of them are
            in the message. Nothing is served.
    """
    rules = settings.rules_folder or shipped_rules()
    with state_folder_of(settings.state_folder) as state_folder:
        snapshot = take_snapshot(rules, state_folder)
        _check(snapshot, settings)
        # Workers are processes of their own, which read their settings from the environment.
        os.environ[f"{PREFIX}RULES_FOLDER"] = str(rules)
        os.environ[f"{PREFIX}STATE_FOLDER"] = str(state_folder)
        os.environ["PROMETHEUS_MULTIPROC_DIR"] = str(counts_in(state_folder))
        config = uvicorn.Config(
            application,
            factory=True,
            host=host,
            port=port,
            workers=workers,
            http="api.running.connection:Connection",
            ws="none",
            lifespan="on",
            log_config=LOGGING,
            access_log=False,
            server_header=False,
            timeout_keep_alive=settings.idle_limit_s,
            timeout_graceful_shutdown=settings.drain_limit_s,
            timeout_worker_healthcheck=settings.hang_limit_s,
        )
        housed = dataclasses.replace(settings, state_folder=state_folder)
        listening = config.bind_socket()
        listening.listen(config.backlog)  # who calls before a worker is there waits and is not turned away
        supervisor = Supervisor(config, [listening], housed, rules)
        supervisor.begin_with(snapshot)
        supervisor.run()


def _check(rules: Path, settings: Settings) -> None:
    """Load what workers will load, so that a fault is reported once and here."""
    book = load_rule_book(rules)
    desk_of(book, settings)
    keys_of(settings)
    book.close()
