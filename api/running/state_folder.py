"""The folder in which a supervisor and its workers share what they must: a notice, copies of rules, counts, tokens."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from api.worker.taken_tokens import TOKENS

__all__ = ["counts_in", "state_folder_of"]


def counts_in(state_folder: Path) -> Path:
    """Where each worker keeps its counts; the library reads this from PROMETHEUS_MULTIPROC_DIR."""
    return state_folder / "counts"


@contextmanager
def state_folder_of(named: Path | None) -> Iterator[Path]:
    """The state folder for one run, empty: the one that is named, or one that is made and that only we can read."""
    folder = Path(tempfile.mkdtemp(prefix="thawline-")) if named is None else named.absolute()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    _clear(folder)
    counts_in(folder).mkdir(mode=0o700)
    try:
        yield folder
    finally:
        _clear(folder)
        if named is None:
            folder.rmdir()


def _clear(folder: Path) -> None:
    """Remove what a run leaves."""
    for made in (counts_in(folder), folder / TOKENS, *folder.glob("rules-*")):
        shutil.rmtree(made, ignore_errors=True)
    for notice in folder.glob("notice.*"):
        notice.unlink()
