"""The service over the shipped rule book."""

import pytest

from api.app import create_app
from api.settings import Settings
from decision import load_rule_book
from tests.api.conftest import Asking


@pytest.fixture(scope="module")
def shipped():
    book = load_rule_book()
    yield Asking(create_app(book, Settings()))
    book.close()
