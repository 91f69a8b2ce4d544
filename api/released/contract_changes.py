"""Tell which changes of the OpenAPI document break a client of the last one: `python -m api.released.contract_changes`.

What was sent must still be taken, and what is answered must be what was announced. Fields may be added to an answer;
a new code in an answer, a new required field and a removed address are breaking. A breaking change is allowed with a
raised major version; before 1.0.0, a raised minor one.

The released documents lie in openapi/released, one for each version of the HTTP contract, so that a clone without
history has them too.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from api.released.committed import COMMITTED
from api.released.schema_within import Document, excesses

__all__ = ["RELEASED", "breaking_changes", "breaks_promise", "last_released", "main"]

RELEASED = COMMITTED.parent / "released"
Part = Mapping[str, Any]


def breaking_changes(old: Document, new: Document) -> list[str]:
    """Every change that breaks a client, with its place. Both are whole OpenAPI documents."""
    return [f"{place}: {said}" for place, said in _changes(old, new)]


def breaks_promise(old: str, new: str) -> bool:
    """Whether a breaking change may not be made between two versions.

    >>> breaks_promise("1.4.0", "1.5.0"), breaks_promise("1.4.0", "2.0.0"), breaks_promise("0.2.0", "0.3.0")
    (True, False, False)
    """
    before, after = _numbers(old), _numbers(new)
    counted = 1 if before[0] else 2
    return after[:counted] <= before[:counted]


def last_released(folder: Path = RELEASED) -> Path | None:
    """The released document with the highest version; None while there is none."""
    return max(folder.glob("*.json"), key=lambda file: _numbers(file.stem), default=None)


def main(folder: Path = RELEASED, committed: Path = COMMITTED) -> int:
    """Compare the committed document with the last one released. 0 when no promise is broken, else 1."""
    released = last_released(folder)
    if released is None:
        print("No OpenAPI document has been released yet, so that there is nothing to compare with.")
        return 0
    new = json.loads(committed.read_text(encoding="utf-8"))
    old = json.loads(released.read_text(encoding="utf-8"))
    versions = (old["info"]["version"], new["info"]["version"])
    changes = breaking_changes(old, new)
    for one in changes:
        print(one)
    print(f"Breaking changes from {versions[0]} to {versions[1]}: {len(changes)}.")
    return 1 if changes and breaks_promise(*versions) else 0


def _numbers(version: str) -> list[int]:
    return [int(one) for one in version.split(".")]


def _changes(old: Document, new: Document) -> Iterator[tuple[str, str]]:
    for path, methods in old["paths"].items():
        for method, before in methods.items():
            place = f"{method.upper()} {path}"
            after = new["paths"].get(path, {}).get(method)
            if after is None:
                yield place, "is gone"
                continue
            for said in _of_operation(before, after, (old, new)):
                yield place, said


def _of_operation(before: Part, after: Part, documents: tuple[Document, Document]) -> Iterator[str]:
    if before["operationId"] != after["operationId"]:
        yield "operationId is another one"
    if any(one not in after.get("security", ()) for one in before.get("security", ())):
        yield "a way to be let in is gone"
    yield from _of_parameters(before, after, documents)
    yield from _of_body(before.get("requestBody", {}), after.get("requestBody", {}), documents)
    for status, answer in before["responses"].items():
        yield from _of_answer(status, answer, after["responses"].get(status), documents)
    if any(status not in before["responses"] for status in after["responses"] if status.startswith("2")):
        yield "it may succeed with another status"


def _of_parameters(before: Part, after: Part, documents: tuple[Document, Document]) -> Iterator[str]:
    known, stated = _by_name(before), _by_name(after)
    for name, one in stated.items():
        if one["required"] and not known.get(name, {}).get("required"):
            yield f"{' '.join(name)} is required"
    for name, one in known.items():
        if name not in stated:
            yield f"{' '.join(name)} is gone"
        else:
            for found in excesses(one["schema"], stated[name]["schema"], documents):
                yield f"{' '.join(name)}{found.place} takes less than it did ({found.keyword})"


def _by_name(operation: Part) -> dict[tuple[str, str], Part]:
    return {(one["in"], one["name"]): one for one in operation.get("parameters", ())}


def _of_body(before: Part, after: Part, documents: tuple[Document, Document]) -> Iterator[str]:
    if after.get("required") and not before.get("required"):
        yield "a body is required"
    for media_type, media in before.get("content", {}).items():
        if media_type not in after.get("content", {}):
            yield f"a body of {media_type} is not taken"
            continue
        for found in excesses(media["schema"], after["content"][media_type]["schema"], documents):
            yield f"the body at {found.place or '/'} takes less than it did ({found.keyword})"


def _of_answer(status: str, before: Part, after: Part | None, documents: tuple[Document, Document]) -> Iterator[str]:
    if after is None:
        if status.startswith("2"):
            yield f"{status} is gone"
        return
    before, after = _whole(before, documents[0]), _whole(after, documents[1])
    for name in before.get("headers", {}):
        if name not in after.get("headers", {}):
            yield f"header {name} of {status} is gone"
    for name in before.get("links", {}):
        if name not in after.get("links", {}):
            yield f"link {name} of {status} is gone"
    for media_type, media in before.get("content", {}).items():
        if media_type not in after.get("content", {}):
            yield f"{status} is no longer answered with {media_type}"
            continue
        pair = (after["content"][media_type]["schema"], media["schema"])
        for found in excesses(*pair, (documents[1], documents[0]), tolerant=True):
            yield f"{status} at {found.place or '/'} may hold what it could not ({found.keyword})"


def _whole(answer: Part, document: Document) -> Part:
    """An answer, with its reference followed."""
    if "$ref" not in answer:
        return answer
    found: Part = document["components"]["responses"][answer["$ref"].rpartition("/")[2]]
    return found


if __name__ == "__main__":
    sys.exit(main())
