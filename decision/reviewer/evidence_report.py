"""Write what the rules rest on as one HTML page: charts, the same figures as a table, and what rests on each source."""

from __future__ import annotations

import html
from collections.abc import Sequence

from decision.reviewer.bar_chart import bar_chart, parts_chart
from decision.reviewer.evidence_view import CERTAINTIES, DecisionEvidence, SourceUse
from decision.reviewer.report_page import page, table

__all__ = ["evidence_html"]

NO_SOURCE = "no source"
PARTS = (*(one.replace("_", " ") for one in CERTAINTIES), NO_SOURCE)


def evidence_html(counted: Sequence[DecisionEvidence], uses: Sequence[SourceUse]) -> str:
    """The page.

    Args:
        counted: What the rules of each decision rest on.
        uses: Which rules rest on each source.
    """
    whole = [sum(one.parts[i] for one in counted) for i in range(len(PARTS))]
    said = f"Of {sum(whole)} rules, {whole[-1]} cite no source; those that do are counted by their certainty."
    parts = [
        f"<p>{said} A rule without a source is common practice, and says so.</p>",
        "<h2>The rule book as a whole</h2>",
        bar_chart("whole", "Rules by certainty of their evidence", said, list(zip(PARTS, whole, strict=True))),
        "<h2>Decision by decision</h2>",
        parts_chart("decisions", "Rules of each decision by certainty of their evidence", said, PARTS, _parts(counted)),
        "<h2>The same in figures</h2>",
        table(["decision", "rules", *PARTS], ([one.decision, *map(str, (one.rules, *one.parts))] for one in counted)),
        "<h2>What rests on each source</h2>",
        "<ul>",
        *(_source(use) for use in uses),
        "</ul>",
    ]
    return page("What the rules rest on", parts)


def _parts(counted: Sequence[DecisionEvidence]) -> dict[str, Sequence[int]]:
    return {one.decision.replace("_", " "): one.parts for one in counted}


def _source(use: SourceUse) -> str:
    rules = f": {', '.join(use.rules)}" if use.rules else ""
    told = f"{use.source} ({use.level}, read: {use.read}): {len(use.rules)} rules, {len(use.alone)} on it alone{rules}"
    return f"<li>{html.escape(told)}</li>"
