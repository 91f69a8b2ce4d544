"""Many cases in one file, read range by range: JSON Lines by bytes, Parquet by rows.

A line belongs to the range in which its first byte lies, so that ranges can be read apart and no case is met twice. A
Parquet file holds the cases as JSON text in a column named `case`; reading one needs pyarrow (the extra `scale`).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

__all__ = ["cases_between", "ranges_of"]

LEAST_BYTES = 256 * 1024
LEAST_ROWS = 500


def ranges_of(path: Path, parts: int) -> list[tuple[int, int]]:
    """Cut a file into about so many ranges, none of them tiny.

    Args:
        path: The file.
        parts: How many ranges are wanted.
    """
    whole, least = (_rows(path), LEAST_ROWS) if _parquet(path) else (path.stat().st_size, LEAST_BYTES)
    size = max(least, -(-whole // max(parts, 1)))
    return [(start, min(start + size, whole)) for start in range(0, whole, size)]


def cases_between(path: Path, start: int, stop: int) -> Iterator[tuple[int, bytes]]:
    """The cases of a range, each with its place in the file (a byte or a row) and its JSON text."""
    return _rows_between(path, start, stop) if _parquet(path) else _lines_between(path, start, stop)


def _lines_between(path: Path, start: int, stop: int) -> Iterator[tuple[int, bytes]]:
    with path.open("rb") as file:
        if start:
            file.seek(start - 1)
            file.readline()  # the rest of a line that began before this range
        place = file.tell()
        while place < stop:
            line = file.readline()
            if not line:
                return
            if line.strip():
                yield place, line
            place += len(line)


def _parquet(path: Path) -> bool:
    return path.suffix == ".parquet"


def _table(path: Path) -> Any:
    import pyarrow.parquet

    return pyarrow.parquet.ParquetFile(path)


def _rows(path: Path) -> int:
    return int(_table(path).metadata.num_rows)


def _rows_between(path: Path, start: int, stop: int) -> Iterator[tuple[int, bytes]]:
    place = 0
    for batch in _table(path).iter_batches(batch_size=LEAST_ROWS, columns=["case"]):
        if place + len(batch) > start and place < stop:
            for row, text in enumerate(batch.column(0).to_pylist(), place):
                if start <= row < stop:
                    yield row, text.encode() if isinstance(text, str) else bytes(text)
        place += len(batch)
