"""Where the files of a rule folder come from: a folder on disk, or the content kept in a released rule book."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Protocol

from decision.errors import Fault
from decision.strict_yaml import Document, read_yaml

__all__ = ["FolderFiles", "FolderOnDisk", "KeptFiles"]


class FolderFiles(Protocol):
    """The files of a rule folder, by their names relative to it."""

    @property
    def shown(self) -> str:
        """What faults call the folder."""

    def names(self) -> list[str]:
        """Every file that stands in a folder of the folder, as `folder/file`, in order."""

    def has(self, name: str) -> bool:
        """Whether there is a file of that name."""

    def document(self, name: str) -> tuple[Document, list[Fault]]:
        """Read one file, with its faults."""


class FolderOnDisk:
    """The files of a folder on disk."""

    def __init__(self, folder: Path) -> None:
        """Keep the folder."""
        self._folder = folder
        self.shown = folder.name

    def names(self) -> list[str]:
        """Every entry of every folder in the folder, in order; what is not a rule file is for the reader to refuse."""
        folders = sorted(one for one in self._folder.iterdir() if one.is_dir()) if self._folder.is_dir() else []
        return [f"{folder.name}/{name}" for folder in folders for name in sorted(one.name for one in folder.iterdir())]

    def has(self, name: str) -> bool:
        """Whether there is a file of that name."""
        return (self._folder / name).is_file()

    def document(self, name: str) -> tuple[Document, list[Fault]]:
        """Read one file as strict YAML."""
        shown = f"{self.shown}/{name}"
        try:
            text = (self._folder / name).read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError):
            said = "this file is required and cannot be read as UTF-8 text."
            return Document(shown, {}, {}), [Fault(shown, 0, "", said)]
        return read_yaml(text, file=shown)


class KeptFiles:
    """The files of a folder as data, kept by name."""

    def __init__(self, written: Mapping[str, Any], shown: str) -> None:
        """Keep the data."""
        self._written = written
        self.shown = shown

    def names(self) -> list[str]:
        """Every file that stands in a folder of the folder, in order."""
        return sorted(name for name in self._written if "/" in name)

    def has(self, name: str) -> bool:
        """Whether there is a file of that name."""
        return name in self._written

    def document(self, name: str) -> tuple[Document, list[Fault]]:
        """One file. No lines are known, for nothing was written in lines."""
        shown = f"{self.shown}/{name}"
        if name not in self._written:
            return Document(shown, {}, {}), [Fault(shown, 0, "", "this file is required and is not there.")]
        return Document(shown, self._written[name], {}), []
