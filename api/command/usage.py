"""What is wrong with a command line, for those below it who find that out; the commands that take facts, and when."""

from __future__ import annotations

__all__ = ["MOMENTS", "UnusableLine"]

# The commands that take facts, and the moment of the job that each is for.
MOMENTS = {"recommend": "before", "review-cycle": "during", "review-healing": "after"}


class UnusableLine(Exception):
    """The command line asks for something that cannot be done."""
