"""The protocol as CDS Hooks 2.0.1 asks for it, one small check each: discovery, request, response, refusals."""

import copy
import json
import re
import uuid

import pytest

from api.cds.kinds import CDS_KINDS
from api.code_lists import problem_coding
from api.outcomes import expression_of
from api.released.committed import COMMITTED
from decision.case_faults import pointer_to
from decision.rule_book import RuleBook

SERVICE = "/cds-services/skin-lesion-freeze"
HOOKS = ["patient-view", "order-select", "order-sign", "org.example.thawline.skin-lesion-chart"]
REQUIRED = ["patient", "conditions", "observations"]
OPTIONAL = ["medications", "allergies", "procedures", "pathology", "encounter"]
OUTCOME = {"resourceType": "OperationOutcome", "issue": [{"severity": "error", "code": "exception"}]}
TOKEN = {"access_token": "x", "token_type": "Bearer", "expires_in": 300, "scope": "patient/*.read", "subject": "c"}


def without(call, *path):
    """A copy without the member at a path."""
    copied = copy.deepcopy(call)
    inside = copied
    for step in path[:-1]:
        inside = inside[step]
    inside.pop(path[-1])
    return copied


def having(call, value, *path):
    """A copy with a value at a path."""
    copied = copy.deepcopy(call)
    inside = copied
    for step in path[:-1]:
        inside = inside[step]
    inside[path[-1]] = value
    return copied


def members(data):
    """Every value inside a document."""
    yield data
    for one in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from members(one)


# --- discovery -------------------------------------------------------------------------------------------------------


def test_discovery_is_there_and_is_json(service):
    answer = service("GET", "/cds-services")

    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/json"
    assert list(answer.json()) == ["services"]


@pytest.mark.parametrize("hook", HOOKS)
def test_the_service_is_offered_on_the_hook(service, hook):
    offered = [one["hook"] for one in service("GET", "/cds-services").json()["services"]]

    assert offered.count(hook) == 1


@pytest.mark.parametrize("member", ["hook", "id", "description", "title", "prefetch", "usageRequirements"])
def test_every_service_states(service, member):
    assert all(one[member] for one in service("GET", "/cds-services").json()["services"])


def test_one_id_stands_for_the_service_on_every_hook(service):
    assert {one["id"] for one in service("GET", "/cds-services").json()["services"]} == {"skin-lesion-freeze"}


def test_a_hook_of_one_organisation_is_named_by_a_reversed_domain(service):
    own = [one["hook"] for one in service("GET", "/cds-services").json()["services"] if "." in one["hook"]]

    assert own == ["org.example.thawline.skin-lesion-chart"]


def test_our_own_hook_is_written_up_in_the_format_of_hook_definitions():
    page = (COMMITTED.parent / "hooks" / "org.example.thawline.skin-lesion-chart.md").read_text(encoding="utf-8")

    assert page.startswith("# `org.example.thawline.skin-lesion-chart`")
    for part in ("specificationVersion", "hookVersion", "hookMaturity", "## Workflow", "## Context", "## Examples"):
        assert part in page
    assert "| Field | Optionality | Prefetch Token | Type | Description |" in page
    assert "## Change Log" in page


def test_the_example_of_our_own_hook_is_answered(cards):
    page = (COMMITTED.parent / "hooks" / "org.example.thawline.skin-lesion-chart.md").read_text(encoding="utf-8")
    example = json.loads(page.split("```json")[1].split("```")[0])

    assert cards(example)[0]["summary"].startswith("Back, chest, flank or belly:")


@pytest.mark.parametrize("key", [*REQUIRED, *OPTIONAL])
def test_the_prefetch_template_has(service, key):
    template = service("GET", "/cds-services").json()["services"][0]["prefetch"][key]

    assert re.match(r"[A-Z][A-Za-z]+(/|\?)", template)


