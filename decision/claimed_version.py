"""Hold a rule folder against the released rule book whose version it claims: a pinned version means one content only.

rules/released/VERSION.json names the digest of a release. A folder with other rules needs a version of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import orjson

__all__ = ["RELEASED", "claim_faults"]

RELEASED = "released"  # the folder of released rule books beside the rules


def claim_faults(folder: Path, version: str, digest: str) -> Iterator[str]:
    """Say what is wrong with the version that a rule folder states.

    Args:
        folder: The rule folder. Without a release of that version in it, its version is its own.
        version: The version that it states.
        digest: The digest of what is written in it.
    """
    path = folder / RELEASED / f"{version}.json"
    if not path.exists():
        return
    try:
        released = orjson.loads(path.read_bytes())["digest"]
    except (OSError, KeyError, TypeError, ValueError):
        yield f"{RELEASED}/{path.name} is no released rule book, or it cannot be read; take it from where it came from."
        return
    if released != digest:
        yield f"{version} is released with other rules ({RELEASED}/{path.name}). Raise the version in rule_book.yaml."
