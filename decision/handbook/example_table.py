"""Show the worked examples of a rule as a table that a reader can follow with a finger.

An example that differs little from the first says only in what. Several that differ from it in the same one word, and
come out alike, share a line: every value of it was tried.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from decision.handbook.rule_in_words import ExampleInWords
from decision.markdown import plain, table

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
        label, _ = _parts(first, self.differing)
        tried = "; ".join(_parts(one, self.differing)[1] for one in self.examples)
        said = f"as in the first, but {label} in turn: {tried}"
        return f"{len(self.examples)} more, each with another {label}", said + _so(self.examples[0], first, short=True)


def _rows(examples: Sequence[ExampleInWords]) -> Iterable[_Row]:
    rows: list[_Row] = []
    shared: dict[tuple[str, ...], _Row] = {}
    for one in examples:
        differing = _one_word(one, examples[0])
        alike = (one["outcome"], differing or one["title"], *one["computed"].values())
        if alike not in shared:
            shared[alike] = _Row(one["outcome"], differing)
            rows.append(shared[alike])
        shared[alike].examples.append(one)
    return rows


def _one_word(one: ExampleInWords, first: ExampleInWords) -> str | None:
    """The one input whose word differs from the first example, all else being stated alike; else None."""
    if one["stated"].keys() != first["stated"].keys():
        return None
    changed = [name for name, said in one["stated"].items() if first["stated"][name] != said]
    return changed[0] if len(changed) == 1 and not _parts(one, changed[0])[1][0].isdigit() else None


def _parts(one: ExampleInWords, name: str) -> tuple[str, str]:
    """The label of a stated fact, and its value."""
    label, _, value = one["stated"][name].partition(": ")
    return label, value


def _known(one: ExampleInWords, first: ExampleInWords) -> str:
    stated, before = one["stated"], first["stated"]
    changed = [said for name, said in stated.items() if before.get(name) != said]
    gone = [f"{_parts(first, name)[0]} not stated" for name in before if name not in stated]
    differing = [*changed, *gone]
    short = one is not first and bool(differing) and len(stated) > 2 and len(differing) * 2 <= len(stated)
    said = f"as in the first, but {'; '.join(differing)}" if short else "; ".join(stated.values()) or "nothing"
    return said + _so(one, first, short=short)


def _so(one: ExampleInWords, first: ExampleInWords, *, short: bool) -> str:
    """What is computed from that and read by the rule; in a short line only where it differs from the first."""
    computed = [said for name, said in one["computed"].items() if not short or said != first["computed"][name]]
    return f" (so {'; '.join(computed)})" if computed else ""