def test_prefetch_tokens_are_fields_of_the_context_only(service):
    for one in service("GET", "/cds-services").json()["services"]:
        tokens = {token for template in one["prefetch"].values() for token in re.findall(r"{{(.*?)}}", template)}
        assert tokens <= {"context.patientId", "context.encounterId"}


def test_discovery_has_no_null_and_nothing_empty(service):
    assert all(one not in (None, "", [], {}) for one in members(service("GET", "/cds-services").json()))


def test_discovery_needs_not_be_sent_again(service):
    etag = service("GET", "/cds-services").headers["etag"]

    assert service("GET", "/cds-services", headers={"If-None-Match": etag}).status_code == 304


def test_discovery_answers_head(service):
    answer = service("HEAD", "/cds-services")

    assert (answer.status_code, answer.content) == (200, b"")


# --- request ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("hook", HOOKS)
def test_a_call_of_the_hook_is_answered_with_cards(cards, on_hook, hook):
    assert cards(on_hook(hook))


@pytest.mark.parametrize("member", ["hook", "hookInstance", "context"])
def test_a_call_needs(advise, call, member):
    answer = advise(without(call, member))

    assert answer.status_code == 422
    assert f"{member} is required" in answer.json()["issue"][0]["diagnostics"]


@pytest.mark.parametrize(
    ("hook", "member"),
    [
        ("patient-view", "userId"),
        ("patient-view", "patientId"),
        ("order-select", "selections"),
        ("order-select", "draftOrders"),
        ("order-sign", "draftOrders"),
        ("order-sign", "patientId"),
        ("org.example.thawline.skin-lesion-chart", "lesions"),
    ],
)
def test_the_context_of_a_hook_needs(advise, on_hook, hook, member):
    answer = advise(without(on_hook(hook), "context", member))

    assert answer.status_code == 422
    assert answer.json()["issue"][0]["diagnostics"] == f"#/context/{member}: {member} is required and is not there."


@pytest.mark.parametrize(
    ("value", "path"),
    [
        (17, ("hook",)),
        ("appointment-book", ("hook",)),
        ("not-a-uuid", ("hookInstance",)),
        ("dog-208", ("context",)),
        (None, ("context",)),
        ([], ("prefetch",)),
        (None, ("prefetch",)),
        (3, ("context", "patientId")),
        ("", ("context", "patientId")),
        ("ServiceRequest/freeze-1", ("context", "selections")),
        ([], ("context", "draftOrders")),
        ("ftp://records.example.org", ("fhirServer",)),
        ("https://records.example.org/\x01", ("fhirServer",)),
        ("https://records.example.org/a b", ("fhirServer",)),
        ("token", ("extension",)),
    ],
)
def test_a_member_of_the_wrong_kind_is_refused_without_its_value(advise, call, value, path):
    answer = advise(having(call, value, *path))

    assert answer.status_code == 422
    assert answer.json()["issue"][0]["diagnostics"].startswith(f"#/{'/'.join(path)}: ")
    assert "appointment-book" not in answer.text and "not-a-uuid" not in answer.text


@pytest.mark.parametrize(
    ("bundle", "place"),
    [
        ({}, "/resourceType"),
        ({"resourceType": "Patient", "id": "x"}, "/resourceType"),
        ({"resourceType": "Bundle", "entry": "x"}, "/entry"),
        ({"resourceType": "Bundle", "entry": ["x"]}, "/entry/0"),
        ({"resourceType": "Bundle", "entry": [{"resource": []}]}, "/entry/0/resource"),
        ({"resourceType": "Bundle", "entry": [{"resource": {"id": "x"}}]}, "/entry/0/resource"),
    ],
)
@pytest.mark.parametrize(
    ("hook", "member"),
    [("order-select", "draftOrders"), ("order-sign", "draftOrders"), (HOOKS[3], "lesions")],
)
def test_what_is_no_bundle_of_resources_is_refused_at_its_place(advise, on_hook, hook, member, bundle, place):
    answer = advise(having(on_hook(hook), bundle, "context", member))

    assert answer.status_code == 422
    assert answer.json()["issue"][0]["diagnostics"].startswith(f"#/context/{member}{place}: {member} must be a FHIR B")


