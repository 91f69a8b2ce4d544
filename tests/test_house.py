"""The house is as DEVELOPERS.md describes it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "DEVELOPERS.md").read_text()
ROWS = [
    re.findall(r"`(\w+)(?:\.py|/)`", row.split("|")[1])
    for row in PAGE.partition("Inside `decision/`")[2].partition("\n\n`api/`")[0].splitlines()
    if row.startswith("| `")
]
ROW_OF = {name: i for i, row in enumerate(ROWS) for name in row}
DOOR = "__init__"  # load_rule_book, for who stands outside


def modules() -> dict[str, list[Path]]:
    """The files of every module and package of decision/, by its name."""
    inside = [one for one in (ROOT / "decision").iterdir() if one.suffix == ".py" or (one / "__init__.py").exists()]
    return {one.stem: sorted(one.glob("*.py")) if one.is_dir() else [one] for one in inside if one.stem != DOOR}


def imported(path: Path) -> Iterator[str]:
    """The modules and packages of decision/ that a file imports."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and node.module == "decision":
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("decision."):
            yield node.module.split(".")[1]
        elif isinstance(node, ast.Import):
            yield from (one.name.split(".")[1] for one in node.names if one.name.startswith("decision."))


def test_the_table_of_modules_names_each_once_and_no_other():
    assert sorted(chain.from_iterable(ROWS)) == sorted(modules())


@pytest.mark.parametrize("module", sorted(modules()))
def test_a_module_imports_only_from_its_own_row_and_the_rows_above(module):
    found = {name for path in modules()[module] for name in imported(path)} & modules().keys()

    assert {name for name in found if ROW_OF[name] > ROW_OF[module]} == set()


def test_the_page_names_every_decision_before_a_freeze(shipped_book):
    said = re.search(r"Before a freeze they are (.+?)\.", PAGE)[1]

    asked = [node.name for node in shipped_book.folder.decisions if "before" in node.moments]
    assert sorted(re.split(r", | and ", said)) == sorted(asked)


# Modules of more than 250 lines, and functions of more than 40 lines of code, each with its reason.
LONG_MODULES = {
    "api/client.py": "one class with a method for each operation; who calls a service takes this file",
    "decision/freeze/table_statistics.py": "every statistic that makes the one table",
    "decision/recommendation.py": "types alone: the whole answer as data, in one place",
}
LONG_FUNCTIONS = {
    "decision/freeze/heat_flow.py rates": "one compiled loop over cells; its rounding is in the digest of the table",
    "decision/freeze/kernel.py march": "one compiled loop over steps; its rounding is in the digest of the table",
}


def sources() -> list[Path]:
    return sorted(one for package in ("api", "decision") for one in (ROOT / package).rglob("*.py"))


def lines_of_code(function: ast.FunctionDef | ast.AsyncFunctionDef, lines: list[str]) -> int:
    """The lines of a function below its docstring that are neither empty nor a comment."""
    said = ast.get_docstring(function, clean=False) is not None
    first = function.body[1 if said and len(function.body) > 1 else 0]
    inside = (line.strip() for line in lines[first.lineno - 1 : function.end_lineno])
    return sum(bool(line) and not line.startswith("#") for line in inside)


def test_no_module_is_longer_than_250_lines_but_for_a_reason():
    long = {str(one.relative_to(ROOT)) for one in sources() if len(one.read_text().splitlines()) > 250}

    assert long == LONG_MODULES.keys(), "Take a module apart by its nouns, or name it with a reason."


def test_no_function_is_longer_than_40_lines_but_for_a_reason():
    long = set()
    for path in sources():
        lines = path.read_text().splitlines()
        functions = [
            one
            for one in ast.walk(ast.parse(path.read_text()))
            if isinstance(one, ast.FunctionDef | ast.AsyncFunctionDef)
        ]
        long |= {f"{path.relative_to(ROOT)} {one.name}" for one in functions if lines_of_code(one, lines) > 40}

    assert long == LONG_FUNCTIONS.keys(), "Take a function apart by its steps, or name it with a reason."
