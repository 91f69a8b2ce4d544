"""Rules that were withdrawn: each keeps its file, with why it went and what replaced it.

rules/withdrawn/<decision>/<rule>.yaml holds the rule as it last stood, under `rule`, and beside it when, why and what
replaced it. No case is ever answered by them. They are checked with the folder, so that they can be read for ever.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from decision.errors import Fault
from decision.shape import shape_faults
from decision.strict_yaml import Document, read_yaml

__all__ = ["WITHDRAWN", "Withdrawn", "read_withdrawn", "withdrawn_faults"]

WITHDRAWN = "withdrawn"
KEPT = ("title", "purpose", "explanation", "when", "conclude", "evidence", "maintenance", "examples")


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """A rule that answers no more."""

    rule: str
    title: str
    on: str
    why: str
    replaced_by: tuple[str, ...]


def read_withdrawn(folder: Path) -> list[Withdrawn]:
    """The rules that were withdrawn from a rule folder, in order. Files with faults are left out.

    Args:
        folder: The rule folder, whose `withdrawn` folder is read.
    """
    found = [_read(path, folder) for path in _files(folder)]
    return [
        Withdrawn(
            _rule_id(document), shape.rule["title"], shape.on, " ".join(shape.why.split()), tuple(shape.replaced_by)
        )
        for document, shape, faults in found
        if shape is not None and not faults
    ]


def withdrawn_faults(folder: Path) -> Iterator[Fault]:
    """State every fault of the withdrawn rules of a folder."""
    for path in _files(folder):
        document, shape, faults = _read(path, folder)
        yield from faults
        if shape is not None:
            yield from _own_faults(document, shape, folder)


class _Withdrawal(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)

    on: str = Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")
    why: str = Field(min_length=20)
    replaced_by: list[str]
    rule: dict[str, Any]


def _files(folder: Path) -> list[Path]:
    return sorted((folder / WITHDRAWN).glob("**/*.yaml"))


def _read(path: Path, folder: Path) -> tuple[Document, _Withdrawal | None, list[Fault]]:
    shown = f"{folder.name}/{path.relative_to(folder).as_posix()}"
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return Document(shown, {}, {}), None, [Fault(shown, 0, "", "this file cannot be read as UTF-8 text.")]
    document, faults = read_yaml(text, file=shown)
    if faults:
        return document, None, faults
    shape, faults = shape_faults(_Withdrawal, document)
    return document, shape, faults


def _own_faults(document: Document, shape: _Withdrawal, folder: Path) -> Iterator[Fault]:
    rule = _rule_id(document)
    if rule.count("/") != 1:
        said = "a withdrawn rule stands at withdrawn/<decision>/<rule>.yaml, where <decision>/<rule> was its id."
        yield document.fault((), said)
        return
    if (folder / f"{rule}.yaml").exists():
        yield document.fault((), f"{rule} is withdrawn and still a rule; move the file, do not copy it.")
    for name in KEPT:
        if not shape.rule.get(name):
            yield document.fault(("rule", name), "a withdrawn rule keeps everything that it said; this is not there.")
    for place, one in enumerate(shape.replaced_by):
        if not any((folder / where / f"{one}.yaml").exists() for where in ("", WITHDRAWN)):
            yield document.fault(("replaced_by", place), f'"{one}" is no rule, and none was withdrawn.')


def _rule_id(document: Document) -> str:
    """The id that a withdrawn rule had: its path below `withdrawn`."""
    return document.file.partition(f"/{WITHDRAWN}/")[2].removesuffix(".yaml")
