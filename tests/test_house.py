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
