"""List what a case may state, as a table for a reader."""

from __future__ import annotations

from collections.abc import Mapping

from rich.console import Console
from rich.table import Table
from rich.text import Text

from api.text.input_words import allowed_in_words, value_in_words
from decision.fact_words import unless_in_words
from decision.vocabulary import ABOUT, Input, Vocabulary

__all__ = ["show_vocabulary"]


def show_vocabulary(console: Console, vocabulary: Vocabulary) -> None:
    """Print a table for each part of a case, then the check lists and what is computed."""
    for about in (*ABOUT, "derived"):
        said = "Computed from what is stated" if about == "derived" else f"Stated about the {about}"
        console.print(_table(said, vocabulary.about(about), vocabulary.inputs))
        console.print()
    console.print(Text("Check lists (ruled_out), each one tick for all of its inputs", style="bold"))
    for group in vocabulary.groups.values():
        names = ", ".join(one.name for one in vocabulary.in_group(group.name))
        console.print(Text(f"{group.name}, of the {group.about}: {group.question} {names}"))


def _table(title: str, inputs: list[Input], known: Mapping[str, Input]) -> Table:
    table = Table(title=title, title_justify="left", title_style="bold", expand=True, show_lines=True)
    table.add_column("input", overflow="fold", ratio=2)
    table.add_column("question", ratio=4)
    table.add_column("allowed", ratio=4)
    for one in inputs:
        table.add_row(Text(one.name), Text(_asked(one, known)), Text(allowed_in_words(one)))
    return table


def _asked(one: Input, known: Mapping[str, Input]) -> str:
    notes = [one.question]
    if one.group:
        notes.append(f"On the check list {one.group}.")
    if one.presumed is not None:
        notes.append(f"Presumed when not stated: {value_in_words(one.presumed, one)}. {one.presumed_because}")
        notes += unless_in_words(one, known)
    if one.parents:
        notes.append(f"From {', '.join(one.parents)}.")
    return " ".join(notes)
