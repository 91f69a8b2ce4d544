"""Write the OpenAPI document that is committed, or compare it: `python -m api.released.committed [--check]`."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from api.app import create_app
from api.settings import Settings
from decision import load_rule_book

__all__ = ["COMMITTED", "openapi_differs", "write_openapi"]

COMMITTED = Path(__file__).parents[2] / "openapi" / "openapi.json"


def write_openapi(path: Path = COMMITTED) -> None:
    """Write the document of the shipped rule book to a file."""
    path.write_text(_written(), encoding="utf-8")


def openapi_differs(path: Path = COMMITTED) -> bool:
    """Say whether a file differs from the document of the shipped rule book."""
    return not path.is_file() or path.read_text(encoding="utf-8") != _written()


def _written() -> str:
    document = create_app(load_rule_book(), Settings()).openapi()
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


def main(arguments: list[str]) -> int:
    """Write the committed document, or with --check say whether it is up to date."""
    if arguments == ["--check"]:
        if openapi_differs():
            print(
                "openapi/openapi.json is not up to date. Write it anew: python -m api.released.committed",
                file=sys.stderr,
            )
            return 1
        return 0
    if arguments:
        print("usage: python -m api.released.committed [--check]", file=sys.stderr)
        return 2
    write_openapi()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
