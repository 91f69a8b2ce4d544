"""The whole patients under tests/cases, as data: what inputs for fuzzing begin with."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from decision.strict_yaml import read_yaml

__all__ = ["whole_cases"]

CASES = Path(__file__).parents[1] / "cases"


def whole_cases(many: int) -> Iterator[dict[str, Any]]:
    """The first so many, taken evenly over all."""
    paths = sorted(path for path in CASES.rglob("*.yaml") if path.parent.name != "visits")
    for path in paths[:: max(len(paths) // many, 1)][:many]:
        document, _ = read_yaml(path.read_text(encoding="utf-8"), file=path.name)
        yield {"as_of": "2026-11-24", **document.data["case"]}
