"""Whatever is prefetched, the answer is cards or a 412, and never a fault of ours."""

import copy
import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

EXAMPLE = Path(__file__).parents[3] / "openapi" / "examples" / "order_select_request.json"
CALL = json.loads(EXAMPLE.read_text(encoding="utf-8"))
EMPTY = {"resourceType": "Bundle"}
KEYS = [*CALL["prefetch"], "allergies"]
REQUIRED = {"patient", "conditions", "observations"}
SERVICE = "/cds-services/skin-lesion-freeze"
ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers(-1000, 1000) | st.floats(-1e6, 1e6) | st.text(max_size=10),
    lambda inside: st.lists(inside, max_size=3) | st.dictionaries(st.text(max_size=10), inside, max_size=3),
    max_leaves=8,
)
WHATEVER = settings(max_examples=120, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])


def places(data, path=()):
    """The path to every member and entry of a document."""
    for name, value in data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ():
        yield (*path, name)
        yield from places(value, (*path, name))


PLACES = [one for one in places(CALL) if one[0] == "prefetch" or one[:2] == ("context", "draftOrders")]


@WHATEVER
@given(kept=st.sets(st.sampled_from(KEYS)))
def test_any_subset_of_the_prefetch_is_answered_or_412(service, kept):
    call = {**CALL, "prefetch": {key: value for key, value in CALL["prefetch"].items() if key in kept}}

    assert service("POST", SERVICE, json=call).status_code == (200 if kept >= REQUIRED else 412)


@settings(WHATEVER, max_examples=600)
@given(place=st.sampled_from(PLACES), value=ANYTHING)
def test_anything_in_any_place_is_answered_or_refused(service, place, value):
    call = copy.deepcopy(CALL)
    inside = call
    for step in place[:-1]:
        inside = inside[step]
    inside[place[-1]] = value

    answer = service("POST", SERVICE, json=call)

    assert answer.status_code in (200, 412, 422), answer.text


@settings(WHATEVER, max_examples=200)
@given(gone=st.sets(st.sampled_from(PLACES), min_size=1, max_size=12))
def test_a_record_of_which_anything_is_left_out_is_answered_or_refused(service, gone):
    call = copy.deepcopy(CALL)
    for place in sorted(gone, key=str, reverse=True):
        inside = call
        for step in place[:-1]:
            inside = (
                inside[step]
                if isinstance(inside, list) and step < len(inside)
                else (inside.get(step, {}) if isinstance(inside, dict) else {})
            )
        if isinstance(inside, dict):
            inside.pop(place[-1], None)
        elif isinstance(inside, list) and place[-1] < len(inside):
            del inside[place[-1]]

    assert service("POST", SERVICE, json=call).status_code in (200, 412, 422)


@pytest.mark.parametrize("hook", ["patient-view", "order-sign", "org.example.thawline.skin-lesion-chart"])
def test_a_call_with_nothing_but_what_is_needed_is_answered(service, hook):
    context = {"userId": "Practitioner/x", "patientId": "p", "draftOrders": EMPTY, "lesions": EMPTY}
    nothing = {"patient": {"resourceType": "Patient"}, "conditions": None, "observations": None}
    call = {"hook": hook, "hookInstance": CALL["hookInstance"], "context": context, "prefetch": nothing}

    assert service("POST", SERVICE, json=call).json() == {"cards": []}
