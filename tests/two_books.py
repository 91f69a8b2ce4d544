"""Two rule books that differ in one verdict: a lesion that lasts is sampled by the one and not frozen by the other."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

from tests.conftest import TOY_RULES

RULE = "suitability/sample_a_lasting_lesion_first.yaml"
VERSIONS = {"2026.11.0": "sample_first", "2026.12.0": "do_not_freeze"}
LASTING: dict[str, Any] = {
    "as_of": "2026-11-24",
    "patient": {"species": "dog"},
    "lesions": [{"lesion_id": "flank", "longest_diameter_mm": 12, "weeks_present": 5, "ruled_out": ["checked"]}],
}


def first_book(folder: Path) -> Path:
    """Write the toy rules to a folder, over whatever stands there."""
    return Path(shutil.copytree(TOY_RULES, folder, dirs_exist_ok=True))


def second_book(folder: Path) -> Path:
    """Write the other rules to a folder, over whatever stands there."""
    first_book(folder)
    _replace(folder / "rule_book.yaml", *VERSIONS)
    _replace(folder / RULE, "verdict: sample_first", "verdict: do_not_freeze")
    return folder


def verdict_in(answer: dict[str, Any]) -> str | None:
    """What the lesion was told."""
    verdict: str | None = answer["lesions"][0]["suitability"]["verdict"]
    return verdict


def right(answer: dict[str, Any]) -> bool:
    """Whether an answer says what the rule book that it names says."""
    return verdict_in(answer) == VERSIONS[answer["rule_book"]["version"]]


def _replace(file: Path, before: str, after: str) -> None:
    text = file.read_text()
    assert text.count(before) == 1, (file, before)
    file.write_text(text.replace(before, after))
