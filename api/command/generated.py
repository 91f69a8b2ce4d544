"""Write generated files, or compare them with what is written: the same files, the same order."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from pathlib import Path

__all__ = ["differences", "write"]

SHOWN = 200  # lines of difference


def write(folder: Path, files: Mapping[str, str]) -> None:
    """Write files into a folder; a file of the same kind that is generated no longer goes."""
    folder.mkdir(exist_ok=True)
    for name in _left_over(folder, files):
        (folder / name).unlink()
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")


def differences(folder: Path, files: Mapping[str, str]) -> list[str]:
    """The lines in which a folder differs from generated files, as a unified difference; empty when it does not."""
    lines: list[str] = []
    for name in [*files, *_left_over(folder, files)]:
        path = folder / name
        written = path.read_text(encoding="utf-8") if path.is_file() else ""
        names = (f"{folder.name}/{name} (written)", f"{folder.name}/{name} (generated)")
        generated = files.get(name, "").splitlines()
        lines += difflib.unified_diff(written.splitlines(), generated, *names, lineterm="")
    more = len(lines) - SHOWN
    return [*lines[:SHOWN], f"... and {more} lines more"] if more > 0 else lines


def _left_over(folder: Path, files: Mapping[str, str]) -> Iterable[str]:
    kinds = {"".join(Path(name).suffixes) for name in files}
    found = sorted(path.name for path in folder.iterdir()) if folder.is_dir() else []
    return [name for name in found if name not in files and "".join(Path(name).suffixes) in kinds]
