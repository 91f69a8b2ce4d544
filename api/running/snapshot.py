"""Copies of a rule folder: what was checked is what is answered by, whatever happens to the folder meanwhile."""

from __future__ import annotations

import hashlib
import shutil
import uuid
from pathlib import Path

__all__ = ["fingerprint", "keep_only", "take_snapshot"]

KIND = "rules-"


def fingerprint(folder: Path) -> str:
    """A digest over the names, sizes and times of the files of a folder; empty where it cannot be looked through.

    It is cheap, and says only that a closer look is worth while.
    """
    found = hashlib.sha256()
    try:
        for file in sorted(folder.rglob("*.yaml")):  # in a fixed order
            seen = file.stat()
            found.update(f"{file} {seen.st_size} {seen.st_mtime_ns} {seen.st_ino}\n".encode())
    except OSError:
        return ""
    return found.hexdigest()


def take_snapshot(folder: Path, state_folder: Path) -> Path:
    """Copy a rule folder into the state folder, under a name never used before.

    Raises:
        OSError: It cannot be read, or there is no room.
    """
    copy = state_folder / f"{KIND}{uuid.uuid4().hex}" / folder.resolve().name
    shutil.copytree(folder, copy, ignore=shutil.ignore_patterns(".*"))
    return copy


def keep_only(state_folder: Path, *kept: Path) -> None:
    """Remove every copy but these."""
    folders = {one.parent for one in kept}
    for copy in state_folder.glob(f"{KIND}*"):
        if copy not in folders:
            shutil.rmtree(copy, ignore_errors=True)
