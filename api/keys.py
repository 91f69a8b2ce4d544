"""The keys that clients may call with, as the operator's file lists them: hashed, named, each with its limits.

A key is drawn at random with 256 bits, so that a plain SHA-256 of it cannot be turned round.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from api.setting_file import UnusableFile, read_setting_file
from api.settings import Settings
from decision.errors import Fault
from decision.shape import shape_faults
from decision.strict_yaml import Document

__all__ = ["Key", "UnusableKeys", "hash_of", "key_of", "keys_of", "new_key", "read_keys"]

LONGEST = 200


class UnusableKeys(UnusableFile):
    """The file of keys cannot be used. Every fault is in the text."""

    called = "The file of keys"


@dataclass(frozen=True, slots=True)
class Key:
    """One key: what it is called in the log, its hash, and what was agreed with its holder."""

    name: str
    hash: str
    requests_per_minute: int
    at_once: int


def new_key() -> str:
    """A key that nobody has drawn before."""
    return secrets.token_urlsafe(32)


def hash_of(key: str) -> str:
    """The hash by which a key is known.

    >>> hash_of("a")[:8]
    'ca978112'
    """
    return hashlib.sha256(key.encode()).hexdigest()


def key_of(written: str, keys: Iterable[Key]) -> Key | None:
    """The key that a request names. Every hash is compared, so that the time tells nothing."""
    named, found = hash_of(written[:LONGEST]), None
    for key in keys:
        if hmac.compare_digest(key.hash, named):
            found = key
    return found


def keys_of(settings: Settings) -> tuple[Key, ...]:
    """The keys that the operator has given out; none where everybody may call. Raises as `read_keys`."""
    return () if settings.api_keys is None else read_keys(settings.api_keys)


def read_keys(file: Path) -> tuple[Key, ...]:
    """Read the file of keys.

    Raises:
        UnusableKeys: With every fault of the file. No hash is repeated in a message.
    """
    document, faults = read_setting_file(file, UnusableKeys)
    shape, more = shape_faults(_KeysShape, document)
    faults += [Fault(one.file, one.line, one.path, _HASH.sub("...", one.message)) for one in more]
    if shape is not None:
        faults += _faults(shape, document)
    if shape is None or faults:
        raise UnusableKeys(faults)
    return tuple(Key(one.name, one.sha256, one.requests_per_minute, one.at_once) for one in shape.keys)


class _Closed(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class _KeyShape(_Closed):
    name: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,63}$")]
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    requests_per_minute: Annotated[int, Field(ge=1, le=1_000_000)] = 600
    at_once: Annotated[int, Field(ge=1, le=10_000)] = 20


class _KeysShape(_Closed):
    keys: list[_KeyShape] = Field(min_length=1, max_length=1_000)


_HASH = re.compile(r"'[^']*'\.?$")


def _faults(shape: _KeysShape, document: Document) -> Iterable[Fault]:
    for name in ("name", "sha256"):
        seen: set[str] = set()
        for i, one in enumerate(shape.keys):
            if getattr(one, name) in seen:
                yield document.fault(("keys", i, name), "stands twice.")
            seen.add(getattr(one, name))
