"""Write the argument of a case as Markdown: what decides, what is outranked, what is open, what does not apply."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from decision.markdown import plain
from decision.recommendation import Finding
from decision.reviewer.argument import Argued, Argument, DecisionArgument, Standing

__all__ = ["argument_page", "finding_in_words", "grouped", "outranked_in_words", "standing"]

GROUPS: tuple[tuple[Standing, str], ...] = (
    ("decides", "Decides"),
    ("holds", "Holds"),
    ("silent", "Holds, and only matters for a freeze"),
    ("outranked", "Holds, and is outranked"),
    ("open", "Open"),
    ("fails", "Does not apply"),
)


def argument_page(arguments: Sequence[Argument]) -> str:
    """One page for every lesion of a case."""
    lines: list[str] = []
    for argument in arguments:
        lines += [f"# Why and why not: {plain(argument['lesion_id'])}", ""]
        if argument["presumed"]:
            lines += [f"Presumed, since nothing was stated: {plain('; '.join(argument['presumed']))}.", ""]
        for one in argument["decisions"]:
            lines += _decision(one)
    return "\n".join(lines)


def standing(one: DecisionArgument) -> str:
    """Where a decision stands, in a line."""
    if not one["asked"]:
        return f"Not asked; it is asked only where {one['asked_only_where']}."
    if one["at_least"] is None and one["could_become"] is None:
        return ""
    answer, by = one["answer"] or "none yet", f" By {', '.join(one['decided_by'])}." if one["decided_by"] else ""
    if one["at_least"] == one["could_become"]:
        return f"Answer: {answer}, settled.{by}"
    return f"Answer: {answer}; at least {one['at_least'] or 'nothing'}, it could become {one['could_become']}.{by}"


def grouped(one: DecisionArgument) -> Iterator[tuple[str, list[Argued]]]:
    """The rules of a decision by what became of them, each group that has a rule under its heading."""
    for name, heading in GROUPS:
        rules = [rule for rule in one["rules"] if rule["standing"] == name]
        if rules:
            yield f"{heading} ({len(rules)})", rules


def outranked_in_words(rule: Argued) -> str:
    """By which answer and which rules a rule is outranked; nothing where it is not."""
    if not rule["outranked_by"]:
        return ""
    return f"Outranked by {rule['outranked_by_answer']}, which is more cautious: {', '.join(rule['outranked_by'])}"


def finding_in_words(finding: Finding) -> str:
    """One test held against the case, in a line."""
    given = finding["given"]
    if given is None:
        return f"{finding['test']}: {finding['finding']}"
    shown = ("yes" if given else "no") if isinstance(given, bool) else given if isinstance(given, str) else f"{given:g}"
    return f"{finding['test']}: {finding['finding']} ({shown})"


def _decision(one: DecisionArgument) -> Iterator[str]:
    yield from (f"## {plain(one['question'])}", "")
    if said := standing(one):
        yield from (plain(said), "")
    for heading, rules in grouped(one):
        yield from (f"### {heading}", "")
        for rule in rules:
            yield from _rule(rule)
        yield ""


def _rule(rule: Argued) -> Iterable[str]:
    certainty = f"{rule['evidence'].replace('_', ' ')} certainty"
    yield f"- **{plain(rule['title'])}** (`{rule['rule']}`, {certainty}, {rule['measured']})"
    for finding in rule["findings"]:
        yield f"  - {plain(finding_in_words(finding))}"
    if rule["standing"] != "fails":
        yield f"  - {'It would say' if rule['needs'] else 'It says'} {plain(rule['says'])}"
    if said := outranked_in_words(rule):
        yield f"  - {plain(said)}"
    if rule["needs"]:
        yield f"  - Needs: {', '.join(f'`{name}`' for name in rule['needs'])}"
