"""What stands beside a rule book that answers, and that its memory is given back."""

import shutil
from pathlib import Path

import pytest

from api.shelves import Shelves
from decision import load_rule_book
from decision.errors import DecisionError
from decision.reviewer.released import write_release
from tests.api.conftest import a_case

TOY = Path(__file__).parents[1] / "toy_rules"


@pytest.fixture
def book(tmp_path):
    """The toy rules under a later version than the one that they were released as."""
    rules = Path(shutil.copytree(TOY, tmp_path / "rules"))
    before = load_rule_book(rules)
    write_release(before, rules / "released")
    before.close()
    written = rules / "rule_book.yaml"
    written.write_text(written.read_text().replace(before.version, "2027.01.0"))
    book = load_rule_book(rules)
    yield book
    book.close()


def pinning(version):
    return {**a_case(), "rule_book_version": version}


def test_a_case_is_answered_by_the_release_that_it_pins(book):
    shelves = Shelves(book)
    (released,) = shelves.released.versions

    assert shelves.book_for(pinning(released)).version == released
    assert shelves.book_for(a_case()) is book
    assert shelves.book_for(pinning("2020.01.0")) is book  # which then refuses it
    assert shelves.book_for([]) is book
    shelves.close()


def test_a_search_is_made_once_for_each_rule_book(book):
    shelves = Shelves(book)

    assert shelves.change_search_of(book) is shelves.change_search_of(book)
    shelves.close()


def test_closing_gives_back_the_releases_and_every_search_and_lets_the_rule_book_answer_on(book):
    shelves = Shelves(book)
    released = shelves.book_for(pinning(shelves.released.versions[0]))
    searches = [shelves.change_search_of(one) for one in (book, released)]
    cases = [one.checked(a_case()) for one in (book, released)]
    for search, case in zip(searches, cases, strict=True):
        search.search(case)

    shelves.close()

    for search, case in zip(searches, cases, strict=True):
        with pytest.raises(DecisionError):
            search.search(case)
    with pytest.raises(DecisionError):
        released.recommend(cases[1])
    assert book.recommend(cases[0])["lesions"]
