"""A case written as FHIR resources and read again is the same case."""

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from api.code_lists import code_lists_of
from api.fhir.bundles import resources_in, supplied
from api.fhir.chart import KINDS_OF, Sent, read_chart
from api.fhir.elements import Element
from api.fhir.writing import written_order, written_record
from api.mapping import shipped_code_map
from decision.folder_reading import read_rule_folder, shipped_rules

AS_OF = datetime.date(2026, 11, 24)
LISTS = code_lists_of(read_rule_folder(shipped_rules()))
CODE_MAP = shipped_code_map(LISTS)
VOCABULARY = LISTS.vocabulary


def value_of(one):
    """Any value that an input can have; numbers with at most two decimals."""
    if one.type == "boolean":
        return st.booleans()
    if one.type == "code":
        return st.sampled_from(list(one.allowed))
    return st.integers(int(one.low * 100) + 1, int(one.high * 100)).map(lambda whole: whole / 100)


def part_about(about):
    """Any part of a case: any of its facts, any of its check lists."""
    groups = [group.name for group in VOCABULARY.groups.values() if group.about == about]
    facts = st.fixed_dictionaries({}, optional={one.name: value_of(one) for one in VOCABULARY.about(about)})
    ticked = st.sets(st.sampled_from(groups), min_size=1).map(sorted)
    return st.tuples(facts, st.none() | ticked).map(lambda two: {**two[0], **({"ruled_out": two[1]} if two[1] else {})})


def read_again(case, orders):
    prefetch = Element(written_record(case, LISTS, "p"), ("prefetch",))
    supply = {key: supplied(prefetch, key, kind) for key, kind in KINDS_OF.items()}
    drafts = [written_order(one["lesion_id"], LISTS, "p") for one in case["lesions"]]
    bundle = Element({"entry": [{"resource": one} for one in drafts]}, ("context", "draftOrders"))
    return read_chart(Sent(AS_OF, "Patient/p", supply, list(resources_in(bundle)) if orders else None), LISTS, CODE_MAP)


def plain(part):
    return {name: sorted(value) if name == "ruled_out" else value for name, value in part.items()}


@settings(max_examples=150)
@given(patient=part_about("patient"), lesions=st.lists(part_about("lesion"), min_size=1, max_size=3))
def test_what_was_written_is_what_is_read(patient, lesions):
    named = [{"lesion_id": f"lesion-{number}", **one} for number, one in enumerate(lesions, 1)]
    case = {"as_of": AS_OF.isoformat(), "patient": patient, "lesions": named}

    chart = read_again(case, orders=True)

    assert plain(chart.patient) == plain(patient)
    assert [plain(one.stated) for one in chart.lesions] == [plain(one) for one in named]
    assert chart.notes == []


@pytest.mark.parametrize("orders", [True, False])
def test_the_lesions_of_a_record_are_found_with_orders_and_without(orders):
    lesions = [{"lesion_id": "lesion-1", "lesion_kind": "cyst"}, {"lesion_id": "lesion-2", "known_diagnosis": "lipoma"}]
    case = {"as_of": AS_OF.isoformat(), "patient": {}, "lesions": lesions}

    chart = read_again(case, orders)

    assert [one.condition_key for one in chart.lesions] == ["Condition/lesion-1", "Condition/lesion-2"]
