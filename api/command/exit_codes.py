"""The exit codes of the command, and their meaning as `thawline --help` prints it."""

from __future__ import annotations

__all__ = ["CASE", "FAULTS", "INTERNAL", "MEANINGS", "OK", "USAGE", "VERSION"]

OK = 0
FAULTS = 1
USAGE = 2
CASE = 3
VERSION = 4
INTERNAL = 5

MEANINGS = {
    OK: "answered, or nothing to report",
    FAULTS: "faults in the rules, surviving mutants, a generated file that differs, an answer not given again",
    USAGE: "the command line cannot be used, or names a file that cannot be read",
    CASE: "the case cannot be used; each fault is printed with its place and what is allowed",
    VERSION: "the case asks for a version of the rule book that is not loaded",
    INTERNAL: "an internal fault; no answer is given",
}
