"""Build `table.json`: run by hand with `python -m decision.freeze.build_table`.

`python -m decision.freeze.build_table through` makes the band of thin tissue alone and puts it
into the table that is there, whose other parts stay as they are.

Pieces of work are kept under `build/freeze/` as they are done, so that a build that was
stopped is taken up again; remove them after a change of the solver. Two processes at most,
eighteen to twenty-six minutes on two shared cores. The runs are in `table_runs.py`, the
statistics in `table_statistics.py`; this module starts the one and writes the other.
"""

from __future__ import annotations

import datetime
import json
import os
import sys
import time
from collections.abc import Sequence
from multiprocessing import Pool
from pathlib import Path
from typing import Any

from decision.freeze.table_file import digest
from decision.freeze.table_runs import Piece, all_pieces, run_piece, settings, through_pieces
from decision.freeze.table_statistics import VERSION, assemble, through_thin_tissue

__all__ = ["build", "main", "merged"]

TABLE = Path(__file__).with_name("table.json")
KEPT = Path(__file__).parents[2] / "build" / "freeze"
PROCESSES = 2
NICE = 5


def build(kept: Path, pieces: Sequence[Piece]) -> dict[str, dict[str, object]]:
    """Run every one of some pieces that is not kept yet.

    Args:
        kept: Folder of finished pieces; made when missing.
        pieces: What is wanted, in the order of running.

    Returns:
        The pieces by name.
    """
    kept.mkdir(parents=True, exist_ok=True)
    missing = [piece for piece in pieces if _finished(kept, piece) is None]
    started = time.monotonic()
    with Pool(min(PROCESSES, os.cpu_count() or 1), initializer=os.nice, initargs=(NICE,)) as pool:
        for done, (name, result) in enumerate(pool.imap_unordered(_run, missing), start=1):
            place = kept / f"{name}.json"
            place.with_suffix(".part").write_text(json.dumps(result), encoding="utf-8")
            place.with_suffix(".part").replace(place)
            seconds = time.monotonic() - started
            print(f"{done}/{len(missing)} {name} at {seconds:.0f} s", flush=True)
    return {piece.name: _finished(kept, piece) or {} for piece in pieces}


def merged(table: dict[str, Any], through: dict[str, Any]) -> dict[str, Any]:
    """The table with another band of thin tissue, and under the present version; all else as it was."""
    kept = {name: part for name, part in table.items() if name not in ("built_on", "digest")}
    return {**kept, "version": VERSION, "through": through}


def main(words: Sequence[str]) -> None:
    """Build the table, or its band of thin tissue alone, and write it beside this module."""
    started = time.monotonic()
    if words == ["through"]:
        table = merged(
            json.loads(TABLE.read_text(encoding="utf-8")), through_thin_tissue(build(KEPT, through_pieces()))
        )
    elif words:
        raise SystemExit(f'build_table: "{" ".join(words)}" is not a part; say nothing, or "through".')
    else:
        table = assemble(build(KEPT, all_pieces()))
    _write(table)
    size_mb = TABLE.stat().st_size / 1e6
    print(f"table.json {size_mb:.2f} MB, {table['digest']}, {time.monotonic() - started:.0f} s")


def _write(table: dict[str, Any]) -> None:
    """Date the table, digest it and write it."""
    table["built_on"] = datetime.datetime.now(tz=datetime.UTC).date().isoformat()
    table["digest"] = digest(table)
    TABLE.write_text(json.dumps(table, separators=(",", ":")) + "\n", encoding="utf-8")


def _run(piece: Piece) -> tuple[str, dict[str, object]]:
    return piece.name, run_piece(piece)


def _finished(kept: Path, piece: Piece) -> dict[str, object] | None:
    """A kept piece, if it was made with the present settings."""
    place = kept / f"{piece.name}.json"
    if not place.exists():
        return None
    found: dict[str, object] = json.loads(place.read_text(encoding="utf-8"))
    return found if found["settings"] == settings(piece) else None


if __name__ == "__main__":
    main(sys.argv[1:])
