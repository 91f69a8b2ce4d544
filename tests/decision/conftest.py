"""What the tests of the engine share: the small folder, read once, and the shipped book."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from decision.rule_book import RuleBook
from decision.rule_folder import RuleFolder
from tests.random_rules import written_cases
from tests.small_folder import read


@pytest.fixture(scope="session")
def small_folder(tmp_path_factory: pytest.TempPathFactory) -> RuleFolder:
    return read(tmp_path_factory.mktemp("small") / "rules")


@pytest.fixture(scope="session")
def small_book(small_folder: RuleFolder) -> Iterator[RuleBook]:
    book = RuleBook(small_folder)
    yield book
    book.close()


@pytest.fixture(scope="session")
def presentations(shipped_book: RuleBook) -> dict[str, dict[str, Any]]:
    """What each shipped case states of its first lesion, ticks included: facts that belong together."""
    cases = written_cases(shipped_book)
    return {name: {**case.stated, **case.lesions[0].stated} for name, case in cases.items()}
