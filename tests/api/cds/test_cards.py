"""What the cards say of a case: urgency, suggestions, cautions, and nothing of what somebody wrote."""

import json

import pytest

ORDER_SIGN = "order-sign"
PATIENT_VIEW = "patient-view"
OURS = "https://thawline.example.org/fhir/CodeSystem/"
CHART = "org.example.thawline.skin-lesion-chart"


def observation(call, name):
    """The observation of a finding in the prefetch of a call."""
    entries = call["prefetch"]["observations"]["entry"]
    return next(one["resource"] for one in entries if one["resource"]["id"] == name)


def stated(call, name, code):
    """State another value of a finding."""
    coding = observation(call, name)["valueCodeableConcept"]["coding"][0]
    coding["code"] = f"{coding['code'].split('.')[0]}.{code}"


def decision(card):
    return card["extension"]["org.example.thawline.decision"]


def topics(cards):
    return [one["source"]["topic"]["code"] for one in cards]


def permitted(call):
    """State what permits a freeze."""
    stated(call, "colour", "skin")
    below = json.loads(json.dumps(observation(call, "colour")))
    below |= {"id": "under-skin"}
    below["code"]["coding"][0]["code"] = "under_skin"
    below["valueCodeableConcept"]["coding"][0] |= {"code": "under_skin.muscle_or_fat"}
    below["valueCodeableConcept"]["coding"][0].pop("display", None)
    call["prefetch"]["observations"]["entry"].append({"resource": below})
    call["prefetch"]["observations"]["total"] += 1
    observation(call, "width")["valueQuantity"]["value"] = 0.4
    for name, value in (("site_can_be_level", True), ("seals_all_round", True), ("tissue_will_be_submitted", False)):
        added = json.loads(json.dumps(observation(call, "signs")))
        added |= {"id": name.replace("_", "-"), "valueBoolean": value}
        added["code"]["coding"][0]["code"] = name
        call["prefetch"]["observations"]["entry"].append({"resource": added})
        call["prefetch"]["observations"]["total"] += 1


def test_a_verdict_that_forbids_warns_and_offers_what_to_do_instead(cards, call):
    card = cards(call)[0]

    assert (card["indicator"], card["source"]["topic"]["code"]) == ("warning", "sample_first")
    assert card["summary"].startswith("Back, chest, flank or belly: take a sample first.")
    assert [one["label"] for one in card["suggestions"]] == ["Sample it with a needle, and hold the order to freeze"]
    assert card["suggestions"][0]["isRecommended"] is True


def test_a_reason_on_a_card_says_where_it_was_measured_and_not_its_certainty_alone(cards, call):
    why = cards(call)[0]["detail"].partition("**Why**")[2].partition("**Instead**")[0]
    lines = [one for one in why.splitlines() if one.startswith("-")]

    assert lines
    assert all(
        "certainty, measured in" in one or "certainty, not measured" in one for one in lines if "no source" not in one
    )
    assert all("Evidence: " in one for one in lines)


def test_the_suggested_order_is_a_draft_for_the_same_patient_lesion_and_site(cards, call):
    create, hold = (one["resource"] for one in cards(call)[0]["suggestions"][0]["actions"])

    assert (create["status"], create["intent"]) == ("draft", "proposal")
    assert create["code"]["coding"][0]["code"] == "needle_sample"
    assert create["subject"] == {"reference": "Patient/dog-208"}
    assert create["encounter"] == {"reference": "Encounter/visit-31"}
    assert create["reasonReference"] == [{"reference": "Condition/tag-1"}]
    assert create["bodySite"][0]["coding"][0]["code"] == "trunk"
    assert hold == {**call["context"]["draftOrders"]["entry"][0]["resource"], "status": "on-hold"}


def test_an_order_in_the_form_of_r5_gets_a_suggestion_in_the_form_of_r5(cards, call):
    order = call["context"]["draftOrders"]["entry"][0]["resource"]
    order["code"] = {"concept": order["code"]}
    order["reason"] = [{"reference": order.pop("reasonReference")[0]}]

    create = cards(call)[0]["suggestions"][0]["actions"][0]["resource"]

    assert create["code"]["concept"]["coding"][0]["code"] == "needle_sample"
    assert create["reason"] == [{"reference": {"reference": "Condition/tag-1"}}]


def test_nulls_in_an_order_are_not_sent_back(cards, call):
    call["context"]["draftOrders"]["entry"][0]["resource"] |= {"note": [], "priority": None, "performer": [{}]}

    hold = cards(call)[0]["suggestions"][0]["actions"][1]["resource"]

    assert hold.keys().isdisjoint({"note", "priority", "performer"})


