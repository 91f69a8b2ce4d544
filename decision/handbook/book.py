"""Write the rule book as one page that a vet can read: every rule in plain words, and indexes.

    rule folder -> opening, contents, a chapter for each decision, indexes -> rules/HANDBOOK.md

The words of a rule come from rule_in_words.py, which serves its own page too, and rule_text.py. No digest is printed,
so that the change of one rule shows as the change of one place.
"""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path

from decision.decision_node import DecisionNode
from decision.evidence_schema import evidence_schema, maintenance_schema
from decision.handbook.chapter import MOMENTS, chapter, groups_of
from decision.handbook.index import INDEXES, certainties, indexes, percent
from decision.handbook.topic_page import chapter_place, topic_chapter
from decision.markdown import anchor, bullets, heading, link, plain
from decision.rule_folder import RuleFolder

__all__ = ["HANDBOOK", "handbook_differs", "handbook_text", "write_handbook"]

HANDBOOK = "HANDBOOK.md"
SHOWN = 200  # lines of difference


def handbook_text(folder: RuleFolder) -> str:
    """The whole handbook, in Markdown."""
    blocks = [*_opening(folder), *_how_to_read(), *_contents(folder)]
    for node in sorted(folder.decisions, key=lambda node: MOMENTS.index(node.moments[0])):
        blocks += chapter(node, folder)
    for page in folder.pages.values():
        blocks += topic_chapter(page, folder)
    return "\n\n".join([*blocks, *indexes(folder)]) + "\n"


def write_handbook(path: Path, folder: RuleFolder) -> None:
    """Write the handbook of a folder."""
    path.write_text(handbook_text(folder), encoding="utf-8")


def handbook_differs(path: Path, folder: RuleFolder) -> str:
    """Where a written handbook differs from its folder: the first lines of it, or nothing when it does not."""
    written = path.read_text(encoding="utf-8") if path.is_file() else ""
    names = (f"{path.name} (written)", f"{path.name} (generated)")
    wanted = handbook_text(folder)
    lines = [*difflib.unified_diff(written.splitlines(), wanted.splitlines(), *names, lineterm="")]
    more = [f"... and {len(lines) - SHOWN} lines more"] if len(lines) > SHOWN else []
    return "\n".join([*lines[:SHOWN], *more])


def _opening(folder: RuleFolder) -> Iterable[str]:
    rules = [rule for some in folder.rules.values() for rule in some]
    thin = len(certainties(folder)["very_low"])
    sourceless = sum(not rule.evidence.citations for rule in rules)
    reviewed = Counter(str(rule.written["maintenance"]["specialist"]) for rule in rules)
    yield "# Handbook of the rules"
    yield (
        f"Every rule of the rule book {folder.version}, in plain words. This page is made from the rule files beside "
        "it; [how to change a rule](README.md) says how they are written."
    )
    yield f"> {plain(folder.notice)}"
    yield bullets(
        [
            f"{len(rules)} rules in {len(folder.decisions)} decisions.",
            f"{thin} of them ({percent(thin, len(rules))}) are of {link('very low certainty', 'by-certainty')}.",
            f"{sourceless} ({percent(sourceless, len(rules))}) rest on {link('no source', 'no-source')}.",
            f"Review: {'; '.join(f'{plain(who)} ({count})' for who, count in reviewed.most_common())}.",
        ]
    )


def _how_to_read() -> Iterable[str]:
    schema = evidence_schema({})["properties"]
    certainty, strength = (schema[name]["oneOf"] for name in ("certainty", "strength"))
    standing = maintenance_schema()["properties"]["validation"]["oneOf"]
    yield heading(2, "How to read a rule", "how-to-read")
    yield (
        "A rule **applies** when everything under “When” is true, unless everything under “Unless” is true too. It "
        "**does not apply** when one thing under “When” is false. It **stays open** while what is stated does not "
        "settle it: a fact that nobody has stated is not known, and is never taken for a no."
    )
    yield (
        "Each **worked example** was run to make this page, and the last column says what the rule did. A rule is "
        "shown by itself: what the whole rule book answers depends on the other rules too."
    )
    yield "**Certainty** says how far the evidence can be trusted, whatever the advice sounds like:"
    yield bullets(map(_explained, certainty))
    yield "**Strength** says how many would follow the advice:"
    yield bullets(map(_explained, strength))
    yield (
        "Beside the **sources** stands in which species they measured it, and whether with a cryogen of the "
        "consulting room. A text, a review or teaching measured nothing; neither did a series that took a step without "
        "comparing it. A figure from liquid nitrogen is never one for an aerosol."
    )
    yield "**Standing** says how far the rule has come:"
    yield bullets(map(_explained, standing))


def _explained(one: Mapping[str, str]) -> str:
    return f"{one['const'].replace('_', ' ')}: {plain(one['description'])}"


def _contents(folder: RuleFolder) -> Iterable[str]:
    yield heading(2, "Contents", "contents")
    for moment in MOMENTS:
        nodes = [node for node in folder.decisions if node.moments[0] == moment]
        if nodes:
            yield f"**{moment.capitalize()} the freeze**"
            yield "\n".join(line for node in nodes for line in _contents_of(node, folder))
    if folder.pages:
        yield "**Gathered by topic**"
        yield bullets(link(page.title, chapter_place(page)) for page in folder.pages.values())
    yield "**Indexes**"
    yield bullets(link(title, place) for place, title in INDEXES.items())


def _contents_of(node: DecisionNode, folder: RuleFolder) -> Iterable[str]:
    yield f"- {link(node.question, anchor(node.name))} ({len(folder.rules[node.name])})"
    for group in groups_of(node, folder):
        if group.title:
            yield f"  - {link(group.title, group.place)} ({len(group.rules)})"
