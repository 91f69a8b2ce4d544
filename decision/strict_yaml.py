"""Read YAML so that nothing is guessed.

Only `true` and `false` are booleans, numbers are plain decimals, dates stay text, a key may stand once,
and the line of every value is remembered. Aliases, tags and several documents in one file are refused:
a rule file says what it says where it says it. What the values mean is for the reader of the document.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import yaml
from yaml.resolver import BaseResolver

from decision.errors import Fault

__all__ = ["Document", "read_yaml"]

Path = tuple[str | int, ...]

# At most fifteen digits before the point: a double keeps them all, and so does a digest.
_WHOLE = re.compile(r"[-+]?(0|[1-9][0-9]{0,14})")
_DECIMAL = re.compile(r"[-+]?(0|[1-9][0-9]{0,14})\.[0-9]+")
DEEPEST = 20
_TAG_OF: dict[type[yaml.Node], str] = {
    yaml.ScalarNode: "tag:yaml.org,2002:str",
    yaml.SequenceNode: "tag:yaml.org,2002:seq",
    yaml.MappingNode: "tag:yaml.org,2002:map",
}
_PLAIN_TAGS = (None, "!", *_TAG_OF.values())
_QUOTED = frozenset({"'", '"', "|", ">"})
_STARTS_A_NUMBER = frozenset("+-0123456789")
_WORDS = {"true": True, "false": False, "null": None, "~": None, "": None}


@dataclass(frozen=True, slots=True)
class Document:
    """A YAML document as plain data, with the line of each path."""

    file: str
    data: Any
    lines: dict[Path, int]

    def fault(self, path: Path, message: str) -> Fault:
        """State a fault at a path; a path that is not there gets the line of its nearest parent."""
        known = path
        while known and known not in self.lines:
            known = known[:-1]
        return Fault(self.file, self.lines.get(known, 1), in_words(path), message)


def in_words(path: Path) -> str:
    """Write a path as `when.species` or `examples[2].case`.

    >>> in_words(("examples", 2, "case"))
    'examples[2].case'
    """
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else step
    return text


def read_yaml(text: str, *, file: str) -> tuple[Document, list[Fault]]:
    r"""Read one document.

    Args:
        text: The YAML text.
        file: Its name, as faults shall say it.

    Returns:
        The document (with `data` None when it cannot be read at all) and every fault found.

    >>> read_yaml("a: yes\nb: 010", file="x.yaml")[0].data
    {'a': 'yes', 'b': '010'}
    >>> str(read_yaml("a: 1\na: 2", file="x.yaml")[1][0])
    'x.yaml:2 a: this key stands twice; the first is on line 1.'
    """
    try:
        loader = _Loader(text)
        node = loader.get_single_node()
    except yaml.YAMLError as error:
        return Document(file, None, {}), [_syntax_fault(error, text, file)]
    reader = _Reader(file, aliases="*" in text)  # without the sign of an alias there is none
    data = reader.value(node, ()) if node is not None else None
    return Document(file, data, reader.lines), reader.faults


_Parser: type[Any] = getattr(yaml.cyaml, "CParser", None) or yaml.Loader


class _Loader(_Parser, BaseResolver):  # type: ignore[misc]
    """The parser without any of YAML's own guesses at types."""

    def __init__(self, stream: str) -> None:
        _Parser.__init__(self, stream)
        BaseResolver.__init__(self)

    def resolve(self, kind: type[yaml.Node], value: Any, implicit: Any) -> str:
        """Give a node the tag of its kind, whatever it looks like."""
        return _TAG_OF[kind]

    def descend_resolver(self, current_node: Any, current_index: Any) -> None:
        """No tag depends on where a node stands."""

    def ascend_resolver(self) -> None:
        """No tag depends on where a node stands."""


class _Reader:
    """Turns nodes into plain data and collects faults and lines on the way."""

    def __init__(self, file: str, *, aliases: bool) -> None:
        self.file = file
        self._aliases = aliases
        self.lines: dict[Path, int] = {}
        self.faults: list[Fault] = []
        self._seen: set[int] = set()

    def value(self, node: Any, path: Path) -> Any:
        if path not in self.lines:
            self.lines[path] = node.start_mark.line + 1
        if len(path) > DEEPEST:
            self._fault(path, f"nested more than {DEEPEST} deep.")
            return None
        if self._aliases:
            if id(node) in self._seen:
                self._fault(path, "an alias; write the value out, so that each line can be read alone.")
                return None
            self._seen.add(id(node))
        if node.tag not in _PLAIN_TAGS:
            self._fault(path, f"a tag ({node.tag}); tags are not used here.")
        kind = type(node)
        if kind is yaml.ScalarNode:
            return node.value if node.style in _QUOTED else _plain_value(node.value)
        if kind is yaml.MappingNode:
            return self._mapping(node, path)
        return [self.value(item, (*path, i)) for i, item in enumerate(node.value)]

    def _mapping(self, node: Any, path: Path) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key_node, value_node in node.value:
            key = key_node.value if type(key_node) is yaml.ScalarNode else ""
            here = (*path, key)
            if not key:
                self._fault(path, "a key must be a plain word.")
            elif key in found:
                first = self.lines[here]
                self.lines[here] = key_node.start_mark.line + 1
                self._fault(here, f"this key stands twice; the first is on line {first}.")
            else:
                self.lines[here] = key_node.start_mark.line + 1
                found[key] = self.value(value_node, here)
        return found

    def _fault(self, path: Path, message: str) -> None:
        self.faults.append(Fault(self.file, self.lines.get(path, 1), in_words(path), message))


def _plain_value(text: str) -> Any:
    """Give an unquoted scalar its type: true, false, null, a decimal number, else text."""
    if text in _WORDS:
        return _WORDS[text]
    if text[0] not in _STARTS_A_NUMBER:
        return text
    if _WHOLE.fullmatch(text):
        return int(text)
    return float(text) if _DECIMAL.fullmatch(text) else text


def _syntax_fault(error: yaml.YAMLError, text: str, file: str) -> Fault:
    """Say a syntax fault with its line, and the cause that authors meet most."""
    mark = getattr(error, "problem_mark", None)
    if "flow" in (getattr(error, "context", None) or ""):  # an open bracket is only missed further down
        mark = getattr(error, "context_mark", None) or mark
    line = (mark.line if mark else 0) + 1
    written = text.splitlines()[line - 1] if line <= len(text.splitlines()) else ""
    if re.search(r":\s*[<>]=?\s", written):
        return Fault(
            file,
            line,
            "",
            'YAML reads > as the start of a text block. Put the comparison in quotes: ">= 10".',
        )
    problem = getattr(error, "problem", None) or "not YAML"
    return Fault(file, line, "", f'{problem}. Texts with ": " or " #" and intervals must be in quotes.')
