"""Pages of named origins may read answers and errors; no other page may, and cookies never come into it."""

import pytest

from api.app import create_app
from api.settings import Settings

PAGE = "https://records.example.org"
PREFLIGHT = {"Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "authorization"}
PATHS = ["/cds-services", "/cds-services/x", "/nowhere", "/v1/rules", "/v1/rules?x=1"]


@pytest.fixture
def ask_as(ask, toy_book):
    """Makes a service that lets pages of some origins call."""
    return lambda *origins: type(ask)(create_app(toy_book, Settings(allowed_origins=origins)))


@pytest.mark.parametrize("path", PATHS)
def test_a_page_of_a_named_origin_may_read_answers_and_errors(ask_as, path):
    headers = ask_as(PAGE, "https://other.example")("GET", path, headers={"Origin": PAGE}).headers

    assert headers["access-control-allow-origin"] == PAGE
    assert "Origin" in headers["vary"]
    assert "X-Request-ID" in headers["access-control-expose-headers"]


@pytest.mark.parametrize("path", PATHS)
def test_a_page_of_another_origin_may_not(ask_as, path):
    headers = ask_as(PAGE)("GET", path, headers={"Origin": "https://records.example.org.evil.example"}).headers

    assert not [name for name in headers if name.startswith("access-control")]
    assert "Origin" in headers["vary"]


def test_without_origins_no_page_may(ask):
    assert "access-control-allow-origin" not in ask("GET", "/cds-services", headers={"Origin": PAGE}).headers
    assert ask("OPTIONS", "/cds-services", headers={"Origin": PAGE, **PREFLIGHT}).status_code == 405


def test_a_preflight_names_authorization_and_no_wildcard(ask_as):
    answer = ask_as(PAGE)("OPTIONS", "/cds-services/skin-lesion-freeze", headers={"Origin": PAGE, **PREFLIGHT})

    assert (answer.status_code, answer.content) == (204, b"")
    assert answer.headers["access-control-allow-origin"] == PAGE
    assert "Authorization" in answer.headers["access-control-allow-headers"].split(", ")
    assert "*" not in answer.headers["access-control-allow-headers"]
    assert "POST" in answer.headers["access-control-allow-methods"]
    assert answer.headers["x-request-id"]


def test_a_preflight_of_another_origin_allows_nothing(ask_as):
    answer = ask_as(PAGE)("OPTIONS", "/cds-services", headers={"Origin": "https://evil.example", **PREFLIGHT})

    assert answer.status_code == 405
    assert not [name for name in answer.headers if name.startswith("access-control")]


def test_options_without_a_preflight_is_no_method_of_ours(ask_as):
    assert ask_as(PAGE)("OPTIONS", "/cds-services", headers={"Origin": PAGE}).status_code == 405


def test_any_origin_is_a_star_and_never_goes_with_credentials(ask_as):
    headers = ask_as("*")("GET", "/cds-services", headers={"Origin": PAGE}).headers

    assert headers["access-control-allow-origin"] == "*"
    assert "access-control-allow-credentials" not in headers


def test_credentials_of_the_browser_are_never_allowed(ask_as):
    for method, extra in (("GET", {}), ("OPTIONS", PREFLIGHT)):
        headers = ask_as(PAGE)(method, "/cds-services", headers={"Origin": PAGE, **extra}).headers
        assert "access-control-allow-credentials" not in headers
