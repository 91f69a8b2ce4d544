import pytest

from api.acceptance import accepts


@pytest.mark.parametrize(
    ("written", "accepted"),
    [
        ("", True),  # no header accepts anything
        ("*/*", True),
        ("application/json", True),
        ("APPLICATION/JSON", True),
        ("application/*", True),
        ("text/html, application/json;q=0.1", True),
        ("text/html,application/xhtml+xml,*/*;q=0.8", True),  # what browsers send
        ("application/json; charset=utf-8", True),
        ("application/json;q=zero", True),  # a weight that cannot be read counts in full
        ("text/html", False),
        ("text/*", False),
        ("application/problem+json", False),
        ("application/json;q=0", False),
        ("*/*, application/json;q=0", False),  # the more specific range decides
        ("application/*;q=0, */*", False),
        (", ,", True),  # a list without an entry says nothing
    ],
)
def test_the_most_specific_range_decides(written, accepted):
    assert accepts(written, "application/json") is accepted