def test_an_order_without_an_id_cannot_be_held(cards, call):
    del call["context"]["draftOrders"]["entry"][0]["resource"]["id"]
    call["hook"] = ORDER_SIGN

    suggestion = cards(call)[0]["suggestions"][0]

    assert [one["type"] for one in suggestion["actions"]] == ["create"]
    assert suggestion["label"] == "Sample it with a needle"


def test_a_permission_informs_says_how_and_suggests_nothing(cards, call):
    permitted(call)

    card = cards(call)[0]

    assert (card["indicator"], card["source"]["topic"]["code"]) == ("info", "suitable")
    assert "suggestions" not in card and "overrideReasons" not in card
    assert "**How**" in card["detail"]


def test_what_stands_against_a_permission_is_said_in_the_same_breath(cards, call):
    permitted(call)
    call["extension"]["org.example.thawline.request"]["equipment"] = {"cone_bores_mm": [30], "foam_tips_mm": []}

    card = cards(call)[0]

    assert ": may be frozen, but nothing at hand fits." in card["summary"]
    assert card["detail"].startswith("May be frozen, but nothing at hand fits.")


def test_a_permission_that_does_not_hold_now_is_critical_and_says_why(cards, call):
    permitted(call)
    call["extension"] = {"org.example.thawline.request": {"equipment": {"oxygen_or_ignition_near": True}}}

    card = cards(call)[0]

    assert card["indicator"] == "critical"
    assert "but not now: oxygen or a source of ignition is near" in card["summary"]
    assert "**Not now**" in card["detail"]


def test_the_most_cautious_verdict_is_critical(cards, call):
    call["prefetch"]["conditions"]["entry"][0]["resource"]["bodySite"][0]["coding"][0]["code"] = "conjunctiva_or_cornea"
    del call["context"]["draftOrders"]["entry"][0]["resource"]["bodySite"]

    assert ("critical", "do_not_freeze") in [(one["indicator"], decision(one).get("verdict")) for one in cards(call)]


def test_silence_over_an_order_warns_and_over_a_record_informs(cards, on_hook):
    found = {}
    for hook in (ORDER_SIGN, PATIENT_VIEW):
        call = on_hook(hook)
        stated(call, "colour", "skin")
        call["prefetch"]["observations"] = None
        found[hook] = cards(call)[0]

    assert {hook: one["indicator"] for hook, one in found.items()} == {ORDER_SIGN: "warning", PATIENT_VIEW: "info"}
    assert topics(found.values()) == ["no_verdict_yet"] * 2
    assert "Not recorded, and could change this" in found[ORDER_SIGN]["detail"]


def test_a_caution_that_warns_has_a_card_of_its_own(cards, call):
    added = json.loads(json.dumps(observation(call, "health")))
    added |= {"id": "agglutinins", "valueBoolean": True}
    added["code"]["coding"][0]["code"] = "cold_agglutinin_disease"
    call["prefetch"]["observations"]["entry"].append({"resource": added})
    call["prefetch"]["observations"]["total"] += 1

    found = cards(call)

    assert "caution" in topics(found)
    assert found[0]["indicator"] == "critical"


def test_a_caution_about_the_patient_is_said_once_for_several_lesions(cards, on_hook):
    call = on_hook(PATIENT_VIEW)
    added = json.loads(json.dumps(observation(call, "health")))
    added |= {"id": "agglutinins", "valueBoolean": True}
    added["code"]["coding"][0]["code"] = "cold_agglutinin_disease"
    second = json.loads(json.dumps(call["prefetch"]["conditions"]["entry"][0]))
    second["resource"]["id"] = "tag-2"
    call["prefetch"]["observations"]["entry"].append({"resource": added})
    call["prefetch"]["conditions"]["entry"].append(second)
    for key in ("observations", "conditions"):
        call["prefetch"][key]["total"] += 1

    found = cards(call)
    summaries = [one["summary"] for one in found if one["source"]["topic"]["code"] == "caution"]
    verdicts = [one["summary"] for one in found if one["source"]["topic"]["code"] != "caution"]

    assert len(summaries) == len(set(summaries)) > 0
    assert sorted(one.split(",")[0] for one in verdicts) == ['Lesion 1 "Tag"', 'Lesion 2 "Tag"']


@pytest.fixture
def several(on_hook):
    """A record with a tag that is over, and two that are not."""
    call = on_hook(PATIENT_VIEW)
    entries = call["prefetch"]["conditions"]["entry"]
    for number in (0, 2):
        other = json.loads(json.dumps(entries[0]))
        other["resource"]["id"] = f"tag-{number}"
        entries.append(other)
    entries[1]["resource"]["clinicalStatus"]["coding"][0]["code"] = "resolved"
    entries[2]["resource"]["code"]["text"] = "Tag [two](https://evil.example)\u202e <b>" + "x" * 500
    call["prefetch"]["conditions"]["total"] = len(entries)
    return call