@pytest.mark.parametrize("selection", ["ServiceRequest/none", "freeze-1", "Condition/tag-1"])
def test_a_selection_that_names_no_draft_is_refused_at_its_place(advise, call, selection):
    answer = advise(having(call, ["ServiceRequest/freeze-1", selection], "context", "selections"))

    assert answer.status_code == 422
    assert [one["diagnostics"].split(":")[0] for one in answer.json()["issue"]] == ["#/context/selections/1"]


@pytest.mark.parametrize("entry", ["x", ["x"], [{"resource": "x"}], [{"resource": {"id": "x"}}]])
@pytest.mark.parametrize("key", ["conditions", "observations"])
def test_a_bundle_with_an_entry_that_is_no_resource_is_412(advise, call, key, entry):
    bundle = {"resourceType": "Bundle", "type": "searchset", "entry": entry}

    assert advise(having(call, bundle, "prefetch", key)).status_code == 412


def test_access_without_a_server_is_refused(advise, call):
    answer = advise(having(call, TOKEN, "fhirAuthorization"))

    assert answer.status_code == 422
    assert answer.json()["issue"][0]["diagnostics"].startswith("#/fhirServer: ")


def test_access_to_a_server_changes_nothing_and_is_never_logged(advise, call, caplog):
    caplog.set_level("DEBUG")
    with_access = {
        **call,
        "fhirServer": "https://records.example.org/fhir",
        "fhirAuthorization": TOKEN | {"access_token": "s3cret"},
    }

    assert advise(with_access).content == advise(call).content
    assert "s3cret" not in caplog.text and "records.example.org" not in caplog.text


@pytest.mark.parametrize("place", [(), ("context",)])
def test_members_that_are_not_known_are_let_be(cards, call, place):
    changed = having(call, {"anything": [1, None, "x"]}, *place, "org.example.other")

    assert cards(changed) == cards(call)


def test_an_encounter_that_is_null_is_no_encounter(cards, call):
    assert cards(having(call, None, "context", "encounterId"))


def test_extensions_of_others_are_let_be(cards, call):
    assert cards(having(call, {"x": 1}, "extension", "org.example.other")) == cards(call)


# --- prefetch --------------------------------------------------------------------------------------------------------


def test_a_call_without_prefetch_is_412(advise, call):
    answer = advise(without(call, "prefetch"))

    assert answer.status_code == 412
    assert answer.headers["content-type"] == "application/json"
    assert [one["code"] for one in answer.json()["issue"]] == ["required"] * 3


@pytest.mark.parametrize("key", REQUIRED)
def test_without_a_required_key_the_answer_is_412(advise, call, key):
    answer = advise(without(call, "prefetch", key))

    assert answer.status_code == 412
    assert f"'{key}' is missing" in answer.json()["issue"][0]["diagnostics"]


@pytest.mark.parametrize("key", REQUIRED)
def test_an_outcome_in_the_place_of_a_required_key_is_412(advise, call, key):
    assert advise(having(call, OUTCOME, "prefetch", key)).status_code == 412


@pytest.mark.parametrize("key", REQUIRED)
@pytest.mark.parametrize("value", [3, "x", [], {}, {"resourceType": "Basic"}, True])
def test_anything_else_in_the_place_of_a_required_key_is_412(advise, call, key, value):
    assert advise(having(call, value, "prefetch", key)).status_code == 412


@pytest.mark.parametrize("key", ["conditions", "observations"])
def test_one_page_of_several_is_incomplete_and_412(advise, call, key):
    paged = {**call["prefetch"][key], "link": [{"relation": "self", "url": "a"}, {"relation": "next", "url": "b"}]}

    assert advise(having(call, paged, "prefetch", key)).status_code == 412


