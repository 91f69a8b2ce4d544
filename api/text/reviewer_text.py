"""Print for a reviewer at a terminal: the argument, what would change the verdict, a reproduction."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from api.text.input_words import value_in_words
from api.text.layout import heading, item, paragraph
from decision.reviewer.argument import Argued, Argument
from decision.reviewer.argument_page import finding_in_words, grouped, outranked_in_words, standing
from decision.reviewer.change_messages import Change, ChangedFact, WhatWouldChange
from decision.reviewer.reproduction import Reproduction
from decision.rule_book import RuleBook

__all__ = ["show_argument", "show_changes", "show_reproduction"]

CHANGES = {"never": " (cannot change in this patient)", "time": " (time brings it)", "can": ""}
SHOWN = 20  # differences


def show_argument(console: Console, arguments: Sequence[Argument]) -> None:
    """Print every rule with its outcome, its findings, what outranks it and what it waits for."""
    for argument in arguments:
        heading(console, f"Why and why not: {argument['lesion_id']}")
        if argument["presumed"]:
            paragraph(console, f"Presumed, since nothing was stated: {'; '.join(argument['presumed'])}.")
        for one in argument["decisions"]:
            heading(console, one["question"])
            if said := standing(one):
                paragraph(console, said)
            for words, rules in grouped(one):
                paragraph(console, words, style="bold")
                for rule in rules:
                    _show_rule(console, rule)


def show_changes(console: Console, found: WhatWouldChange, book: RuleBook) -> None:
    """Print which facts, were they otherwise, would change each verdict."""
    for lesion in found["lesions"]:
        heading(console, f"What would change the verdict: {lesion['lesion_id']}")
        paragraph(console, f"Now: {lesion['verdict'] or 'no verdict'} ({', '.join(lesion['rules']) or 'by no rule'}).")
        for words, changes in (("One fact", lesion["singly"]), ("Two facts together", lesion["pairs"])):
            if changes:
                paragraph(console, words, style="bold")
            for change in changes:
                _show_change(console, change, book)
        if lesion["pairs_left_out"]:
            paragraph(console, f"{lesion['pairs_left_out']} pairs more are not told.")
        if lesion["not_searched"]:
            paragraph(console, f"Not searched: {', '.join(lesion['not_searched'])}.")
    paragraph(
        console, f"The engine was asked {found['evaluations']} times. A fact is what it is: this advises nothing."
    )


def show_reproduction(console: Console, found: Reproduction) -> None:
    """Print whether the answer is the same, what is no longer the same, and each difference."""
    same = "Identical." if found["same_text"] else "The same conclusion, in other words or with other parts."
    paragraph(console, same if found["same_conclusion"] else "Another conclusion.", style="bold")
    if found["matches_own_digest"] is False:
        paragraph(console, "The answer in the record does not match its own digest: it was changed after it was given.")
    by = found["answered_by"]
    at_hand = "which gave the answer" if found["recorded_book_at_hand"] else "for the one that gave it is not at hand"
    paragraph(console, f"Answered by rule book {by['version']} ({by['digest']}), {at_hand}.")
    for cause in found["causes"]:
        item(
            console,
            "-",
            f"{cause['what'].replace('_', ' ')} {cause['name']}: {cause['was']} -> {cause['now']}",
            style="",
        )
    for one in found["differences"][:SHOWN]:
        item(console, "-", f"{one['pointer']}: {one['was']!r} -> {one['now']!r}", depth=1, style="")
    more = len(found["differences"][SHOWN:]) + found["differences_left_out"]
    if more:
        paragraph(console, f"{more} differences more.")


def _show_rule(console: Console, rule: Argued) -> None:
    item(console, "-", f"{rule['title']} ({rule['rule']})", style="")
    for finding in rule["findings"]:
        item(console, "-", finding_in_words(finding), depth=1, style="")
    if rule["standing"] != "fails":
        paragraph(console, f"{'It would say' if rule['needs'] else 'It says'} {rule['says']}.", depth=1)
    if said := outranked_in_words(rule):
        paragraph(console, f"{said}.", depth=1)
    if rule["needs"]:
        paragraph(console, f"Needs: {', '.join(rule['needs'])}.", depth=1)


def _show_change(console: Console, change: Change, book: RuleBook) -> None:
    facts = "; and ".join(_fact(fact, book) for fact in change["facts"])
    item(console, "-", f"{facts}: {change['verdict'] or 'no verdict'} ({change['direction']})", style="")
    if change["rules"]:
        paragraph(console, f"by {', '.join(change['rules'])}", depth=1)


def _fact(fact: ChangedFact, book: RuleBook) -> str:
    one = book.vocabulary.inputs[fact["input"]]
    values = [fact["value"], *fact["also"]]
    now = " or ".join(value_in_words(value, one) for value in values)
    return f"{one.label}: {now}, not {value_in_words(fact['given'], one)}{CHANGES[fact['changes']]}"
