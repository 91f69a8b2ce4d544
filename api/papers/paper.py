"""A paper, before it is laid out: a title, sections, and small print. Markdown, HTML and PDF are made of the same one.

What the practice adds by hand or by its own program is a blank with a name; nothing in a paper names an owner or an
animal.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["Paper", "Point", "Row", "Section"]


@dataclass(frozen=True, slots=True)
class Point:
    """One thing said in a list: what stands out, and what explains it."""

    text: str
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """A label with its value.

    Attributes:
        label: What it is.
        value: Its value; empty when it is not known.
        blank: The name of the blank that stands there when it is not known.
        then: The name of a blank that follows a value.
    """

    label: str
    value: str = ""
    blank: str = ""
    then: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """One section.

    Attributes:
        title: Its heading; empty for none.
        words: Paragraphs.
        points: A list.
        rows: Labels with values.
        alarm: Whether it stands in a frame, to be found at once.
        ticks: Whether each point has a box to tick.
        paired: Whether two rows stand in a line.
    """

    title: str
    words: tuple[str, ...] = ()
    points: tuple[Point, ...] = ()
    rows: tuple[Row, ...] = ()
    alarm: bool = False
    ticks: bool = False
    paired: bool = False

    @property
    def empty(self) -> bool:
        """Whether nothing stands in it."""
        return not (self.words or self.points or self.rows)


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper.

    Attributes:
        title: What it is.
        subtitle: When and about what.
        head: Blanks and facts under the title.
        sections: In the order of reading; empty ones are not shown.
        small_print: What it rests on.
        one_page: Whether it must stand on one page, in the largest type that fits.
    """

    title: str
    subtitle: str
    head: tuple[Row, ...]
    sections: tuple[Section, ...]
    small_print: tuple[str, ...]
    one_page: bool = False

    @property
    def shown(self) -> tuple[Section, ...]:
        """The sections in which something stands."""
        return tuple(one for one in self.sections if not one.empty)

    def texts(self) -> Iterator[str]:
        """Every text of the body, for a look at how much there is."""
        yield from (self.title, self.subtitle)
        for section in self.shown:
            yield from (section.title, *section.words)
            yield from (f"{one.text} {one.detail}" for one in section.points)
            yield from (f"{one.label} {one.value}" for one in section.rows)
