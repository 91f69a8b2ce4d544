"""What tests share: a toy rule book of three rules, so that a changed clinical limit never breaks an engine test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from decision import load_rule_book
from decision.rule_book import RuleBook
from tests.random_rules import STEADY

# Where a test says nothing of its own: the default would fail an example for how long it takes.
settings.register_profile("steady", STEADY)
settings.load_profile("steady")

TOY_RULES = Path(__file__).parent / "toy_rules"


@pytest.fixture(scope="session")
def toy_book() -> Iterator[RuleBook]:
    book = load_rule_book(TOY_RULES)
    yield book
    book.close()


@pytest.fixture(scope="session")
def shipped_book() -> Iterator[RuleBook]:
    """The shipped rule book, loaded once for all tests; it keeps nothing of what it is asked."""
    book = load_rule_book()
    yield book
    book.close()
