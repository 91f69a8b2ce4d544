"""Cases for benchmarks: as many different ones as wanted, always the same for the same seed.

Each is one of the whole patients under tests/cases, varied: its numbers move, one code is another, some answers are
missing. So the mix is that of patients as they come, and no case is met twice.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from decision.contradictions import Contradictions
from decision.contradictions_file import read_contradictions
from decision.folder_reading import CONTRADICTIONS, shipped_rules
from decision.strict_yaml import Document, read_yaml
from decision.vocabulary import Input, Vocabulary

__all__ = ["many_cases"]

WHOLE_CASES = Path(__file__).parents[1] / "cases"
MISSING, OTHER_CODE = 0.03, 0.03


def many_cases(vocabulary: Vocabulary, count: int, seed: int) -> Iterator[dict[str, Any]]:
    """Make cases; the names of the lesions make each of them different from all others."""
    chance = random.Random(seed)
    contradictions, _ = read_contradictions(_document(shipped_rules() / CONTRADICTIONS), vocabulary)
    paths = sorted(path for path in WHOLE_CASES.rglob("*.yaml") if path.parent.name != "visits")
    patients = [_document(path).data["case"] for path in paths]
    for number in range(count):
        patient = chance.choice(patients)
        parts = {name: part for name, part in patient.items() if isinstance(part, dict)}
        lesions = [
            {**_varied(lesion, vocabulary, chance), "lesion_id": f"n{number}-{i}"}
            for i, lesion in enumerate(patient["lesions"])
        ]
        varied = {name: _varied(part, vocabulary, chance) for name, part in parts.items()}
        for lesion in lesions:
            _let_be(varied["patient"], lesion, contradictions)
        yield {"as_of": "2026-11-24", **varied, "lesions": lesions}


def _document(path: Path) -> Document:
    return read_yaml(path.read_text(encoding="utf-8"), file=path.name)[0]


def _let_be(patient: dict[str, Any], lesion: dict[str, Any], contradictions: Contradictions) -> None:
    """Take out what varying has made contradict something else."""
    while found := contradictions.among({**patient, **lesion}):
        name = found[0].inputs[-1]
        del (lesion if name in lesion else patient)[name]


def _varied(part: dict[str, Any], vocabulary: Vocabulary, chance: random.Random) -> dict[str, Any]:
    inputs = vocabulary.inputs
    return {
        name: _another(value, inputs[name], chance) if name in inputs else value
        for name, value in part.items()
        if name not in inputs or chance.random() >= MISSING
    }


def _another(value: Any, one: Input, chance: random.Random) -> Any:
    if one.type == "number":
        moved = round(float(value) * chance.uniform(0.7, 1.4) * 8) / 8
        return min(max(moved, one.low), one.high)
    if one.type == "code" and chance.random() < OTHER_CODE:
        return chance.choice(list(one.allowed))
    return value
