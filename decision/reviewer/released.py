"""Released rule books: kept for ever, each in one file, so that an old answer can be given again.

rules/released/VERSION.json holds everything written in the rule folder, the digests of rules and freeze table, and the
answer contract, as RFC 8785 bytes. The freeze table itself stands beside it, named by its digest, since releases may
share one. A release is written once. What is read back is checked against its digests before it answers.
"""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from decision.claimed_version import RELEASED
from decision.engine import ENGINE_VERSION
from decision.errors import Fault, RuleBookError
from decision.folder_files import KeptFiles
from decision.folder_form import as_written, keeping_order
from decision.folder_reading import folder_from
from decision.freeze.lookup import FreezeTable, freeze_table_at, load_freeze_table
from decision.freeze.table_file import TABLE, digest
from decision.record import canonical_bytes, digest_of
from decision.rule_book import RuleBook
from decision.rule_folder import RuleFolder

__all__ = ["RELEASED", "Release", "newest_release", "read_release", "releases_in", "rule_digests", "write_release"]

FREEZE_TABLES = "freeze_tables"


@dataclass(frozen=True, slots=True)
class Release:
    """A released rule book: its content, and what it was released with."""

    folder: RuleFolder
    freeze_table: FreezeTable
    engine_version: str

    def book(self) -> RuleBook:
        """The rule book, ready to answer as it did."""
        return RuleBook(self.folder, self.freeze_table)


def write_release(book: RuleBook, into: Path) -> Path:
    """Write the release of a rule book.

    Args:
        book: The rule book.
        into: The folder of released rule books; it is made if it is not there.

    Returns:
        The file. Where it is there already with the same content, nothing is written.

    Raises:
        RuleBookError: This version was released with other content; a release is never changed.
    """
    path = into / f"{book.version}.json"
    if path.exists():
        if read_release(path).folder.digest != book.digest:
            said = f"{book.version} is released with other rules. Raise the version in rule_book.yaml."
            raise RuleBookError([Fault(path.name, 0, "", said)])
        return path
    tables = into / FREEZE_TABLES
    tables.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(TABLE, tables / _table_name(book.freeze_table["digest"]))
    path.write_bytes(canonical_bytes(_kept(book)))
    return path


def read_release(path: Path) -> Release:
    """Read a released rule book and check it against its own digests.

    Raises:
        RuleBookError: The file cannot be read, or is not what was released.
    """
    try:
        kept = _Kept.model_validate_json(path.read_bytes())
        files = as_written(kept.written)
    except (AttributeError, OSError, TypeError, ValueError):
        raise RuleBookError([Fault(path.name, 0, "", "this is no released rule book, or it cannot be read.")]) from None
    folder = folder_from(KeptFiles(files, f"rules {kept.version}"))
    for name, found, wanted in (
        ("digest", folder.digest, kept.digest),
        ("version", folder.version, path.stem),
        ("answer_contract", folder.answer_contract, kept.answer_contract),
        ("rules", rule_digests(folder), kept.rules),
    ):
        if found != wanted:
            said = "the content is not what was released; take the file from where it was released."
            raise RuleBookError([Fault(path.name, 0, name, said)])
    return Release(folder, _table(path.parent, kept.freeze_table["digest"]), kept.engine_version)


def releases_in(rules: Path) -> dict[str, Path]:
    """The files of released rule books beside a rule folder's rules, by version, the oldest first."""
    return {path.stem: path for path in sorted((rules / RELEASED).glob("*.json"), key=_in_time)}


def newest_release(rules: Path) -> Path | None:
    """The newest released rule book beside a rule folder's rules; None where nothing is released yet."""
    return next(reversed(releases_in(rules).values()), None)


def rule_digests(folder: RuleFolder) -> dict[str, str]:
    """The digest of each rule, by its id, over its RFC 8785 bytes."""
    return {rule.id: digest_of(rule.written) for rules in folder.rules.values() for rule in rules}


class _Kept(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)

    version: str
    digest: str
    answer_contract: int
    engine_version: str
    freeze_table: dict[str, str] = Field(min_length=2)
    rules: dict[str, str]
    written: dict[str, Any]


def _kept(book: RuleBook) -> dict[str, Any]:
    return {
        "version": book.version,
        "digest": book.digest,
        "answer_contract": book.answer_contract,
        "engine_version": ENGINE_VERSION,
        "freeze_table": dict(book.freeze_table),
        "rules": rule_digests(book.folder),
        "written": keeping_order(book.folder.written),
    }


def _table(released: Path, wanted: str) -> FreezeTable:
    """The freeze table with a digest: the one that is shipped, or one kept beside the releases."""
    if load_freeze_table().digest == wanted:
        return load_freeze_table()
    path = released / FREEZE_TABLES / _table_name(wanted)
    try:
        if digest(json.loads(path.read_bytes())) != wanted:
            raise ValueError
        return freeze_table_at(path)
    except (KeyError, OSError, TypeError, ValueError):
        said = "the freeze table of this release is not there as it was; take it from where it was released."
        raise RuleBookError([Fault(f"{FREEZE_TABLES}/{path.name}", 0, "", said)]) from None


def _table_name(digest_of_table: str) -> str:
    return f"{digest_of_table.removeprefix('sha-256:')}.json"


def _in_time(path: Path) -> tuple[int, ...]:
    """A calendar version as numbers: 2026.11.10 comes after 2026.11.9. What is no version comes first."""
    parts = path.stem.split(".")
    return tuple(int(part) for part in parts) if all(part.isdecimal() for part in parts) else ()
