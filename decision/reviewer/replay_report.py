"""Write what a replay found as Markdown, and as one HTML page with charts; both carry the same words and figures."""

from __future__ import annotations

import html
import json
from collections.abc import Iterator

from decision.markdown import plain
from decision.reviewer.bar_chart import bar_chart, parts_chart
from decision.reviewer.replay_tally import DIRECTIONS, Example, ReplayTally
from decision.reviewer.report_page import page, table

__all__ = ["replay_html", "replay_markdown"]

BY_RULE = "By which rules"
TOLD = {
    "cases": "cases",
    "unusable": "of them cannot be used",
    "lesions": "lesions answered",
    "same": "answered the same",
    "other_statements_only": "the same verdict, other statements",
}


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
    parts = ["<ul>"]
    parts += [f"<li>{html.escape(one)}</li>" for one in _books(tally)]
    parts += [f"<li>{count} {html.escape(said)}</li>" for said, count in _totals(tally)]
    parts.append("</ul>")
    for number, (heading, counts) in enumerate(_tables(tally)):
        parts.append(f"<h2>{html.escape(heading)}</h2>")
        parts.append(_chart(f"chart{number}", heading, counts, tally))
        figures = table(["", "lesions"], [(name, str(count)) for name, count in counts])
        parts.append(f"<details><summary>The same in figures</summary>{figures}</details>")
    for change, examples in tally["examples"].items():
        parts.append(f"<h2>For example: {html.escape(change)}</h2>")
        parts += [f"<p>{html.escape(_place(one))}</p><pre>{html.escape(_case(one))}</pre>" for one in examples]
    return page("Replay of cases by two rule books", parts)


def _chart(name: str, heading: str, counts: list[tuple[str, int]], tally: ReplayTally) -> str:
    """The bars of a table; those of rules are made of the directions in which they change verdicts."""
    title = f"{heading}, in lesions"
    if heading != BY_RULE:
        return bar_chart(name, title, f"The greatest is {counts[0][1]}: {counts[0][0]}.", counts)
    by_rule = {rule: [ways.get(way, 0) for way in DIRECTIONS] for rule, ways in tally["rules"].items()}
    first = next(iter(by_rule))
    return parts_chart(name, title, f"The greatest is {sum(by_rule[first])}: {first}.", DIRECTIONS, by_rule)


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
        (BY_RULE, by_rule),
        ("Other statements under the same verdict, by rule", list(tally["statements"].items())),
    ):
        if counts:
            yield heading, counts


def _place(one: Example) -> str:
    before, after = (", ".join(rules) or "none" for rules in (one["rules_before"], one["rules_after"]))
    return f"At {one['place']}, lesion {one['lesion_id']}. Deciding before: {before}. Deciding after: {after}."


def _case(one: Example) -> str:
    return json.dumps(one["case"], indent=1, ensure_ascii=False)