def test_a_card_says_which_condition_it_is_about(cards, several):
    found = {decision(one)["lesion_id"]: one for one in cards(several)}

    assert {name: decision(one)["conditions"] for name, one in found.items()} == {
        "lesion-1": ["Condition/tag-1"],
        "lesion-2": ["Condition/tag-2"],
    }
    assert found["lesion-1"]["summary"].startswith('Lesion 1 "Tag", back, chest')
    assert '**In the record**\n\n- "Tag", Condition/tag-1' in found["lesion-1"]["detail"]


def test_what_the_record_calls_a_lesion_is_cut_and_no_markup(cards, several):
    card = next(one for one in cards(several) if decision(one)["lesion_id"] == "lesion-2")

    assert card["summary"].startswith('Lesion 2 "Tag two https evil example b ')
    assert "xxxxxxxxxxx" not in card["summary"] + card["detail"]
    assert "\u202e" not in str(card) and "evil.example" not in card["detail"]


def test_a_lesion_without_a_name_or_an_id_is_told_by_what_it_has(cards, several):
    entries = several["prefetch"]["conditions"]["entry"]
    urn = "urn:uuid:5a0c8a52-8c0e-4d75-9a5e-0f7a64b1f0d2"
    entries[2] |= {"fullUrl": urn}
    del entries[2]["resource"]["id"], entries[2]["resource"]["code"]["text"]

    card = next(one for one in cards(several) if decision(one)["lesion_id"] == "lesion-2")

    assert decision(card)["conditions"] == [urn]
    assert card["summary"].startswith('Lesion 2 "A soft tag on a stalk"')


def test_a_caution_that_holds_for_several_lesions_names_each(cards, several):
    added = json.loads(json.dumps(observation(several, "health")))
    added |= {"id": "agglutinins", "valueBoolean": True}
    added["code"]["coding"][0]["code"] = "cold_agglutinin_disease"
    several["prefetch"]["observations"]["entry"].append({"resource": added})
    several["prefetch"]["observations"]["total"] += 1

    cautions = [one for one in cards(several) if one["source"]["topic"]["code"] == "caution"]

    assert [decision(one)["conditions"] for one in cautions] == [["Condition/tag-1", "Condition/tag-2"]] * len(cautions)
    assert cautions


def test_orders_of_other_things_say_nothing(cards, call):
    call["context"]["draftOrders"]["entry"][0]["resource"]["code"]["coding"][0]["code"] = "biopsy"

    assert cards(call) == []


def test_an_order_that_was_not_selected_says_nothing(cards, call):
    other = {"resourceType": "ServiceRequest", "id": "other", "status": "draft", "code": {"text": "x-ray"}}
    call["context"]["draftOrders"]["entry"].append({"resource": other})
    call["context"]["selections"] = ["ServiceRequest/other"]

    assert cards(call) == []


@pytest.mark.parametrize(
    ("change", "noted"),
    [
        ({"code": {"coding": [{"system": f"{OURS}procedure", "code": "freezing"}]}}, "unknown_code"),
        ({"code": "freeze"}, "not_read"),
        ({"code": {"coding": ["freeze"]}}, "not_read"),
        ({"subject": {"reference": "Patient/zzz"}}, "other_patient"),
    ],
)
@pytest.mark.parametrize("hook", ["order-select", ORDER_SIGN])
def test_an_order_that_may_be_one_to_freeze_and_cannot_be_read_is_not_met_with_silence(
    cards, on_hook, hook, change, noted
):
    call = on_hook(hook)
    call["context"]["draftOrders"]["entry"][0]["resource"].update(change)

    (card,) = cards(call)

    assert (card["indicator"], "verdict" in decision(card)) == ("info", False)
    assert "no permission" in card["summary"]
    assert noted in [one["code"] for one in decision(card)["notes"]]


def test_an_order_that_cannot_be_read_stands_beside_one_that_can(cards, on_hook):
    call = on_hook(ORDER_SIGN)
    unread = {"resourceType": "ServiceRequest", "id": "other", "status": "draft", "code": "freeze"}
    call["context"]["draftOrders"]["entry"].append({"resource": unread})

    found = cards(call)

    assert [decision(one).get("verdict") for one in found] == ["sample_first", None]
    assert len({one["uuid"] for one in found}) == 2


@pytest.mark.parametrize("change", [{"code": {"text": "freeze"}}, {"status": "revoked", "code": "freeze"}])
def test_an_order_in_words_alone_or_one_that_was_withdrawn_says_nothing(cards, call, change):
    call["context"]["draftOrders"]["entry"][0]["resource"].update(change)

    assert cards(call) == []


def test_a_record_without_lesions_says_nothing(cards, on_hook):
    call = on_hook(PATIENT_VIEW)
    call["prefetch"]["conditions"] = None

    assert cards(call) == []


