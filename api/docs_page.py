"""The OpenAPI document as a page of plain HTML: no script, no style sheet, nothing loaded from elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape
from typing import Any

__all__ = ["docs_page"]


def docs_page(document: Mapping[str, Any]) -> str:
    """Write a document as a page.

    >>> "<title>A &lt;b&gt; 1</title>" in docs_page({"info": {"title": "A <b>", "version": "1"}, "paths": {}})
    True
    """
    info = document["info"]
    title = escape(f"{info['title']} {info['version']}")
    paragraphs = "".join(f"<p>{escape(one)}</p>" for one in info.get("description", "").split("\n\n"))
    operations = "".join(
        _operation(path, method, operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    )
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title></head><body><main>"
        f'<h1>{title}</h1>{paragraphs}<p>For machines: <a href="openapi.json">openapi.json</a></p>'
        f"{operations}</main></body></html>"
    )


def _operation(path: str, method: str, operation: Mapping[str, Any]) -> str:
    parameters = "".join(
        _entry(f"{one['name']} ({one['in']})", one["description"]) for one in operation.get("parameters", ())
    )
    answers = "".join(_answer(status, one) for status, one in operation["responses"].items())
    return (
        f"<h2>{escape(method.upper())} {escape(path)}</h2><p>{escape(operation['description'])}</p>"
        f"{_listed('Parameters', parameters)}{_listed('Answers', answers)}"
    )


def _answer(status: str, answer: Mapping[str, Any]) -> str:
    if "$ref" in answer:
        return _entry(status, "see the component of the same name")
    schemas = (media["schema"]["$ref"].rpartition("/")[2] for media in answer["content"].values())
    return _entry(status, f"{answer['description']} {_names(schemas)}")


def _names(names: Iterable[str]) -> str:
    return f"({', '.join(names)})"


def _listed(heading: str, entries: str) -> str:
    return f"<h3>{heading}</h3><ul>{entries}</ul>" if entries else ""


def _entry(name: str, description: str) -> str:
    return f"<li><b>{escape(name)}</b>: {escape(description)}</li>"
