"""Show the worked examples of a rule as a table that a reader can follow with a finger.

An example that differs little from the first says only in what. Several that differ from it in the same one word, and
come out alike, share a line: every value of it was tried.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from decision.markdown import plain, table
from decision.rule_in_words import ExampleInWords

__all__ = ["OUTCOMES", "example_table"]

OUTCOMES = {"holds": "applies", "fails": "does not apply", "unknown": "stays open"}

_HEAD = ("Worked example", "What is known", "This rule")


def example_table(examples: Sequence[ExampleInWords]) -> str:
    """The worked examples, each with what the rule did when it was run."""
    return table(_HEAD, [[*map(plain, row.cells(examples[0])), OUTCOMES[row.outcome]] for row in _rows(examples)])


@dataclass(slots=True)
class _Row:
    """One line of the table: an example, or several that differ from the first in one and the same word."""

    outcome: str
    differing: str | None
    examples: list[ExampleInWords] = field(default_factory=list)

    def cells(self, first: ExampleInWords) -> tuple[str, str]:
        if len(self.examples) == 1:
            return self.examples[0]["title"], _known(self.examples[0], first)
        assert self.differing is not None
        label = first["stated"][self.differing].partition(": ")[0]
        tried = "; ".join(one["stated"][self.differing].partition(": ")[2] for one in self.examples)
        return f"{len(self.examples)} more like the first", f"as in the first, but {label} in turn: {tried}"


def _rows(examples: Sequence[ExampleInWords]) -> Iterable[_Row]:
    rows: list[_Row] = []
    shared: dict[tuple[str, str], _Row] = {}
    for one in examples:
        differing = _one_word(one, examples[0])
        row = shared.get((one["outcome"], differing)) if differing else None
        if row is None:
            row = _Row(one["outcome"], differing)
            rows.append(row)
            if differing:
                shared[one["outcome"], differing] = row
        row.examples.append(one)
    return rows


def _one_word(one: ExampleInWords, first: ExampleInWords) -> str | None:
    """The one input whose word differs from the first example, all else being stated alike; else None."""
    if one["stated"].keys() != first["stated"].keys():
        return None
    changed = [name for name, said in one["stated"].items() if first["stated"][name] != said]
    return changed[0] if len(changed) == 1 and not any(sign.isdigit() for sign in one["stated"][changed[0]]) else None


def _known(one: ExampleInWords, first: ExampleInWords) -> str:
    stated, before = one["stated"], first["stated"]
    changed = {name: said for name, said in stated.items() if before.get(name) != said}
    gone = [f"{said.partition(':')[0]} not stated" for name, said in before.items() if name not in stated]
    differing = [*changed.values(), *gone]
    short = one is not first and bool(differing) and len(stated) > 2 and len(differing) * 2 <= len(stated)
    said = f"as in the first, but {'; '.join(differing)}" if short else "; ".join(stated.values()) or "nothing"
    computed = [words for name, words in one["computed"].items() if not short or words != first["computed"][name]]
    return f"{said} (so {'; '.join(computed)})" if computed else said