def test_an_order_that_names_no_lesion_is_answered_by_its_site_alone(cards, call):
    order = call["context"]["draftOrders"]["entry"][0]["resource"]
    del order["reasonReference"]

    card = cards(call)[0]

    assert decision(card)["status"] == "data-required"
    assert "not_linked" in [one["code"] for one in decision(card)["notes"]]


def test_more_lesions_than_a_case_may_have_are_counted(cards, on_hook):
    call = on_hook(PATIENT_VIEW)
    entry = call["prefetch"]["conditions"]["entry"][0]
    call["prefetch"]["conditions"]["entry"] = [
        {"resource": {**entry["resource"], "id": f"tag-{number}"}} for number in range(25)
    ]
    call["prefetch"]["conditions"]["total"] = 25

    card = cards(call)[0]

    assert decision(card)["lesions_left_out"] == 5
    assert "5 more lesions were not answered" in card["detail"]


@pytest.mark.parametrize("hook", ["order-select", PATIENT_VIEW, CHART])
def test_text_that_somebody_wrote_is_in_no_summary_and_no_detail(advise, on_hook, hook):
    written = "[Rosalinde](https://evil.example) **bold** <b>"
    call = on_hook(hook)
    sent = json.dumps(call).replace('"text": "', f'"text": "{written}')
    sent = json.loads(sent.replace('"display": "', f'"display": "{written}'))
    sent["prefetch"]["patient"]["name"] = [{"text": written}]
    sent["prefetch"]["patient"]["contact"] = [{"name": {"text": written}}]

    for card in advise(sent).json()["cards"]:
        shown = json.dumps({key: value for key, value in card.items() if key != "suggestions"})
        assert "Rosalinde" not in shown and "evil" not in shown
        for action in (one for each in card.get("suggestions", ()) for one in each["actions"]):
            assert "Rosalinde" not in action["description"]
            assert action["type"] == "update" or "Rosalinde" not in json.dumps(action["resource"])


def test_what_the_request_states_beside_the_record_is_used(cards, call):
    without = {**call, "extension": {}}
    with_other_version = {**call, "extension": {"org.example.thawline.request": {"as_of": "2026-11-23"}}}

    digests = {decision(cards(one)[0])["case_digest"] for one in (call, with_other_version)}

    assert len(digests) == 2
    assert decision(cards(with_other_version)[0])["as_of"] == "2026-11-23"
    assert cards(without)


@pytest.mark.parametrize(
    ("beside", "status", "place"),
    [
        ("x", 422, ""),
        ({"as_of": "yesterday"}, 422, "/as_of"),
        ({"patient": {}}, 422, "/patient"),
        ({"equipment": {"cryogen": "ice"}}, 422, "/equipment/cryogen"),
        ({"rule_book_version": "1999.01.0"}, 404, "/rule_book_version"),
    ],
)
def test_what_cannot_be_stated_beside_the_record_is_refused_at_its_place(advise, call, beside, status, place):
    call["extension"] = {"org.example.thawline.request": beside}

    answer = advise(call)

    assert answer.status_code == status
    said = answer.json()["issue"][0]["diagnostics"]
    assert said.startswith(f"#/extension/org.example.thawline.request{place}: ")


@pytest.mark.parametrize(
    ("host", "trusted"),
    [
        ("localhost:8000", True),
        ("127.0.0.1:8000", True),
        ("[::1]:80", True),
        ("records.example.org", False),
        ("evil.example", False),
        ("localhost.evil.example", False),
        ("127.0.0.1.evil.example", False),
        ("10.0.0.1", False),
        ("a\u00e9", False),
        ("localhost/y", False),
        ("<b>", False),
    ],
)
def test_without_a_base_url_there_are_links_only_on_the_same_machine(service_with, call, host, trusted):
    call["extension"] = {}
    call["prefetch"]["observations"] = None
    asked = service_with()

    answer = asked("POST", "/cds-services/skin-lesion-freeze", json=call, headers={"Host": host.encode()})
    cards = answer.json()["cards"]

    urls = [one["source"].get("url") for one in cards]
    assert urls == [f"http://{host}/handbook" if trusted else None] * len(urls)
    assert cards and (trusted or all("links" not in one for one in cards))


def test_a_record_that_contradicts_itself_is_answered_and_tells_what_was_not_taken(cards, call):
    permitted(call)
    call["prefetch"]["patient"]["birthDate"] = "2026-10-01"
    for entry in call["prefetch"]["conditions"]["entry"]:
        entry["resource"]["onsetDateTime"] = "2020-01-01"

    card = cards(call)[0]

    notes = [one for one in decision(card)["notes"] if one["code"] == "facts_contradict"]
    assert {one["pointer"].rpartition("/")[2] for one in notes} == {"birthDate", "onsetDateTime"}
    assert "older than the patient" in card["detail"]
