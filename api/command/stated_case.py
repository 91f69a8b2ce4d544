"""The case that the command line states: a file, standard input, or none, with facts from options laid over it.

It stays plain data here. Whether it can be used as a case is for `RuleBook.read` to say, for every door alike.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from api.command.fact_options import facts_in, option_of
from api.command.usage import MOMENTS, UnusableLine
from api.settings import Settings
from api.strict_json import read_json
from decision.case import PARTS
from decision.errors import Fault
from decision.strict_yaml import read_yaml
from decision.vocabulary import Vocabulary

__all__ = ["UnreadableCase", "new_case", "read_file", "stated_case", "unwrapped"]

STANDARD_INPUT = "-"


class UnreadableCase(Exception):
    """The text of a case is not YAML as it is read here."""

    def __init__(self, faults: list[Fault]) -> None:
        """Keep the faults in the order of their lines."""
        super().__init__("\n".join(str(fault) for fault in sorted(faults)))


def stated_case(arguments: argparse.Namespace, vocabulary: Vocabulary) -> Any:
    """Put the case together that a command line states.

    Args:
        arguments: What was read from the command line.
        vocabulary: The inputs that may be stated.

    Returns:
        The case as plain data, not yet checked.

    Raises:
        UnusableLine: The file cannot be read, or an option does not say which of several lesions it describes.
        UnreadableCase: The file is not YAML.
        Problem: The file is not JSON.
    """
    case = new_case(MOMENTS[arguments.command]) if arguments.file is None else unwrapped(read_file(arguments.file))
    if not isinstance(case, dict):
        return case
    for name in ("as_of", "rule_book_version"):
        if getattr(arguments, name) is not None:
            case[name] = getattr(arguments, name)
    _lay_over(case, facts_in(arguments), arguments, vocabulary)
    return case


def new_case(moment: str) -> dict[str, Any]:
    """A case of one lesion of which nothing is stated yet.

    >>> new_case("during")
    {'patient': {}, 'lesion': {}, 'cycle': {}}
    """
    if moment == "before":
        return {"patient": {}, "lesions": [{"lesion_id": "lesion"}]}
    return {"patient": {}, "lesion": {}, PARTS[moment][-1]: {}}


def read_file(name: str) -> Any:
    """Read a file of plain data, YAML or JSON; - for standard input. Raises as `stated_case`."""
    try:
        body = sys.stdin.buffer.read() if name == STANDARD_INPUT else Path(name).read_bytes()
    except OSError as fault:
        raise UnusableLine(f"{name} cannot be read: {fault.strerror}.") from None
    shown = "standard input" if name == STANDARD_INPUT else name
    if name.endswith(".json") or (not name.endswith((".yaml", ".yml")) and body.lstrip().startswith((b"{", b"["))):
        return read_json(body, nesting_limit=Settings().nesting_limit)
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError:
        raise UnreadableCase([Fault(shown, 0, "", "this is not UTF-8 text.")]) from None
    document, faults = read_yaml(text, file=shown)
    if faults:
        raise UnreadableCase(faults)
    return document.data


def unwrapped(data: Any) -> Any:
    """A case file may hold the case beside a title and what is expected of it."""
    wrapped = isinstance(data, dict) and "case" in data and "lesions" not in data
    return data["case"] if wrapped else data


def _lay_over(
    case: dict[str, Any], facts: Mapping[str, Any], arguments: argparse.Namespace, vocabulary: Vocabulary
) -> None:
    """Add facts to a case, each replacing what the file says of it."""
    for name, value in facts.items():
        _part(case, vocabulary.inputs[name].about, arguments, option_of(name))[name] = value
    for group in arguments.ruled_out:
        part = _part(case, vocabulary.groups[group].about, arguments, f"--ruled-out {group}")
        part["ruled_out"] = list(dict.fromkeys([*part.get("ruled_out", ()), group]))


def _part(case: dict[str, Any], about: str, arguments: argparse.Namespace, option: str) -> dict[str, Any]:
    """The part of a case that a fact belongs to. Only before the freeze has a case several lesions."""
    listed = about == "lesion" and MOMENTS[arguments.command] == "before"
    part = _lesion(case, arguments.lesion, option) if listed else case.setdefault(about, {})
    if not isinstance(part, dict):
        raise UnusableLine(f"{option} cannot be added: in the case, {about} is not an object.")
    return part


def _lesion(case: dict[str, Any], lesion_id: str | None, option: str) -> Any:
    listed = case.setdefault("lesions", [{"lesion_id": "lesion"}])
    lesions = [one for one in listed if isinstance(one, dict)] if isinstance(listed, list) else []
    if lesion_id is not None:
        lesions = [one for one in lesions if one.get("lesion_id") == lesion_id]
    if len(lesions) != 1:
        raise UnusableLine(f"{option}: say which lesion by --lesion and its lesion_id; {len(lesions)} fit.")
    return lesions[0]
