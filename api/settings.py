"""What an operator may set, read once from the environment.

Every setting has a default that is safe to run with. A setting that cannot be used stops the start.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

__all__ = ["ANY_ORIGIN", "PAGES", "PREFIX", "WHOLE", "Settings", "UnusableSetting", "settings_from"]

PREFIX = "THAWLINE_"
ANY_ORIGIN = ("*",)
PAGES = ("auto", "open", "off")
# The settings that are whole numbers, with the least and the most that each may be.
WHOLE = {
    "body_limit_bytes": (1_000, 100_000_000),
    "nesting_limit": (8, 200),
    "connection_limit": (1, 100_000),
    "open_limit": (1, 100_000),
    "waiting_limit": (1, 10_000),
    "header_limit_s": (1, 3_600),
    "body_limit_s": (1, 3_600),
    "idle_limit_s": (1, 3_600),
    "reader_limit_s": (1, 3_600),
    "drain_limit_s": (1, 3_600),
    "hang_limit_s": (1, 3_600),
    "rules_poll_s": (0, 86_400),
    "jwt_requests_per_minute": (1, 1_000_000),
    "jwt_at_once": (1, 10_000),
}
_ORIGIN = re.compile(r"https?://[a-z0-9.-]+(:[0-9]{1,5})?|https?://\[[0-9a-f:.]+\](:[0-9]{1,5})?", re.ASCII)


class UnusableSetting(ValueError):
    """A setting in the environment cannot be used."""


@dataclass(frozen=True, slots=True)
class Settings:
    """How the service is run.

    Attributes:
        body_limit_bytes: The longest request body that is read.
        nesting_limit: How deep objects and lists may stand in each other in a request body.
        docs_url: Where the pages about problems are found from outside; empty for this service itself.
        rules_folder: The rule folder; None for the one that came with the package.
        base_url: Where this service is found from outside, for links; empty for none but on this machine.
        allowed_origins: The origins of browser pages that may call; `*` alone for any.
        code_map: The mapping file of codes of other systems; None for the one that came with the package.
        jwt_keys: The JWK Set of CDS clients; None where they need no credential.
        jwt_issuers: Who may have issued their tokens.
        jwt_tenants: For whom a token may be; empty to take any, and tokens that name none.
        jwt_requests_per_minute: How often an issuer may call, for each tenant where tenants are named.
        jwt_at_once: How many of those calls may be open at once.
        api_keys: The file of keys and their limits; None where requests need no key.
        pages: Whether people may state a case on the pages: `open`, `off`, or `auto`, open only where no keys are set.
        audit_log: Where one line for each request goes: a file, `-` for standard error; empty for none.
        connection_limit: How many connections a process keeps; one more is closed at once.
        open_limit: How many requests a process has open, batches and slow bodies included; one more is shed.
        waiting_limit: How many cases wait in a process to be answered; one more is shed.
        header_limit_s: How long a connection may take to send the head of a request, in seconds.
        body_limit_s: How long the body of a request, or the next part of a batch, may take, in seconds.
        idle_limit_s: How long a connection is kept after an answer, in seconds.
        reader_limit_s: How long a client may take no part of its answer, in seconds.
        drain_limit_s: How long requests that are open may still take when the service stops, in seconds.
        hang_limit_s: After how long a process that does not answer its supervisor is replaced, in seconds.
        rules_poll_s: How often the supervisor looks whether the rule folder changed, in seconds; 0 for never.
        state_folder: Where the supervisor keeps what its workers share; None for a folder made for the run.
        trace_endpoint: The OTLP/HTTP collector that spans are sent to; empty for none.
    """

    body_limit_bytes: int = 1_000_000
    nesting_limit: int = 32
    docs_url: str = ""
    rules_folder: Path | None = None
    base_url: str = ""
    allowed_origins: tuple[str, ...] = ()
    code_map: Path | None = None
    jwt_keys: Path | None = None
    jwt_issuers: tuple[str, ...] = ()
    jwt_tenants: tuple[str, ...] = ()
    jwt_requests_per_minute: int = 600
    jwt_at_once: int = 20
    api_keys: Path | None = None
    pages: str = "auto"
    audit_log: str = ""
    connection_limit: int = 800
    open_limit: int = 256
    waiting_limit: int = 4
    header_limit_s: int = 10
    body_limit_s: int = 10
    idle_limit_s: int = 5
    reader_limit_s: int = 20
    drain_limit_s: int = 20
    hang_limit_s: int = 5
    rules_poll_s: int = 0
    state_folder: Path | None = None
    trace_endpoint: str = ""

    @property
    def pages_open(self) -> bool:
        """Whether the pages read a case. With keys they do so only where the operator has said it: they ask for none.

        >>> Settings().pages_open, Settings(api_keys=Path("keys.yaml")).pages_open
        (True, False)
        """
        return self.pages == "open" or (self.pages == "auto" and self.api_keys is None)


def settings_from(environment: Mapping[str, str]) -> Settings:
    """Read the settings from environment variables that begin with THAWLINE_.

    Raises:
        UnusableSetting: A value is not one that the setting can have.

    >>> settings_from({"THAWLINE_BODY_LIMIT_BYTES": "64000"}).body_limit_bytes
    64000
    >>> settings_from({"THAWLINE_NESTING_LIMIT": "deep"})
    Traceback (most recent call last):
    api.settings.UnusableSetting: THAWLINE_NESTING_LIMIT must be a whole number from 8 to 200.
    """
    return Settings(
        **{name: _whole(environment, name, least, most) for name, (least, most) in WHOLE.items()},
        docs_url=_url(environment, "DOCS_URL"),
        rules_folder=_path(environment, "RULES_FOLDER"),
        base_url=_url(environment, "BASE_URL"),
        allowed_origins=_origins(environment, "ALLOWED_ORIGINS"),
        code_map=_path(environment, "CODE_MAP"),
        jwt_keys=_path(environment, "JWT_KEYS"),
        jwt_issuers=tuple(environment.get(f"{PREFIX}JWT_ISSUERS", "").split()),
        jwt_tenants=tuple(environment.get(f"{PREFIX}JWT_TENANTS", "").split()),
        api_keys=_path(environment, "API_KEYS"),
        pages=_one_of(environment, "PAGES", PAGES),
        audit_log=environment.get(f"{PREFIX}AUDIT_LOG", ""),
        state_folder=_path(environment, "STATE_FOLDER"),
        trace_endpoint=_url(environment, "TRACE_ENDPOINT"),
    )


def _whole(environment: Mapping[str, str], name: str, least: int, most: int) -> int:
    variable = PREFIX + name.upper()
    written = environment.get(variable, "")
    if not written:
        default: int = getattr(Settings(), name)
        return default
    if not (written.isascii() and written.isdigit() and len(written) < 20 and least <= int(written) <= most):
        raise UnusableSetting(f"{variable} must be a whole number from {least} to {most}.")
    return int(written)


def _one_of(environment: Mapping[str, str], name: str, allowed: tuple[str, ...]) -> str:
    """One of a few words; the first where none is set."""
    written = environment.get(PREFIX + name, "") or allowed[0]
    if written not in allowed:
        raise UnusableSetting(f"{PREFIX}{name} must be one of: {', '.join(allowed)}.")
    return written


def _path(environment: Mapping[str, str], name: str) -> Path | None:
    written = environment.get(PREFIX + name, "")
    return Path(written) if written else None


def _origins(environment: Mapping[str, str], name: str) -> tuple[str, ...]:
    listed = tuple(environment.get(PREFIX + name, "").split())
    if listed != ANY_ORIGIN and not all(_ORIGIN.fullmatch(one) for one in listed):
        said = "must list origins with spaces between, as https://records.example.org, or be * alone."
        raise UnusableSetting(f"{PREFIX}{name} {said}")
    return listed


def _url(environment: Mapping[str, str], name: str) -> str:
    written = environment.get(PREFIX + name, "").rstrip("/")
    if written and not written.startswith(("https://", "http://")):
        raise UnusableSetting(f"{PREFIX}{name} must begin with https:// or http://.")
    return written
