"""What CHANGELOG.md names as released is kept, and nothing else is."""

import json
import re
from pathlib import Path

import pytest

from api.released.contract_changes import RELEASED as CONTRACTS
from decision.folder_reading import shipped_rules
from decision.reviewer.released import releases_in

CHANGES = Path(__file__).parents[1] / "CHANGELOG.md"


def named(what):
    """The versions of a thing in the headings of the changelog, the newest first; "Unreleased" names none."""
    headings = re.findall(r"^## (.+)$", CHANGES.read_text(), re.M)
    return [version for one in headings for version in re.findall(rf"\b{what} ([0-9.]+[0-9])", one)]


def test_the_rule_books_named_as_released_are_those_that_are_kept():
    assert named("Rule book")
    assert set(named("Rule book")) == releases_in(shipped_rules()).keys()


def test_the_http_contracts_named_as_released_are_those_that_are_kept():
    assert named("HTTP contract")
    assert set(named("HTTP contract")) == {one.stem for one in CONTRACTS.glob("*.json")}


@pytest.mark.parametrize("path", sorted(CONTRACTS.glob("*.json")), ids=lambda path: path.stem)
def test_a_released_contract_is_kept_under_its_own_version(path):
    assert json.loads(path.read_bytes())["info"]["version"] == path.stem
