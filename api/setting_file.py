"""Read a file that a setting names. What is wrong with it stops the start, with every fault at once."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from api.settings import UnusableSetting
from decision.errors import Fault
from decision.strict_yaml import Document, read_yaml

__all__ = ["UnusableFile", "read_setting_file"]


class UnusableFile(UnusableSetting):
    """A file cannot be used. Every fault is in the text; nothing was loaded."""

    called: ClassVar[str]

    def __init__(self, faults: Iterable[Fault]) -> None:
        """Keep the faults in the order of their lines."""
        lines = "\n".join(str(fault) for fault in sorted(faults))
        super().__init__(f"{lines}\n{self.called} cannot be used.")


def read_setting_file(file: Path, unusable: type[UnusableFile]) -> tuple[Document, list[Fault]]:
    """Read a YAML file, and its faults as YAML.

    Args:
        file: Where it is.
        unusable: What is raised where it cannot be read at all.

    Raises:
        UnusableFile: It is no UTF-8 text, or not there.
    """
    try:
        text = file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        raise unusable([Fault(file.name, 0, "", "it cannot be read as UTF-8 text.")]) from None
    return read_yaml(text, file=file.name)
