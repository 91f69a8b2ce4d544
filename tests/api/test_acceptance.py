import pytest

from api.acceptance import accepts, preferred


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


@pytest.mark.parametrize(
    ("written", "chosen"),
    [
        ("", "application/json"),  # no header: the first that is offered
        ("*/*", "application/json"),
        ("image/svg+xml", "image/svg+xml"),
        ("image/*, application/json;q=0.9", "image/svg+xml"),
        ("image/svg+xml;q=0.2, application/json;q=0.9", "application/json"),
        ("image/svg+xml, application/json", "application/json"),  # the same weight: the first that is offered
        ("text/html, image/svg+xml;q=0.1", "image/svg+xml"),
        ("text/html", None),
        ("image/svg+xml;q=0", None),
    ],
)
def test_of_several_media_types_the_one_with_the_most_weight_is_chosen(written, chosen):
    assert preferred(written, ("application/json", "image/svg+xml")) == chosen
