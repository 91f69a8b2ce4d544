from pathlib import Path

import pytest

from api.settings import Settings, UnusableSetting, settings_from


def test_an_empty_environment_gives_the_defaults():
    assert settings_from({}) == Settings()


def test_the_default_limit_refuses_a_body_of_two_megabytes():
    assert Settings().body_limit_bytes < 2_000_000


def test_every_setting_is_read_from_the_environment():
    settings = settings_from(
        {
            "THAWLINE_BODY_LIMIT_BYTES": "64000",
            "THAWLINE_NESTING_LIMIT": "12",
            "THAWLINE_DOCS_URL": "https://docs.example.org/",
            "THAWLINE_RULES_FOLDER": "/srv/rules",
            "THAWLINE_BASE_URL": "https://thawline.example.org/",
            "THAWLINE_ALLOWED_ORIGINS": "https://records.example.org http://localhost:3000",
            "THAWLINE_CODE_MAP": "/srv/map.yaml",
            "THAWLINE_JWT_KEYS": "/srv/jwks.json",
            "THAWLINE_JWT_ISSUERS": "https://a.example.org https://b.example.org",
            "THAWLINE_JWT_TENANTS": "west east",
            "THAWLINE_API_KEYS": "/srv/keys.yaml",
            "THAWLINE_PAGES": "open",
            "THAWLINE_AUDIT_LOG": "-",
            "THAWLINE_CONNECTION_LIMIT": "100",
            "THAWLINE_OPEN_LIMIT": "50",
            "THAWLINE_WAITING_LIMIT": "7",
            "THAWLINE_HEADER_LIMIT_S": "3",
            "THAWLINE_BODY_LIMIT_S": "4",
            "THAWLINE_IDLE_LIMIT_S": "6",
            "THAWLINE_READER_LIMIT_S": "8",
            "THAWLINE_DRAIN_LIMIT_S": "9",
            "THAWLINE_HANG_LIMIT_S": "11",
            "THAWLINE_RULES_POLL_S": "60",
            "THAWLINE_JWT_REQUESTS_PER_MINUTE": "90",
            "THAWLINE_JWT_AT_ONCE": "9",
            "THAWLINE_STATE_FOLDER": "/run/thawline",
            "THAWLINE_TRACE_ENDPOINT": "http://collector:4318/v1/traces",
        }
    )

    assert settings == Settings(
        body_limit_bytes=64_000,
        nesting_limit=12,
        docs_url="https://docs.example.org",
        rules_folder=Path("/srv/rules"),
        base_url="https://thawline.example.org",
        allowed_origins=("https://records.example.org", "http://localhost:3000"),
        code_map=Path("/srv/map.yaml"),
        jwt_keys=Path("/srv/jwks.json"),
        jwt_issuers=("https://a.example.org", "https://b.example.org"),
        jwt_tenants=("west", "east"),
        jwt_requests_per_minute=90,
        jwt_at_once=9,
        api_keys=Path("/srv/keys.yaml"),
        pages="open",
        audit_log="-",
        connection_limit=100,
        open_limit=50,
        waiting_limit=7,
        header_limit_s=3,
        body_limit_s=4,
        idle_limit_s=6,
        reader_limit_s=8,
        drain_limit_s=9,
        hang_limit_s=11,
        rules_poll_s=60,
        state_folder=Path("/run/thawline"),
        trace_endpoint="http://collector:4318/v1/traces",
    )
    assert all(getattr(settings, name) != getattr(Settings(), name) for name in Settings.__dataclass_fields__)


def test_any_origin_may_be_allowed():
    assert settings_from({"THAWLINE_ALLOWED_ORIGINS": "*"}).allowed_origins == ("*",)


@pytest.mark.parametrize(
    ("name", "value", "message"),
    [
        ("BODY_LIMIT_BYTES", "10", "must be a whole number from 1000 to 100000000"),  # would refuse every case
        ("BODY_LIMIT_BYTES", "1e6", "must be a whole number"),
        ("BODY_LIMIT_BYTES", "-5000", "must be a whole number"),
        ("WAITING_LIMIT", "0", "must be a whole number from 1 to 10000"),  # would answer nobody
        ("TRACE_ENDPOINT", "collector:4318", "must begin with https:// or http://"),
        ("NESTING_LIMIT", "2", "must be a whole number from 8 to 200"),
        ("NESTING_LIMIT", "٩", "must be a whole number"),  # a digit, but not one of ASCII
        ("DOCS_URL", "docs.example.org", "must begin with https:// or http://"),
        ("BASE_URL", "thawline.example.org", "must begin with https:// or http://"),
        ("ALLOWED_ORIGINS", "records.example.org", "must list origins"),
        ("ALLOWED_ORIGINS", "https://records.example.org/", "must list origins"),  # an origin has no path
        ("ALLOWED_ORIGINS", "* https://records.example.org", "must list origins"),
        ("ALLOWED_ORIGINS", "null", "must list origins"),
    ],
)
def test_a_setting_that_cannot_be_used_says_what_is_allowed(name, value, message):
    with pytest.raises(UnusableSetting, match=f"THAWLINE_{name} {message}"):
        settings_from({f"THAWLINE_{name}": value})