@pytest.mark.parametrize("key", ["conditions", "observations"])
def test_a_bundle_with_fewer_entries_than_its_total_is_incomplete_and_412(advise, call, key):
    assert advise(having(call, 99, "prefetch", key, "total")).status_code == 412


NEXT = [{"relation": "next", "url": "b"}]
OLD = "2026-11-15"  # a week and two days before the day of the example


def newest_page(call, *days, key="observations", **more):
    """The example with a first page of observations, of some older days behind those of today."""
    entries = call["prefetch"]["observations"]["entry"]
    for day in days:
        older = copy.deepcopy(entries[0])
        older["resource"].pop("effectiveDateTime")
        when = day if isinstance(day, dict) else {"effectiveDateTime": day}
        older["resource"] |= {"id": f"old-{len(entries)}", **{name: one for name, one in when.items() if one}}
        entries.append(older)
    call["prefetch"]["observations"] |= {"total": len(entries) + 1, "link": NEXT, **more}
    call["extension"]["org.example.thawline.request"]["as_of"] = "2026-11-24"
    return call


def test_the_newest_page_of_observations_is_taken_when_it_reaches_back_beyond_the_days_that_count(cards, call):
    for card in cards(newest_page(call, "2026-11-20", OLD)):
        notes = card["extension"]["org.example.thawline.decision"]["notes"]
        assert ("#/prefetch/observations", "older_not_read") in [(one["pointer"], one["code"]) for one in notes]


@pytest.mark.parametrize(
    "days",
    [
        [],  # a finding of yesterday may stand on the next page
        ["2026-11-16"],
        [OLD, "2026-11-20"],
        ["2026-11-20", None, OLD],
        ["2026-11"],
        [{"effectivePeriod": {"start": OLD}}],
        [{"effectiveDateTime": None, "issued": OLD}],
    ],
)
def test_a_page_of_observations_on_which_something_that_counts_may_be_missing_is_412(advise, call, days):
    answer = advise(newest_page(call, *days))

    assert answer.status_code == 412
    assert "newest first" in answer.json()["issue"][0]["diagnostics"]


def test_a_page_that_a_server_failed_to_fill_is_412(advise, call):
    paged = newest_page(call, OLD)
    paged["prefetch"]["observations"]["entry"].append({"resource": OUTCOME})

    assert advise(paged).status_code == 412


def test_a_patient_that_was_not_found_is_412(advise, call):
    assert advise(having(call, None, "prefetch", "patient")).status_code == 412


def test_the_record_of_another_patient_is_412(advise, call):
    answer = advise(having(call, "dog-209", "prefetch", "patient", "id"))

    assert answer.status_code == 412
    assert "dog-209" not in answer.text


def test_a_search_that_found_nothing_is_no_412(advise, call):
    nothing = having(having(call, None, "prefetch", "observations"), None, "prefetch", "conditions")

    assert advise(nothing).status_code == 200


@pytest.mark.parametrize("key", OPTIONAL)
@pytest.mark.parametrize("value", [None, OUTCOME, {"resourceType": "Bundle", "link": [{"relation": "next"}]}, 3])
def test_an_optional_key_may_hold_anything(advise, call, key, value):
    assert advise(having(call, value, "prefetch", key)).status_code == 200


@pytest.mark.parametrize("key", OPTIONAL)
def test_an_optional_key_may_be_left_out(advise, call, key):
    call["prefetch"].pop(key, None)

    assert advise(call).status_code == 200


def test_what_was_not_supplied_and_what_was_not_found_are_told_apart(cards, call):
    found = cards(having(call, None, "prefetch", "medications"))[0]
    missing = cards(without(call, "prefetch", "medications"))[0]

    decided = [one["extension"]["org.example.thawline.decision"].get("not_supplied", []) for one in (found, missing)]
    assert ["medications" in one for one in decided] == [False, True]
    assert "medications" in missing["detail"]


