"""Print reasons: the rule's title, its findings in this case, its explanation, and what it rests on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.console import Console

from api.text.input_words import value_in_words
from api.text.layout import item, paragraph
from decision.measured import measured_for
from decision.recommendation import Evidence, Finding, OpenRule, Outranked, Reason
from decision.vocabulary import Input

__all__ = [
    "NO_SOURCE",
    "evidence_in_brief",
    "evidence_in_words",
    "show_briefly",
    "show_outlined",
    "show_outranked",
    "show_reasons",
]

NO_SOURCE = "common practice, no source"


def show_reasons(
    console: Console, reasons: Sequence[Reason], inputs: Mapping[str, Input], says: Mapping[str, str]
) -> None:
    """Print reasons in full, each with what it says of the verdict (`says`, by rule)."""
    for number, reason in enumerate(reasons, 1):
        if number > 1:
            console.print()
        item(console, f"{number}.", reason["title"], depth=0)
        if reason["rule"] in says:
            paragraph(console, f"It says: {says[reason['rule']]}.", depth=1)
        for finding in reason["because"]:
            item(console, "-", finding_in_words(finding, inputs), depth=1, style="")
        paragraph(console, reason["explanation"], depth=1)
        paragraph(console, f"{evidence_in_words(reason['evidence'])} Rule: {reason['rule']}.", depth=1)


def show_briefly(console: Console, reasons: Sequence[Reason]) -> None:
    """Print under a statement which rule makes it, and on what evidence, in a line."""
    for reason in reasons:
        paragraph(console, f"({evidence_in_brief(reason['evidence'])}; {reason['rule']})", depth=1)


def show_outlined(console: Console, rules: Sequence[OpenRule], inputs: Mapping[str, Input]) -> None:
    """Print rules that do not apply or are open, with the findings that make them so."""
    for rule in rules:
        item(console, "-", f"{rule['title']} ({rule['rule']})", style="")
        for finding in rule["because"]:
            if finding["finding"] != "met":
                paragraph(console, finding_in_words(finding, inputs), depth=2)


def show_outranked(console: Console, rules: Sequence[Outranked]) -> None:
    """Print rules that hold and did not decide, each with what it says and what outranks it."""
    for rule in rules:
        item(console, "-", f"{rule['title']} ({rule['rule']})", style="")
        by = ", ".join(rule["outranked_by"])
        paragraph(console, f"It says {rule['says']}; {rule['outranked_by_answer']} outranks it, by {by}.", depth=2)


def finding_in_words(finding: Finding, inputs: Mapping[str, Input]) -> str:
    """A test of a rule, whether it is met, and the value of the case."""
    given = finding["given"]
    value = "" if given is None else f" (here: {value_in_words(given, inputs[finding['input']])})"
    return f"{finding['test']}: {finding['finding']}{value}"


def evidence_in_words(evidence: Evidence) -> str:
    """What a rule rests on, in one or two sentences.

    >>> evidence_in_words({"certainty": "very_low", "strength": "strong", "citations": [], "species_direct": False,
    ...     "cryogen_direct": False, "limits": "This is common practice, no source."})
    'Evidence: very low certainty, strong advice; common practice, no source.'
    """
    advice = {"good_practice": "good practice"}.get(evidence["strength"], f"{evidence['strength']} advice")
    said = f"Evidence: {evidence['certainty'].replace('_', ' ')} certainty, {advice}; "
    if not evidence["citations"]:
        return f"{said}{NO_SOURCE}."
    limits = " ".join(evidence["limits"].split())
    return f"{said}[{', '.join(evidence['citations'])}]; {measured_for(evidence)}. {limits}"


def evidence_in_brief(evidence: Evidence) -> str:
    """What a rule rests on, in few words: never the certainty alone, which says nothing of where it was measured.

    >>> evidence_in_brief({"certainty": "low", "strength": "strong", "citations": ["smith_2020"],
    ...     "species_direct": False, "measured_in": ["dog"], "cryogen_direct": False, "limits": "Ten dogs."})
    'low certainty; smith_2020; measured in dogs, not in this species; not with this kind of cryogen'
    """
    certainty = f"{evidence['certainty'].replace('_', ' ')} certainty"
    if not evidence["citations"]:
        return f"{certainty}; {NO_SOURCE}"
    return f"{certainty}; {', '.join(evidence['citations'])}; {measured_for(evidence)}"
