"""Everything that can go wrong in the reasoning, as a tree.

DecisionError
  RuleBookError     the rule files cannot be used (start-up); carries every fault found
  UnreadableTest    a unary test is not written as the rule language asks
  CaseError         a case cannot be used (422); carries every fault found
  UnknownVersion    a caller pinned a rule book version that is not loaded (404)
  MatcherFault      the two means of matching differ, or durable-rules failed (500, never hidden)

Messages say where, what is wrong with the value, what would be right, and where to look.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "CaseError",
    "CaseFault",
    "DecisionError",
    "Fault",
    "MatcherFault",
    "RuleBookError",
    "UnknownVersion",
    "UnreadableTest",
]


class DecisionError(Exception):
    """Anything that stops a recommendation."""


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One fault of a rule folder: file, line, path inside the document, and what is wrong."""

    file: str
    line: int
    path: str
    message: str

    def __str__(self) -> str:
        """Read as `file:line path: message`."""
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place} {self.path}: {self.message}" if self.path else f"{place}: {self.message}"


class RuleBookError(DecisionError):
    """The rule files cannot be used. Every fault is in `faults`; nothing was loaded."""

    def __init__(self, faults: list[Fault]) -> None:
        """Keep the faults in the order of files and lines."""
        self.faults = tuple(sorted(faults))
        count = f"{len(self.faults)} fault" + ("" if len(self.faults) == 1 else "s")
        lines = "\n".join(str(fault) for fault in self.faults)
        super().__init__(f"{lines}\n{count}. Nothing was loaded.")


class UnreadableTest(DecisionError):
    """A unary test is not written as the rule language asks."""


@dataclass(frozen=True, slots=True, order=True)
class CaseFault:
    """One fault of a case: a JSON Pointer to the field, a stable code, and what is allowed there."""

    pointer: str
    code: str
    message: str


class CaseError(DecisionError):
    """A case cannot be used. Every fault is in `faults`; values are never repeated in them."""

    def __init__(self, faults: list[CaseFault]) -> None:
        """Keep the faults in the order of their pointers."""
        self.faults = tuple(sorted(faults))
        super().__init__("\n".join(f"{fault.pointer}: {fault.message}" for fault in self.faults))


class UnknownVersion(DecisionError):
    """A caller pinned a rule book version that is not loaded."""


class MatcherFault(DecisionError):
    """The two means of matching differ, or durable-rules failed. No answer is given."""