# --- response --------------------------------------------------------------------------------------------------------


@pytest.fixture(params=HOOKS)
def every_card(cards, on_hook, request):
    """The cards on each hook."""
    return cards(on_hook(request.param))


def test_nothing_in_an_answer_is_null_or_empty(advise, on_hook):
    for hook in HOOKS:
        assert all(one not in (None, "", [], {}) for one in members(advise(on_hook(hook)).json()))


def test_a_summary_is_one_line_of_fewer_than_140_characters(every_card):
    assert all(0 < len(one["summary"]) < 140 and "\n" not in one["summary"] for one in every_card)


def test_an_indicator_is_one_of_three(every_card):
    assert {one["indicator"] for one in every_card} <= {"info", "warning", "critical"}


def test_the_most_urgent_card_stands_first(every_card):
    order = ["critical", "warning", "info"]

    assert [one["indicator"] for one in every_card] == sorted((one["indicator"] for one in every_card), key=order.index)


def test_a_source_has_a_label_a_topic_and_an_absolute_url(every_card):
    for one in every_card:
        assert one["source"]["label"].startswith("Thawline rule book ")
        assert one["source"]["topic"].keys() == {"system", "code", "display"}
        assert one["source"]["url"].startswith("https://thawline.test/")


def test_every_card_and_every_suggestion_has_a_uuid_of_its_own(every_card):
    names = [one["uuid"] for one in every_card]
    names += [each["uuid"] for one in every_card for each in one.get("suggestions", ())]

    assert len(set(names)) == len(names)
    assert {uuid.UUID(one).version for one in names} == {5}


def test_suggestions_say_how_they_may_be_chosen(every_card):
    for one in every_card:
        assert ("suggestions" in one) == ("selectionBehavior" in one)
        assert one.get("selectionBehavior", "at-most-one") == "at-most-one"


def test_at_most_one_suggestion_is_recommended(every_card):
    for one in every_card:
        assert sum(each.get("isRecommended", False) for each in one.get("suggestions", ())) <= 1


def test_override_reasons_are_codes_with_words(every_card):
    for one in every_card:
        assert all(each.keys() == {"system", "code", "display"} for each in one.get("overrideReasons", ()))


def test_a_card_that_warns_may_be_overridden_with_a_reason(every_card):
    assert all("overrideReasons" in one for one in every_card if one["indicator"] != "info")


def test_links_are_absolute_and_lead_to_rules_that_are_there(service, every_card):
    links = [link for one in every_card for link in one["links"]]

    assert links
    for link in links:
        assert link.keys() == {"label", "url", "type"}
        assert link["type"] == "absolute"
        assert service("GET", link["url"].removeprefix("https://thawline.test")).status_code == 200


def test_there_are_never_system_actions(advise, on_hook):
    for hook in HOOKS:
        assert list(advise(on_hook(hook)).json()) == ["cards"]


def test_actions_create_or_update_a_whole_resource(cards, call):
    actions = [action for one in cards(call)[0]["suggestions"] for action in one["actions"]]

    assert [one["type"] for one in actions] == ["create", "update"]
    assert all(one["description"] and one["resource"]["resourceType"] == "ServiceRequest" for one in actions)


def test_the_same_call_gets_the_same_bytes(advise, call):
    other_call = having(call, str(uuid.uuid4()), "hookInstance")

    assert advise(call).content == advise(other_call).content


def test_another_case_gets_other_uuids(cards, call):
    older = having(call, "2015-03-19", "prefetch", "patient", "birthDate")

    assert cards(call)[0]["uuid"] != cards(older)[0]["uuid"]


def test_an_answer_is_stored_nowhere(advise, call):
    assert advise(call).headers["cache-control"] == "no-store"


