"""The rule books released before the one that answers, by version. Each is loaded when first asked for, and kept."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from pathlib import Path

from decision.errors import UnknownVersion
from decision.reviewer.released import read_release, releases_in
from decision.rule_book import RuleBook

__all__ = ["Shelf"]


class Shelf:
    """The released rule books beside a rule folder."""

    def __init__(self, rules: Path | None) -> None:
        """Look which are there.

        Args:
            rules: The rule folder; None where rules came from elsewhere, with no releases beside them.
        """
        self._files: Mapping[str, Path] = {} if rules is None else releases_in(rules)
        self._loaded: dict[str, RuleBook] = {}
        self._loading = threading.Lock()

    @property
    def versions(self) -> list[str]:
        """Every version at hand, the oldest first."""
        return list(self._files)

    def of(self, version: str) -> RuleBook:
        """The released rule book of a version.

        Raises:
            UnknownVersion: It is not at hand; there is no silent fallback.
            RuleBookError: The file is not what was released.
        """
        if version not in self._files:
            raise UnknownVersion(f"the released rule books are {', '.join(self.versions) or 'none'}.")
        with self._loading:
            if version not in self._loaded:
                self._loaded[version] = read_release(self._files[version]).book()
        return self._loaded[version]

    def with_digest(self, version: str, digest: str) -> RuleBook | None:
        """The released rule book of a version, if it is at hand and is the very same."""
        if version not in self._files:
            return None
        found = self.of(version)
        return found if found.digest == digest else None

    def close(self) -> None:
        """Give the matcher's memory back."""
        for one in self._loaded.values():
            one.close()
