"""A patient of the visit rule book, and papers about it."""

from __future__ import annotations

import copy
import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from api.papers.desk import paper_of
from api.papers.paper import Paper
from api.papers.request import read_paper_request
from decision import load_rule_book
from decision.rule_book import RuleBook
from decision.strict_yaml import read_yaml
from tests.visit_folder import CYCLE

TODAY = datetime.date(2026, 11, 24)


def a_case(**lesion: Any) -> dict[str, Any]:
    """A case that may be frozen with a cone, but for what the caller changes in its lesion."""
    stated = {"lesion_id": "flank", "site": "trunk", "base_width_mm": 4, "height_mm": 2, "ruled_out": ["lesion_signs"]}
    return {
        "as_of": "2026-11-24",
        "region": "GB-SCT",
        "patient": {"species": "dog", "age_years": 3, "ruled_out": ["general_health"]},
        "lesions": [{**stated, **lesion}],
        "equipment": {"cryogen": "dimethyl_ether_propane", "cone_bores_mm": [5, 8]},
    }


FORBIDDEN = a_case(site="pinna")
UNSETTLED = {"as_of": "2026-11-24", "patient": {}, "lesions": [{"lesion_id": "flank"}]}


def a_cycle(**changed: Any) -> dict[str, Any]:
    return {**copy.deepcopy(CYCLE["cycle"]), "fill_reached_mm": 5.5, **changed}


@pytest.fixture(scope="session")
def paper(visit_book):
    """Write a paper from a request, before it is laid out."""

    def written(kind: str, case: Any, book=visit_book, **more: Any) -> Paper:
        asked = read_paper_request({"case": case, **more}, book.vocabulary)
        return paper_of(kind, asked, book.read(asked.case, today=TODAY), book)

    return written


@pytest.fixture(scope="session")
def text_of():
    """Everything that stands in a paper, as one text."""

    def text(one: Paper) -> str:
        return "\n".join([*one.texts(), *(f"{row.label} {row.value}" for row in one.head), *one.small_print])

    return text


@dataclass(frozen=True)
class Shipped:
    """The shipped rule book, and a case with as much advice as there is."""

    book: RuleBook
    long_case: dict[str, Any]


@pytest.fixture(scope="session")
def shipped() -> Iterator[Shipped]:
    book = load_rule_book()
    path = Path(__file__).parents[2] / "cases" / "routine" / "rabbit_wart_submitted.yaml"
    document, _ = read_yaml(path.read_text(encoding="utf-8"), file=path.name)
    yield Shipped(book, document.data["case"])
    book.close()
