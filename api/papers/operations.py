"""The operation that writes papers, as the OpenAPI document describes it."""

from __future__ import annotations

from api.operations.operation import body, operation, parameter
from api.papers.desk import PAPERS
from api.papers.request import MEDIA

__all__ = ["WRITE_PAPER"]

SCHEMAS = {"pdf": "Pdf", "html": "Html", "markdown": "Markdown"}

WRITE_PAPER = body(
    operation(
        "writePaper",
        "papers",
        "Write a paper",
        answers={MEDIA[form]: schema for form, schema in SCHEMAS.items()},
        parameters=[parameter("kind", "path", "Which paper.", "owner-sheet", enum=list(PAPERS))],
        refusals=(400, 404, 408, 413, 415, 422),
    ),
    "The case, the lesion, and for the chart what was done. No owner and no animal is named: those are blanks.",
    "PaperRequestMessage",
)
