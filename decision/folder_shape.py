"""The shapes of rule_book.yaml and sources.yaml."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from decision.topics import PageShape

__all__ = ["BookShape", "SourcesShape"]


class BookShape(BaseModel):
    """rule_book.yaml: the book as a whole."""

    model_config = ConfigDict(extra="forbid", strict=True)

    title: str
    version: str = Field(pattern=r"^[0-9]{4}\.[0-9]{2}\.[0-9]+$")
    answer_contract: int = Field(ge=1)
    notice: str = Field(min_length=20)
    pages: dict[str, PageShape] = Field(default_factory=dict)


class _Source(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)

    authors: str
    title: str
    where: str
    year: int | None = Field(ge=1850, le=2100)
    doi: str | None
    kind: Literal["trial", "series", "bench", "textbook", "proceedings", "guideline", "review", "regulation", "model"]
    level: Literal["L1", "L2", "L3", "L4", "L5"]
    species: list[str]
    cryogens: list[str]
    measured: str = Field(min_length=10)
    read: Literal["full", "abstract", "opening", "secondary", "from_memory"]


class SourcesShape(BaseModel):
    """sources.yaml: every publication, by key."""

    model_config = ConfigDict(extra="allow", strict=True)
    __pydantic_extra__: dict[str, _Source] = Field(init=False)

    def root_or_empty(self) -> dict[str, dict[str, Any]]:
        """The sources as plain data."""
        return {key: one.model_dump() for key, one in self.__pydantic_extra__.items()}