def test_the_decision_can_be_found_again(cards, call, shipped_book):
    decision = cards(call)[0]["extension"]["org.example.thawline.decision"]

    assert decision["rule_book"] == {"version": shipped_book.version, "digest": shipped_book.digest}
    for name in ("case_digest", "conclusion_digest"):
        assert re.fullmatch(r"sha-256:[0-9a-f]{64}", decision[name])
    assert decision["code_map"]["digest"].startswith("sha-256:")
    assert decision["status"] in ("success", "data-requested", "data-required")


# --- status codes ----------------------------------------------------------------------------------------------------


def outcome(answer):
    """Hold an error against the form of an OperationOutcome; what it says."""
    document = answer.json()
    assert document["resourceType"] == "OperationOutcome"
    assert all(
        one["severity"] in ("error", "fatal") and one["code"] and one["details"]["text"] for one in document["issue"]
    )
    assert answer.headers["content-type"] == "application/json"
    assert answer.headers["x-request-id"] and answer.headers["cache-control"] == "no-store"
    return document["issue"][0]["code"]


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ("{", 400, "structure"),
        ('{"hook": 1, "hook": 2}', 400, "structure"),
        ('{"x": NaN}', 400, "structure"),
        ("[]", 422, "invalid"),
        ("{}", 422, "invalid"),
        ('"x"', 422, "invalid"),
        ("null", 422, "invalid"),
    ],
)
def test_a_body_that_is_no_call_is_an_outcome(service, body, status, code):
    answer = service("POST", SERVICE, content=body, headers={"Content-Type": "application/json"})

    assert answer.status_code == status
    assert outcome(answer) == code


PROBLEM = "https://thawline.example.org/fhir/CodeSystem/problem"


@pytest.mark.parametrize(
    ("value", "path", "code", "expression"),
    [
        (17, ("hook",), "not_allowed", "hook"),
        ([], ("context", "draftOrders"), "wrong_type", "context.draftOrders"),
        ({}, ("context", "draftOrders"), "wrong_type", "context.draftOrders.resourceType"),
        (["x/y"], ("context", "selections"), "not_found", "context.selections[0]"),
        (["x/y"] * 1001, ("context", "selections"), "too_many", "context.selections"),
        ("x" * 1001, ("context", "userId"), "too_long", "context.userId"),
        ("", ("context", "userId"), "too_few", "context.userId"),
        ("x", ("fhirServer",), "wrong_format", "fhirServer"),
        (None, ("prefetch", "patient"), "not_supplied", "prefetch.patient"),
        (1e300, ("context", "x"), "too_great", "context.x"),
        (
            {"as_of": "soon"},
            ("extension", "org.example.thawline.request"),
            "wrong_format",
            "extension.`org.example.thawline.request`.as_of",
        ),
        (
            {"rule_book_version": "1999.01.0"},
            ("extension", "org.example.thawline.request"),
            "not_loaded",
            "extension.`org.example.thawline.request`.rule_book_version",
        ),
    ],
)
def test_a_refusal_has_stable_codes_and_the_place_as_fhirpath(advise, call, service, value, path, code, expression):
    (issue,) = advise(having(call, value, *path)).json()["issue"]
    kind, fault = issue["details"]["coding"]

    listed = {one["code"]: one for one in service("GET", "/fhir/CodeSystem/problem").json()["concept"]}
    assert (kind["system"], fault["system"]) == (PROBLEM, PROBLEM)
    assert kind["display"] == issue["details"]["text"] == listed[kind["code"]]["display"]
    assert (fault["code"], issue["expression"]) == (code, [expression])
    assert fault["display"] == listed[code]["display"]


@pytest.mark.parametrize(("path", "kind"), [("/cds-services/other", "not-found"), ("/cds-services?x=1", None)])
def test_a_refusal_without_a_place_in_the_body_has_a_code_and_no_expression(service, call, path, kind):
    answer = service("POST" if kind else "GET", path, json=call if kind else None)

    (issue,) = answer.json()["issue"]
    assert issue["details"]["coding"][0]["code"] == (kind or "unusable-parameter")
    assert "expression" not in issue


