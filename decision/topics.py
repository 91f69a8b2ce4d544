"""Pages of the handbook that gather rules by topic, whatever decision they belong to.

rule_book.yaml names the pages and their topics; a rule names under `topics` those that it speaks of.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from pydantic import BaseModel, ConfigDict, Field

from decision.nearest import nearest
from decision.strict_yaml import Path
from decision.vocabulary import Vocabulary

__all__ = ["Page", "PageShape", "page_faults", "pages_of", "topic_faults"]


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its topics with their words, and the input by whose codes it also says which rules concern whom."""

    name: str
    title: str
    by: str
    topics: Mapping[str, str]


class PageShape(BaseModel):
    """One page, as rule_book.yaml writes it."""

    model_config = ConfigDict(extra="forbid", strict=True)

    title: str = Field(min_length=5)
    by: str
    topics: dict[str, str] = Field(min_length=1)


def pages_of(shapes: Mapping[str, PageShape]) -> dict[str, Page]:
    """The pages by name, in the order of the file."""
    return {name: Page(name, one.title, one.by, one.topics) for name, one in shapes.items()}


def page_faults(
    pages: Mapping[str, Page], vocabulary: Vocabulary, named: Collection[str]
) -> Iterable[tuple[Path, str]]:
    """State what is wrong with pages.

    Args:
        pages: The pages.
        vocabulary: The inputs; a page is parted by one that has codes.
        named: Every topic that some rule names.
    """
    coded = [name for name, one in vocabulary.inputs.items() if one.allowed]
    seen: dict[str, str] = {}
    for name, page in pages.items():
        if page.by not in coded:
            yield ("pages", name, "by"), f'"{page.by}" is not an input with codes.{nearest(page.by, coded)}'
        for topic in page.topics:
            place: Path = ("pages", name, "topics", topic)
            if topic in seen:
                yield place, f"{seen[topic]} has a topic of this name; choose another."
            elif topic not in named:
                yield place, "no rule names this topic."
            seen.setdefault(topic, name)


def topic_faults(topics: Iterable[str], known: Collection[str]) -> Iterable[tuple[Path, str]]:
    """State each topic of a rule that no page has."""
    for i, topic in enumerate(topics):
        if topic not in known:
            yield ("topics", i), f'"{topic}" is no topic.{nearest(topic, known)} Topics are in rules/rule_book.yaml.'
