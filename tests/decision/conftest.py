"""What the tests of the engine share: the small folder, read once, and the shipped book."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from decision import load_rule_book
from decision.rule_book import RuleBook
from decision.rule_folder import RuleFolder
from decision.strict_yaml import read_yaml
from tests.small_folder import read


@pytest.fixture(scope="session")
def small_folder(tmp_path_factory: pytest.TempPathFactory) -> RuleFolder:
    return read(tmp_path_factory.mktemp("small") / "rules")


@pytest.fixture(scope="session")
def small_book(small_folder: RuleFolder) -> Iterator[RuleBook]:
    book = RuleBook(small_folder)
    yield book
    book.close()


CASES = Path(__file__).parents[1] / "cases"


@pytest.fixture(scope="session")
def presentations(shipped_book: RuleBook) -> dict[str, dict[str, Any]]:
    """What each shipped case states of its first lesion, ticks included: facts that belong together."""
    found = {}
    for path in sorted(CASES.glob("*/*.yaml")):
        document, _ = read_yaml(path.read_text(encoding="utf-8"), file=path.name)
        case = shipped_book.read(document.data["case"], today=datetime.date(2026, 11, 24))
        found[f"{path.parent.name}/{path.stem}"] = {**case.stated, **case.lesions[0].stated}
    return found


@pytest.fixture(scope="session")
def shipped_book() -> Iterator[RuleBook]:
    book = load_rule_book()
    yield book
    book.close()
