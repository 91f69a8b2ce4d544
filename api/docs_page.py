"""The OpenAPI document as a page of plain HTML: no script, and nothing loaded but the style sheet of the pages."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from html import escape
from typing import Any

__all__ = ["POLICY", "docs_page"]

POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_CODE = re.compile("`([^`]+)`")


def docs_page(document: Mapping[str, Any]) -> str:
    """Write a document as a page: an index of its operations, and what each takes and answers, by tag.

    >>> "<title>A &lt;b&gt; 1</title>" in docs_page({"info": {"title": "A <b>", "version": "1"}, "paths": {}})
    True
    """
    info = document["info"]
    title = escape(f"{info['title']} {info['version']}")
    operations = list(_operations(document))
    chapters = "".join(_chapter(tag, operations) for tag in document.get("tags", ()))
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="color-scheme" content="light dark">'
        f"<title>{title}</title>"
        '<link rel="icon" href="pages/mark.svg" type="image/svg+xml"><link rel="stylesheet" href="pages/page.css">'
        '</head><body><a class="skip" href="#main">To the content</a>'
        f'<header class="top"><p class="mark"><a href="./">{escape(info["title"])}</a></p>'
        '<nav aria-label="Pages"><ul><li><a href="handbook">Handbook</a></li>'
        '<li><a href="openapi.json">openapi.json</a></li></ul></nav></header>'
        f'<main id="main" tabindex="-1"><article class="rule docs"><h1>{title}</h1>'
        f"{_paragraphs(info.get('description', ''))}{_index(operations)}{chapters}</article></main></body></html>"
    )


class _Operation:
    """One operation: where it is, and what the document says of it."""

    def __init__(self, path: str, method: str, said: Mapping[str, Any]) -> None:
        self.address = escape(f"{method.upper()} {path}")
        self.anchor = escape(said["operationId"])
        self.said = said


def _operations(document: Mapping[str, Any]) -> Iterator[_Operation]:
    for path, methods in document["paths"].items():
        for method, said in methods.items():
            yield _Operation(path, method, said)


def _index(operations: Iterable[_Operation]) -> str:
    entries = "".join(
        f'<li><a href="#{one.anchor}"><code>{one.address}</code></a>'
        f' <span class="hint">{escape(one.said["summary"])}</span></li>'
        for one in operations
    )
    return f'<nav aria-label="Operations"><ul class="rules">{entries}</ul></nav>' if entries else ""


def _chapter(tag: Mapping[str, str], operations: Iterable[_Operation]) -> str:
    """The operations of one tag."""
    told = "".join(_told(one) for one in operations if tag["name"] in one.said["tags"])
    name = tag["name"][:1].upper() + tag["name"][1:]
    heading = f"<h2>{escape(name)}</h2><p>{escape(tag['description'])}</p>"
    return f'<section class="chapter">{heading}{told}</section>' if told else ""


def _told(operation: _Operation) -> str:
    said = operation.said
    parameters = "".join(
        _entry(f"{one['name']} ({one['in']})", one["description"]) for one in said.get("parameters", ())
    )
    answers = "".join(_answer(status, one) for status, one in said["responses"].items() if "$ref" not in one)
    refused = ", ".join(status for status, one in said["responses"].items() if "$ref" in one and status >= "400")
    unchanged = _entry("304", "what you have is still the same.") if "304" in said["responses"] else ""
    problems = _entry(refused, "a problem; openapi.json tells each.") if refused else ""
    return (
        f'<h3 id="{operation.anchor}"><code>{operation.address}</code></h3>{_paragraphs(said["description"])}'
        f"{_listed('Parameters', parameters)}{_listed('Answers', answers + unchanged + problems)}"
    )


def _answer(status: str, answer: Mapping[str, Any]) -> str:
    schemas = dict.fromkeys(media["schema"]["$ref"].rpartition("/")[2] for media in answer["content"].values())
    return _entry(status, f"{answer['description']} ({', '.join(f'`{one}`' for one in schemas)})")


def _listed(heading: str, entries: str) -> str:
    return f"<h4>{heading}</h4><ul>{entries}</ul>" if entries else ""


def _entry(name: str, description: str) -> str:
    return f"<li><b>{escape(name)}</b>: {_marked_up(description)}</li>"


def _paragraphs(text: str) -> str:
    return "".join(f"<p>{_marked_up(one)}</p>" for one in text.split("\n\n"))


def _marked_up(text: str) -> str:
    """Text with its `code` as HTML.

    >>> _marked_up("`a` < b")
    '<code>a</code> &lt; b'
    """
    return _CODE.sub(r"<code>\1</code>", escape(text))
