"""What the tests of the reviewer share: cases of the small folder, and changed copies of it."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from decision.case import Case
from decision.folder_reading import read_rule_folder
from decision.rule_book import RuleBook
from tests.small_folder import small_files, write

TODAY = datetime.date(2026, 11, 24)


def message(**facts: Any) -> dict[str, Any]:
    """A full case of the small folder, permitted and settled, but for the facts that are given."""
    patient = {"species": "dog", "age_years": 4, "ruled_out": ["general_health"], "similar_lesions": 1}
    lesion = {
        "site": "trunk",
        "base_width_mm": 6,
        "height_mm": 1,
        "known_diagnosis": "skin_tag",
        "diagnosis_basis": "appearance",
        "infected": False,
        "swells": False,
    }
    for name, value in facts.items():
        part = patient if name in ("species", "age_years", "pregnant", "cold_reaction") else lesion
        part.pop(name, None)
        if value is not None:
            part[name] = value
    return {"as_of": "2026-11-24", "patient": patient, "lesions": [{"lesion_id": "flank", **lesion}]}


@pytest.fixture
def case_of(small_book: RuleBook) -> Callable[..., Case]:
    """A case of the small book; see `message`."""
    return lambda **facts: small_book.read(message(**facts), today=TODAY)


@pytest.fixture
def book_with(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., RuleBook]]:
    """A small book of which some files are others: `book_with({"name": data, "gone": None})`."""
    made: list[RuleBook] = []

    def make(changed: dict[str, Any]) -> RuleBook:
        files = {**small_files(), **changed}
        left = {name: data for name, data in files.items() if data is not None}
        folder = write(tmp_path_factory.mktemp("changed") / "rules", left)
        made.append(RuleBook(read_rule_folder(folder)))
        return made[-1]

    yield make
    for book in made:
        book.close()
