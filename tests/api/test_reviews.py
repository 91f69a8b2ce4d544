"""The reviews over HTTP: one cycle, and healing."""

import copy

import pytest

from tests.visit_folder import CYCLE, HEALING

SECRET = "Rosalinde"


def changed(case, part, **facts):
    made = copy.deepcopy(case)
    made[part].update(facts)
    return made


def test_a_cycle_is_answered_with_its_reasons(ask_visit):
    answer = ask_visit("POST", "/v1/cycle-reviews", json=CYCLE)

    review = answer.json()["review"]
    assert answer.status_code == 200
    assert review["answer"] == "repeat_cycle"
    assert [one["rule"] for one in review["reasons"]] == ["cycle_review/repeat_the_first"]
    assert [one["step"] for one in answer.json()["next_time"]] == ["Fill a little more."]


def test_a_thaw_is_held_against_the_band_of_its_freeze(ask_visit):
    answer = ask_visit("POST", "/v1/cycle-reviews", json=changed(CYCLE, "cycle", observed_thaw_s=90)).json()

    assert answer["thaw"]["stands"] == "above"
    assert answer["thaw"]["band"]["p90"] < 90


def test_an_observed_thaw_narrows_the_band_of_the_freeze(ask_visit):
    seen = ask_visit("POST", "/v1/cycle-reviews", json=CYCLE).json()["estimate"]["ice_depth_mm"]
    unseen = copy.deepcopy(CYCLE)
    del unseen["cycle"]["observed_thaw_s"]
    wide = ask_visit("POST", "/v1/cycle-reviews", json=unseen).json()["estimate"]["ice_depth_mm"]

    assert seen["p90"] - seen["p10"] < wide["p90"] - wide["p10"]


def test_a_thing_not_stated_is_asked_for_and_never_taken_as_absent(ask_visit):
    unsaid = copy.deepcopy(CYCLE)
    del unsaid["cycle"]["spilled"]

    answer = ask_visit("POST", "/v1/cycle-reviews", json=unsaid).json()

    assert answer["review"]["could_become"] == "stop"
    assert "spilled" in [one["input"] for one in answer["ask_next"]]


def test_a_full_trace_of_a_cycle_tells_what_outranks_a_rule(ask_visit):
    answer = ask_visit("POST", "/v1/cycle-reviews?trace=full", json=changed(CYCLE, "cycle", spilled=True)).json()

    (one,) = answer["outranked"]
    assert (one["rule"], one["says"]) == ("cycle_review/repeat_the_first", "repeat_cycle")
    assert (one["outranked_by_answer"], one["outranked_by"]) == ("stop", ["cycle_review/stop_after_a_spill"])


@pytest.mark.parametrize(("path", "case"), [("/v1/cycle-reviews", CYCLE), ("/v1/healing-reviews", HEALING)])
def test_a_full_trace_of_a_review_adds_to_the_answer_and_changes_nothing(ask_visit, path, case):
    plain = ask_visit("POST", path, json=case).json()
    traced = ask_visit("POST", f"{path}?trace=full", json=case).json()

    added = {name: traced.pop(name) for name in ("outranked", "still_open", "did_not_apply", "not_told")}
    assert traced == plain
    assert added["did_not_apply"]


def test_healing_is_answered_with_what_to_do_and_a_working_day(ask_visit):
    answer = ask_visit("POST", "/v1/healing-reviews", json=HEALING).json()

    assert answer["review"]["answer"] == "as_expected"
    assert answer["frozen_on"] == "2026-11-24"
    assert [one["step"] for one in answer["next_steps"]] == ["Look again in a week."]
    assert [one["visit_on"] for one in answer["calendar"] if one["milestone"] == "recheck"] == ["2026-12-29"]


@pytest.mark.parametrize("path", ["/v1/cycle-reviews", "/v1/healing-reviews"])
def test_the_same_case_gets_the_same_bytes(ask_visit, path):
    case = CYCLE if "cycle" in path else HEALING

    assert ask_visit("POST", path, json=case).content == ask_visit("POST", path, json=case).content


@pytest.mark.parametrize(
    ("path", "case", "pointer", "code"),
    [
        (
            "/v1/cycle-reviews",
            changed(CYCLE, "cycle", applicator_used=SECRET),
            "#/cycle/applicator_used",
            "not_allowed",
        ),
        ("/v1/cycle-reviews", changed(CYCLE, "cycle", contact_seconds=301), "#/cycle/contact_seconds", "out_of_range"),
        ("/v1/cycle-reviews", changed(CYCLE, "cycle", owner=SECRET), "#/cycle/owner", "unknown_field"),
        ("/v1/cycle-reviews", changed(CYCLE, "lesion", lesion_id="a"), "#/lesion/lesion_id", "unknown_field"),
        ("/v1/cycle-reviews", {"patient": {}, "lesion": {}}, "#/cycle", "required"),
        ("/v1/cycle-reviews", {**CYCLE, "lesions": []}, "#/lesions", "unknown_field"),
        ("/v1/healing-reviews", changed(HEALING, "healing", maggots=SECRET), "#/healing/maggots", "wrong_type"),
        ("/v1/healing-reviews", {"patient": {}, "lesion": {}}, "#/healing", "required"),
    ],
)
def test_json_that_is_no_review_is_a_422_at_the_place_of_the_fault(ask_visit, path, case, pointer, code):
    answer = ask_visit("POST", path, json=case)

    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/unusable-case"
    assert (pointer, code) in [(one["pointer"], one["code"]) for one in answer.json()["errors"]]
    assert SECRET not in answer.text


def test_another_version_of_the_rule_book_is_a_404(ask_visit):
    answer = ask_visit("POST", "/v1/cycle-reviews", json={**CYCLE, "rule_book_version": "2020.01.0"})

    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-rule-book-version")


def test_a_rule_book_that_decides_nothing_about_cycles_has_no_such_address(ask):
    assert ask("POST", "/v1/cycle-reviews", json=CYCLE).status_code == 404
    assert "/v1/cycle-reviews" not in ask("GET", "/openapi.json").json()["paths"]


def test_the_document_of_a_whole_visit_has_an_example_of_each_review(ask_visit):
    paths = ask_visit("GET", "/openapi.json").json()["paths"]

    for path in ("/v1/cycle-reviews", "/v1/healing-reviews"):
        body = paths[path]["post"]["requestBody"]["content"]["application/json"]["examples"]["case"]["value"]
        answered = ask_visit("POST", path, json=body)
        shown = paths[path]["post"]["responses"]["200"]["content"]["application/json"]["examples"]["answer"]["value"]
        assert answered.json() == shown
