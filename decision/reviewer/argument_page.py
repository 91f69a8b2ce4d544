"""Write the argument of a case as Markdown: what holds, what is outranked, what is open, what does not apply."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from decision.markdown import plain
from decision.recommendation import Finding
from decision.reviewer.argument import Argued, Argument, DecisionArgument

__all__ = ["argument_page", "finding_in_words", "standing"]

GROUPS = (("holds", "Holds"), ("unknown", "Open"), ("fails", "Does not apply"))


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
    answer = one["answer"] or "none yet"
    if one["at_least"] == one["could_become"]:
        return f"Answer: {answer}, settled."
    return f"Answer: {answer}; at least {one['at_least'] or 'nothing'}, it could become {one['could_become']}."


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
    for outcome, heading in GROUPS:
        rules = [rule for rule in one["rules"] if rule["outcome"] == outcome]
        if rules:
            yield from (f"### {heading} ({len(rules)})", "")
            for rule in rules:
                yield from _rule(rule)
            yield ""


def _rule(rule: Argued) -> Iterable[str]:
    yield f"- **{plain(rule['title'])}** (`{rule['rule']}`, {rule['evidence'].replace('_', ' ')} certainty)"
    for finding in rule["findings"]:
        yield f"  - {plain(finding_in_words(finding))}"
    if rule["outcome"] == "holds":
        yield f"  - It says {plain(rule['says'])}"
    if rule["outranked_by"]:
        yield f"  - Outranked by {', '.join(f'`{name}`' for name in rule['outranked_by'])}"
    if rule["needs"]:
        yield f"  - Waits for: {', '.join(f'`{name}`' for name in rule['needs'])}"
