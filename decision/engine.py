"""The version of the engine. It stands outside the conclusion: a newer engine must conclude the same."""

from __future__ import annotations

__all__ = ["ENGINE_VERSION"]

ENGINE_VERSION = "0.1.0"
