"""The provenance of a record read by a library for W3C PROV that knows nothing of ours.

Publications: W3C, PROV-DM: The PROV Data Model, 2013; The PROV-JSON Serialization, W3C member submission, 2013.
"""

from __future__ import annotations

import datetime
import json
from pathlib import Path

import pytest
from prov.model import ProvActivity, ProvAgent, ProvAssociation, ProvDocument, ProvEntity, ProvGeneration, ProvUsage

from decision import load_rule_book
from decision.reviewer.answer_record import record_of
from decision.strict_yaml import read_yaml

DEMO = Path(__file__).parents[1] / "cases" / "demo" / "dog_flank_tag.yaml"


@pytest.fixture(scope="module")
def record():
    book = load_rule_book()
    case = read_yaml(DEMO.read_text(encoding="utf-8"), file=DEMO.name)[0].data["case"]
    yield record_of(book, book.read(case, today=datetime.date(2026, 11, 24)))
    book.close()


@pytest.fixture(scope="module")
def document(record):
    return ProvDocument.deserialize(content=json.dumps(record["provenance"]), format="json")


def test_the_library_reads_one_activity_what_it_used_what_it_made_and_who(document):
    kinds = {kind: len(list(document.get_records(kind))) for kind in (ProvEntity, ProvActivity, ProvAgent)}
    relations = {kind: len(list(document.get_records(kind))) for kind in (ProvUsage, ProvGeneration, ProvAssociation)}

    assert kinds == {ProvEntity: 4, ProvActivity: 1, ProvAgent: 1}
    assert relations == {ProvUsage: 3, ProvGeneration: 1, ProvAssociation: 1}


def test_every_name_in_a_relation_is_declared(document):
    declared = {str(one.identifier) for one in document.get_records((ProvEntity, ProvActivity, ProvAgent))}
    named = {
        str(name)
        for one in document.get_records((ProvUsage, ProvGeneration, ProvAssociation))
        for name in one.args
        if name is not None
    }

    assert named <= declared


def test_the_answer_in_it_is_the_answer_of_the_record(document, record):
    (answer,) = document.get_record("thawline:answer")
    told = {str(name): value for name, value in answer.attributes}

    assert told["thawline:conclusion"] == record["answer"]["conclusion_digest"]


def test_written_by_the_library_it_says_the_same(document):
    assert ProvDocument.deserialize(content=document.serialize(format="json"), format="json") == document
