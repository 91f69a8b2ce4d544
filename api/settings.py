"""What an operator may set, read once from the environment.

Every setting has a default that is safe to run with. A setting that cannot be used stops the start.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Settings", "UnusableSetting", "settings_from"]

PREFIX = "THAWLINE_"


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
    """

    body_limit_bytes: int = 1_000_000
    nesting_limit: int = 32
    docs_url: str = ""
    rules_folder: Path | None = None


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
    folder = environment.get(f"{PREFIX}RULES_FOLDER", "")
    return Settings(
        body_limit_bytes=_whole(environment, "BODY_LIMIT_BYTES", Settings().body_limit_bytes, 1_000, 100_000_000),
        nesting_limit=_whole(environment, "NESTING_LIMIT", Settings().nesting_limit, 8, 200),
        docs_url=_url(environment, "DOCS_URL"),
        rules_folder=Path(folder) if folder else None,
    )


def _whole(environment: Mapping[str, str], name: str, default: int, least: int, most: int) -> int:
    written = environment.get(PREFIX + name, "")
    if not written:
        return default
    if not (written.isascii() and written.isdigit() and least <= int(written) <= most):
        raise UnusableSetting(f"{PREFIX}{name} must be a whole number from {least} to {most}.")
    return int(written)


def _url(environment: Mapping[str, str], name: str) -> str:
    written = environment.get(PREFIX + name, "").rstrip("/")
    if written and not written.startswith(("https://", "http://")):
        raise UnusableSetting(f"{PREFIX}{name} must begin with https:// or http://.")
    return written
