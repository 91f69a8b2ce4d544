"""Write what a replay found as Markdown, and as one HTML page with bars; both carry the same words and figures."""

from __future__ import annotations

import html
import json
from collections.abc import Iterator

from decision.markdown import plain
from decision.reviewer.replay_tally import Example, ReplayTally

__all__ = ["replay_html", "replay_markdown"]

BAR = 320  # the width of the longest bar, in pixels
TOLD = {
    "cases": "cases",
    "unusable": "of them cannot be used",
    "lesions": "lesions answered",
    "same": "answered the same",
    "other_statements_only": "the same verdict, other statements",
}
STYLE = """body{font:16px/1.5 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#1a1a1a;
background:#fff}table{border-collapse:collapse}th,td{text-align:left;padding:.2rem .8rem .2rem 0;vertical-align:top}
svg rect{fill:#2b5f75}pre{white-space:pre-wrap;background:#f3f3f3;padding:.6rem}"""


def replay_markdown(tally: ReplayTally) -> str:
    """The report as Markdown."""
    lines = ["# Replay of cases by two rule books", "", *(f"- {name}" for name in _books(tally)), ""]
    lines += [f"- {count} {plain(said)}" for said, count in _totals(tally)]
    for heading, counts in _tables(tally):
        lines += ["", f"## {heading}", "", "| | lesions |", "| --- | --- |"]
        lines += [f"| {plain(name)} | {count} |" for name, count in counts]
    for change, examples in tally["examples"].items():
        lines += ["", f"## For example: {plain(change)}", ""]
        for one in examples:
            lines += [f"- {plain(_place(one))}", "", "```json", _case(one), "```", ""]
    return "\n".join(lines).rstrip() + "\n"


def replay_html(tally: ReplayTally) -> str:
    """The report as a page of its own, which loads nothing."""
    parts = ["<h1>Replay of cases by two rule books</h1>", "<ul>"]
    parts += [f"<li>{html.escape(one)}</li>" for one in _books(tally)]
    parts += [f"<li>{count} {html.escape(said)}</li>" for said, count in _totals(tally)]
    parts.append("</ul>")
    for heading, counts in _tables(tally):
        most = max(count for _, count in counts)
        parts += [f"<h2>{html.escape(heading)}</h2>", "<table><tr><th>what</th><th>lesions</th><th></th></tr>"]
        parts += [_row(name, count, most) for name, count in counts]
        parts.append("</table>")
    for change, examples in tally["examples"].items():
        parts.append(f"<h2>For example: {html.escape(change)}</h2>")
        parts += [f"<p>{html.escape(_place(one))}</p><pre>{html.escape(_case(one))}</pre>" for one in examples]
    body = "\n".join(parts)
    head = f'<meta charset="utf-8"><title>Replay of cases by two rule books</title><style>{STYLE}</style>'
    return f'<!doctype html><html lang="en"><head>{head}</head><body>\n{body}\n</body></html>\n'


def _books(tally: ReplayTally) -> list[str]:
    before, after = tally["rule_books"]
    return [f"rule book before: {before}", f"rule book after: {after}"]


def _totals(tally: ReplayTally) -> Iterator[tuple[str, int]]:
    for name, said in TOLD.items():
        yield said, tally[name]  # type: ignore[literal-required]


def _tables(tally: ReplayTally) -> Iterator[tuple[str, list[tuple[str, int]]]]:
    """The tables that have a row."""
    by_rule = [(f"{rule}: {way}", count) for rule, ways in tally["rules"].items() for way, count in ways.items()]
    for heading, counts in (
        ("In which direction", list(tally["directions"].items())),
        ("Which verdicts", list(tally["verdicts"].items())),
        ("By which rules", by_rule),
        ("Other statements under the same verdict, by rule", list(tally["statements"].items())),
    ):
        if counts:
            yield heading, counts


def _row(name: str, count: int, most: int) -> str:
    width = round(BAR * count / most)
    bar = f'<svg width="{BAR}" height="14" role="img" aria-label="{count}"><rect width="{width}" height="14"/></svg>'
    return f"<tr><td>{html.escape(name)}</td><td>{count}</td><td>{bar}</td></tr>"


def _place(one: Example) -> str:
    before, after = (", ".join(rules) or "none" for rules in (one["rules_before"], one["rules_after"]))
    return f"At {one['place']}, lesion {one['lesion_id']}. Deciding before: {before}. Deciding after: {after}."


def _case(one: Example) -> str:
    return json.dumps(one["case"], indent=1, ensure_ascii=False)