@pytest.mark.parametrize(
    ("name", "written"),
    [("a b", "`a b`"), ("a`b", "`a\\`b`"), ("a\u0013b", "`a\\u0013b`"), ("0", "[0]"), ("größe", "`größe`")],
)
def test_a_name_in_an_expression_is_written_as_fhirpath_writes_it(name, written):
    assert expression_of(pointer_to(("x", name))) == "x" + (written if written == "[0]" else f".{written}")


def test_what_may_have_fewer_entries_is_told_how_many(advise, call):
    answer = advise(having(call, ["x/y"] * 1001, "context", "selections"))

    assert answer.json()["issue"][0]["diagnostics"].endswith("selections may have at most 1,000 entries.")


@pytest.mark.parametrize("kind", CDS_KINDS, ids=lambda kind: kind.name)
def test_the_kinds_of_this_protocol_are_listed_in_their_own_words(kind):
    assert problem_coding(kind.name)["display"] == kind.title


def test_every_code_of_a_fault_is_listed():
    sources = [COMMITTED.parents[1] / one for one in ("api/cds", "api", "decision")]
    text = "".join(one.read_text(encoding="utf-8") for folder in sources for one in folder.glob("*.py"))
    written = r'''"code": "([a-z_]+)", "detail|\bplace\([^"\n]*, "([a-z_]+)"|CaseFault\([^"\n]+, "([a-z_]+)"'''
    codes = {code for found in re.findall(written, text) for code in found if code} - {"wrong_moment"}
    assert len(codes) > 8
    assert {one for one in codes if problem_coding(one) is None} == set()


def test_another_media_type_is_415(service):
    answer = service("POST", SERVICE, content="hook=x", headers={"Content-Type": "text/plain"})

    assert (answer.status_code, outcome(answer)) == (415, "not-supported")


def test_a_body_that_is_too_large_is_413(service):
    answer = service("POST", SERVICE, content=b" " * 1_000_001, headers={"Content-Type": "application/json"})

    assert (answer.status_code, outcome(answer)) == (413, "too-long")


@pytest.mark.parametrize("path", ["/cds-services/other", "/cds-services/other/feedback", "/cds-services/a/b/c"])
def test_a_service_that_is_not_there_is_404(service, call, path):
    answer = service("POST", path, json=call)

    assert (answer.status_code, outcome(answer)) == (404, "not-found")


@pytest.mark.parametrize("path", [SERVICE, f"{SERVICE}/feedback"])
def test_get_on_a_service_is_405_and_says_that_post_is_allowed(service, path):
    answer = service("GET", path)

    assert (answer.status_code, answer.headers["allow"], outcome(answer)) == (405, "POST", "not-supported")


def test_post_on_discovery_is_405(service):
    assert service("POST", "/cds-services", json={}).status_code == 405


def test_an_answer_in_no_form_that_is_accepted_is_406(advise, call):
    answer = advise(call, headers={"Accept": "text/html"})

    assert (answer.status_code, outcome(answer)) == (406, "not-supported")


def test_a_number_beyond_any_measure_is_422(advise, call):
    assert advise(having(call, 1e300, "context", "x")).status_code == 422


def test_elsewhere_an_error_is_a_problem_document(service):
    assert service("GET", "/nowhere").headers["content-type"] == "application/problem+json"


class Failing(RuleBook):
    """A rule book that fails from a moment on."""

    broken = False

    def recommend(self, case, *, trace=False, for_json=False):
        if self.broken:
            raise RuntimeError("dog-208")
        return super().recommend(case, trace=trace)


def test_a_fault_of_ours_is_an_outcome_that_tells_nothing(service_with, call, toy_book):
    book = Failing(toy_book.folder)
    failing = service_with(book)
    call["extension"] = {}

    book.broken = True
    answer = failing("POST", SERVICE, json=call)
    book.close()

    assert (answer.status_code, outcome(answer)) == (500, "exception")
    assert "dog-208" not in answer.text
