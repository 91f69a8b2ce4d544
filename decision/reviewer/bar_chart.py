"""Draw counts as bars: SVG that stands in a page by itself, with its title, its description and every figure as text.

Nothing is told by colour alone: parts of a bar have patterns of their own, named beside the chart, and each bar ends in
its figure. A label stands above its bar, so that it may be long.
"""

from __future__ import annotations

import html
from collections.abc import Iterable, Iterator, Mapping, Sequence

__all__ = ["STYLE", "bar_chart", "parts_chart"]

WIDTH, BAR_WIDTH = 640, 520  # of the drawing, and of the longest bar, in its own units
ROW, BAR, LINE = 40, 16, 20
INK = "#1d4f63"
STYLE = "svg.chart{display:block;width:100%;max-width:40rem;height:auto}svg.chart text{font:14px system-ui,sans-serif}"
# How each part of a bar is drawn, from full to empty: strokes on a square of 8 by 8.
PATTERNS = (
    f'<rect width="8" height="8" fill="{INK}"/>',
    f'<path d="M0 0h8v8H0z" fill="{INK}" fill-opacity=".55"/><path d="M0 4h8M4 0v8" stroke="#fff" stroke-width="1.5"/>',
    f'<path d="M-2 2l4-4M0 8l8-8M6 10l4-4" stroke="{INK}" stroke-width="2.5"/>',
    f'<circle cx="4" cy="4" r="1.6" fill="{INK}"/>',
    "",
)


def bar_chart(name: str, title: str, description: str, counts: Sequence[tuple[str, int]]) -> str:
    """One bar for each count.

    Args:
        name: A word that no other chart of the page has; it begins the ids.
        title: What is counted.
        description: What a reader who does not see the bars should know.
        counts: Labels with their counts, in the order in which they are drawn; at least one, none negative.
    """
    most = max(count for _, count in counts) or 1
    drawn = (
        _bar(label, str(count), [(0, _width(count, most), 0)], name, row) for row, (label, count) in enumerate(counts)
    )
    return _chart(name, title, description, len(counts) * ROW, drawn)


def parts_chart(
    name: str, title: str, description: str, parts: Sequence[str], counts: Mapping[str, Sequence[int]]
) -> str:
    """One bar for each label, made of parts.

    Args:
        name: A word that no other chart of the page has; it begins the ids.
        title: What is counted.
        description: What a reader who does not see the bars should know.
        parts: What the parts are, at most five.
        counts: For each label the count of each part, in the order of the parts.

    Raises:
        ValueError: There are more parts than patterns to tell them apart.
    """
    if len(parts) > len(PATTERNS):
        raise ValueError(f"{len(parts)} parts cannot be told apart; at most {len(PATTERNS)} can.")
    most = max(sum(listed) for listed in counts.values()) or 1
    key_height = LINE * len(parts) + BAR
    drawn = [*_key(parts, name)]
    for row, (label, listed) in enumerate(counts.items()):
        figures = ", ".join(f"{count} {part}" for part, count in zip(parts, listed, strict=True) if count)
        drawn.append(_bar(label, f"{sum(listed)} ({figures})", _placed(listed, most), name, row, key_height))
    return _chart(name, title, description, key_height + len(counts) * ROW, drawn)


def _chart(name: str, title: str, description: str, height: int, drawn: Iterable[str]) -> str:
    patterns = "".join(
        f'<pattern id="{name}-{i}" width="8" height="8" patternUnits="userSpaceOnUse">{one}</pattern>'
        for i, one in enumerate(PATTERNS)
    )
    return (
        f'<svg class="chart" viewBox="0 0 {WIDTH} {height}" role="img" aria-labelledby="{name}-title {name}-desc">'
        f'<title id="{name}-title">{html.escape(title)}</title>'
        f'<desc id="{name}-desc">{html.escape(description)}</desc>'
        f"<defs>{patterns}</defs>{''.join(drawn)}</svg>"
    )


def _bar(label: str, figure: str, parts: Sequence[tuple[int, int, int]], name: str, row: int, top: int = 0) -> str:
    """A label, under it the parts of its bar (where each begins, how wide it is, its pattern), and the figure."""
    above, under = top + row * ROW + 14, top + row * ROW + LINE
    shapes = "".join(_shape(left, under, width, name, pattern) for left, width, pattern in parts if width)
    return f'<text x="0" y="{above}">{html.escape(label)}: {html.escape(figure)}</text>{shapes}'


def _shape(left: int, top: int, width: int, name: str, pattern: int) -> str:
    return f'<rect x="{left}" y="{top}" width="{width}" height="{BAR}" fill="url(#{name}-{pattern})" stroke="{INK}"/>'


def _key(parts: Sequence[str], name: str) -> Iterator[str]:
    """What each pattern means."""
    for i, part in enumerate(parts):
        yield _shape(0, i * LINE, 2 * BAR, name, i)
        yield f'<text x="{3 * BAR}" y="{i * LINE + 13}">{html.escape(part)}</text>'


def _placed(listed: Sequence[int], most: int) -> list[tuple[int, int, int]]:
    """Where each part of a bar begins and how wide it is; the parts meet."""
    ends = [_width(sum(listed[: i + 1]), most) for i in range(len(listed))]
    return [(left, right - left, i) for i, (left, right) in enumerate(zip([0, *ends], ends, strict=False))]


def _width(count: int, most: int) -> int:
    """How wide a bar is: what is counted at all is never drawn as nothing.

    >>> _width(0, 100000), _width(1, 100000), _width(100000, 100000)
    (0, 1, 520)
    """
    return max(round(BAR_WIDTH * count / most), 1) if count else 0
