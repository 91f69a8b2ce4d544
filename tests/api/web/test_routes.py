"""The pages as a browser without a script sees them, over the toy rule book and over the shipped one."""

import gzip
import html
import json
import re
from urllib.parse import urlencode

import pytest

from api.app import create_app
from api.keys import hash_of
from api.settings import Settings

FORM = {"Content-Type": "application/x-www-form-urlencoded"}
TAG = {
    "patient.species": "dog",
    "patient.age_years": "11",
    "patient.weight_kg": "24",
    "patient.ruled_out": "general_health",
    "lesions.0.lesion_id": "flank",
    "lesions.0.lesion_kind": "stalked_tag",
    "lesions.0.known_diagnosis": "skin_tag",
    "lesions.0.diagnosis_basis": "appearance",
    "lesions.0.site": "trunk",
    "lesions.0.under_skin": "muscle_or_fat",
    "lesions.0.base_width_mm": "3",
    "lesions.0.height_mm": "2.5",
    "lesions.0.change_4_weeks": "none",
    "lesions.0.surface": "intact",
    "lesions.0.colour": "skin",
    "lesions.0.site_can_be_level": "yes",
    "lesions.0.seals_all_round": "yes",
    "lesions.0.tissue_will_be_submitted": "no",
    "lesions.0.ruled_out": "lesion_signs",
    "equipment.cryogen": "dimethyl_ether_propane",
    "equipment.cone_bores_mm": "5 8 12",
}


def sent(ask, path, fields):
    answer = ask("POST", path, content=urlencode(fields), headers=FORM)
    assert answer.status_code == 200, answer.text
    return answer.text


def fields_of(page):
    """What a browser would send of a page: every field that stands in it."""
    found = []
    for tag in re.findall(r"<input [^>]*>", page):
        attributes = dict(re.findall(r'([a-z]+)="([^"]*)"', tag))
        chosen = attributes.get("type") not in ("radio", "checkbox") or " checked" in tag
        if "name" in attributes and chosen:
            found.append((attributes["name"], html.unescape(attributes.get("value", ""))))
    for name, inside in re.findall(r'<select [^>]*name="([^"]*)"[^>]*>(.*?)</select>', page, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', inside)
        found.append((name, chosen[1] if chosen else ""))
    return found


def verdict(page):
    return re.search(r'<p class="verdict">([^<]*)</p>', page)[1]


def test_a_page_of_any_rule_book_asks_what_its_vocabulary_holds(ask):
    page = ask("GET", "/").text

    assert "Which species is it?" in page
    assert "How wide is it at its widest?" in page


def test_the_first_page_asks_for_species_and_lesion_and_not_for_what_may_not_matter(shipped):
    page = shipped("GET", "/").text

    assert "Which species is the patient?" in page
    assert "What does the lesion look like?" in page
    assert "Is the horse grey?" not in page


def test_a_form_that_is_filled_in_gets_verdict_plan_and_reasons(shipped):
    page = sent(shipped, "/", TAG)

    assert verdict(page) == "may be frozen"
    assert "Settled" in page
    assert "20 to 25 s" in page
    assert "Freeze a classic tag, wart or waxy growth" in page


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"equipment.cone_bores_mm": "12"}, "may be frozen, but nothing at hand fits"),
        (
            {"equipment.cryogen": "liquid_nitrogen"},
            "may be frozen, but neither a cone nor a foam tip will do",
        ),
    ],
)
def test_what_stands_against_a_permission_is_said_with_it_and_it_is_not_green(shipped, facts, said):
    page = sent(shipped, "/", TAG | facts)

    assert verdict(page) == said
    assert '<div class="standing go">' in sent(shipped, "/", TAG)
    assert '<div class="standing stay">' in page
    assert "<h4>Plan</h4>" not in page


def test_an_open_applicator_is_said_with_the_verdict_and_its_question_stands_with_those_that_settle(shipped):
    ear = {"lesions.0.site": "pinna", "lesions.0.under_skin": "thin_plate", "lesions.0.thickness_mm": "1"}
    page = sent(
        shipped, "/", {name: one for name, one in (TAG | ear).items() if not name.endswith("tissue_will_be_submitted")}
    )

    assert "but with which applicator is still open" in page
    assert '<div class="standing stay">' in page
    assert '<a href="#q-lesions-0-tissue_will_be_submitted">' in page


def test_what_must_be_done_before_any_freeze_stands_below_the_verdict(shipped):
    page = sent(shipped, "/", TAG | {"equipment.oxygen_or_ignition_near": "yes"})

    assert "but not now: oxygen or a source of ignition is near" in page
    assert '<div class="standing stay">' in page
    assert "<h4>Not now</h4>" in page


def test_the_far_side_of_an_ear_flap_is_said_with_what_it_rests_on(shipped):
    flap = {
        "lesions.0.lesion_kind": "waxy_sebaceous",
        "lesions.0.known_diagnosis": "sebaceous_adenoma",
        "lesions.0.diagnosis_basis": "cytology",
        "lesions.0.site": "pinna",
        "lesions.0.under_skin": "thin_plate",
        "lesions.0.thickness_mm": "1.5",
        "lesions.0.height_mm": "1",
        "lesions.0.weeks_present": "30",
        "equipment.foam_tips_mm": "3 5",
    }
    page = sent(shipped, "/", TAG | flap)

    assert "far side of 1.5 mm: ice in one freeze of ten by" in page
    assert "assumptions without a source" in page


def test_both_sides_of_a_tilted_pool_stand_in_a_table_with_what_it_rests_on(shipped):
    page = sent(shipped, "/", TAG)
    table = re.search(r'<table class="tilted">.*?</table>', page, re.DOTALL)[0]

    assert "tilted by 15°, cycle 1</caption>" in table
    assert re.findall(r'<th scope="row">(\w+)</th>', table) == ["shallow", "deep"]
    shallow, deep = (float(one) for one in re.findall(r"</th><td>([\d.]+) mm</td>", table))
    assert shallow < deep
    assert "It rests on a level that falls evenly" in page


def test_words_cut_short_in_a_box_of_the_drawing_say_so(shipped):
    page = sent(shipped, "/", TAG)
    digit = re.search(r'callout" data-site="digit">.*?</g>', page, re.DOTALL)[0]

    assert re.findall(r"<text [^>]*>([^<]*)</text>", digit) == ["toe, pad, skin", "between the toes …"]


def test_the_page_states_again_all_that_was_stated(shipped):
    stated = {name: value for name, value in fields_of(sent(shipped, "/", TAG)) if value}

    assert stated.items() >= TAG.items()


def test_sending_the_page_as_it_stands_gets_the_same_answer(shipped):
    page = sent(shipped, "/", TAG)
    again = sent(shipped, "/", fields_of(page))

    digest = r"Conclusion ([^<]*)"
    assert re.search(digest, again)[1] == re.search(digest, page)[1]


def test_further_questions_come_as_the_answer_asks_for_them(shipped):
    page = sent(shipped, "/", {"lesions.0.lesion_id": "a", "patient.species": "horse", "lesions.0.site": "muzzle"})

    assert verdict(page) == "no answer yet"
    assert "Could it be an equine sarcoid?" in page


def test_a_lesion_that_must_not_be_frozen_has_no_plan_and_says_what_to_do_instead(shipped):
    page = sent(shipped, "/", {**TAG, "lesions.0.colour": "dark", "lesions.0.site": "eyelid_margin"})

    assert "<h4>Plan</h4>" not in page
    assert "What to do instead" in page


def test_a_field_out_of_range_is_said_beside_it_and_nothing_is_answered(shipped):
    page = sent(shipped, "/", {**TAG, "lesions.0.base_width_mm": "900"})

    assert "Write a number from 0.5 to 300 mm." in page
    assert 'href="#q-lesions-0-base_width_mm"' in page
    assert 'class="verdict"' not in page
    assert ("lesions.0.ruled_out", "lesion_signs") in fields_of(page)


def test_what_cannot_be_together_is_said_beside_both_fields_and_nothing_is_answered(shipped):
    page = sent(shipped, "/", {**TAG, "patient.age_years": "0.25", "lesions.0.weeks_present": "60"})

    said = "The lesion is stated to be older than the patient: check weeks present and age."
    assert 'href="#q-patient-age_years"' in page
    assert 'href="#q-lesions-0-weeks_present"' in page
    assert page.count(said) >= 2
    assert 'class="verdict"' not in page


def test_another_lesion_like_the_last_is_answered_beside_it(shipped):
    page = sent(shipped, "/", {**TAG, "do": "same"})

    found = dict(fields_of(page))
    assert found["lesions.1.lesion_kind"] == "stalked_tag"
    assert ("lesions.1.ruled_out", "lesion_signs") not in fields_of(page)
    assert len(re.findall('class="verdict"', page)) == 2


def test_a_cycle_is_reviewed_for_the_lesion_of_the_case_and_the_case_comes_back(shipped):
    page = sent(shipped, "/cycle", [*TAG.items(), ("do", "of lesions.0")])
    timed = {
        "cycle.applicator_used": "cone",
        "cycle.contact_diameter_mm": "5",
        "cycle.cycle_number": "1",
        "cycle.contact_seconds": "22",
        "cycle.observed_thaw_s": "41",
        "cycle.ice_ball_seen": "yes",
        "cycle.ice_past_cone_mm": "0.5",
        "cycle.fill_reached_mm": "6",
    }
    reviewed = sent(shipped, "/cycle", [*(one for one in fields_of(page) if one[0] not in timed), *timed.items()])
    ticked = sent(shipped, "/cycle", [*fields_of(reviewed), ("cycle.ruled_out", "cycle_faults")])

    assert "Hold in the plan: 20 to 25 s" in page
    assert verdict(ticked) == "repeat the cycle after full thaw"
    assert verdict(sent(shipped, "/", fields_of(ticked))) == "may be frozen"


def test_healing_is_reviewed_where_the_rule_book_decides_it(shipped, ask):
    page = sent(shipped, "/healing", [*TAG.items(), ("do", "of lesions.0")])

    assert "How many days ago was it frozen?" in page
    assert ask("GET", "/healing").status_code == 404


@pytest.mark.parametrize("kind", ["owner-sheet", "consent", "chart-note"])
def test_a_paper_is_written_about_the_lesion_it_is_asked_for(shipped, kind):
    fields = {**TAG, "do": "of lesions.0"}
    paper = shipped("POST", f"/papers/{kind}", content=urlencode(fields), headers=FORM)

    assert paper.status_code == 200
    assert paper.headers["content-type"].startswith("text/html")
    assert "unsafe" not in paper.headers["content-security-policy"]
    assert shipped("POST", "/papers/poster", content=urlencode(fields), headers=FORM).status_code == 404


def test_timed_cycles_go_from_the_review_into_the_note_for_the_chart(shipped):
    page = sent(shipped, "/cycle", [*TAG.items(), ("do", "of lesions.0")])
    first = {"cycle.contact_seconds": "22", "cycle.observed_thaw_s": "41", "cycle.fill_reached_mm": "6"}
    kept = sent(shipped, "/cycle", [*changed(fields_of(page), first), ("do", "next")])
    second = {"cycle.contact_seconds": "24.5", "cycle.observed_thaw_s": "45"}
    case = sent(shipped, "/", changed(fields_of(kept), second))

    asked = urlencode([*fields_of(case), ("do", "of lesions.0")])
    note = shipped("POST", "/papers/chart-note", content=asked, headers=FORM).text

    assert ("cycle.contact_diameter_mm", "5") in fields_of(page)
    assert ("cycle.cycle_number", "2") in fields_of(kept)
    assert "Kept for the chart" in kept
    assert "The chart note holds 2 cycles" in case
    for done in ("Done: cycle 1", "22 s", "41 s", "6 mm", "Done: cycle 2", "24.5 s", "45 s"):
        assert done in note


@pytest.mark.parametrize("path", ["/papers/chart-note", "/record"])
def test_a_paper_or_file_is_not_written_about_what_cannot_be_read(shipped, path):
    fields = {**TAG, "lesions.0.base_width_mm": "three", "do": "of lesions.0"}

    refused = shipped("POST", path, content=urlencode(fields), headers=FORM)

    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "#/lesions/0/base_width_mm"


def changed(fields, by_name):
    """The fields of a page, with other things written into some of them."""
    return [(name, by_name.get(name, written)) for name, written in fields]


def test_the_answer_can_be_kept_as_a_file_and_read_as_an_argument(shipped):
    kept = shipped("POST", "/record", content=urlencode(TAG), headers=FORM)
    page = sent(shipped, "/review", {"first": kept.text, "second": ""})

    assert "attachment" in kept.headers["content-disposition"]
    assert "What did not apply, and why" in page
    assert "the one loaded here" in page


def test_the_argument_says_what_each_rule_asked_and_what_the_case_said_to_it(shipped):
    kept = shipped("POST", "/record", content=urlencode(TAG), headers=FORM)
    held, open_and_closed = sent(shipped, "/review", {"first": kept.text}).split("What is open")
    open_, closed = open_and_closed.split("What did not apply, and why")

    assert 'base width is at most 5 mm <span class="hint">met: the case says 3 mm</span>' in held
    assert '<span class="hint">not stated</span>' in open_
    assert 'bleeding disorder: yes <span class="hint">not met: the case says no</span>' in closed


RABBIT = {**TAG, "patient.species": "rabbit", "lesions.0.known_diagnosis": "papilloma"}
RABBIT["lesions.0.diagnosis_basis"] = "cytology"
FROM_DOGS = "measured in dogs and cats, not in this species; not with this kind of cryogen"


def test_the_page_of_a_rabbit_says_what_was_measured_in_other_species_alone(shipped):
    page = sent(shipped, "/", RABBIT)

    assert f"certainty low, strength conditional; {FROM_DOGS}. " in page
    assert "measured in this species" not in page


def test_a_reviewed_answer_says_beside_the_certainty_where_it_was_measured(shipped):
    kept = shipped("POST", "/record", content=urlencode(RABBIT), headers=FORM)

    assert f"low certainty; angileri_2020, de_queiroz_2008; {FROM_DOGS}</span>" in sent(
        shipped, "/review", {"first": kept.text}
    )


def test_an_answer_kept_before_the_species_were_named_can_be_reviewed(shipped):
    kept = json.loads(shipped("POST", "/record", content=urlencode(RABBIT), headers=FORM).text)
    older = re.sub(r',\s*"measured_in":\s*\[[^]]*\]', "", json.dumps(kept))
    page = sent(shipped, "/review", {"first": older})

    assert "measured_in" not in older
    assert "not measured in this species, nor with this kind of cryogen</span>" in page


def test_the_handbook_names_the_species_of_a_measurement_without_a_patient(shipped):
    said = "measured in dogs and cats, not with this kind of cryogen"

    assert f"; {said}. " in shipped("GET", "/handbook/suitability/sampled_to_five").text
    assert f"low certainty, {said}</span>" in shipped("GET", "/handbook?q=sampled_to_five").text
    assert "very low certainty, no source</span>" in shipped("GET", "/handbook").text


def test_two_answers_stand_side_by_side(shipped):
    kept = [
        shipped("POST", "/record", content=urlencode({**TAG, "lesions.0.colour": colour}), headers=FORM).text
        for colour in ("skin", "dark")
    ]
    page = sent(shipped, "/review", {"first": kept[0], "second": kept[1]})

    assert "differs" in page
    assert "Holds in the second only" in page


def test_an_argument_says_what_outranks_a_rule_that_holds(shipped):
    fields = {**TAG, "lesions.0.colour": "dark", "lesions.0.site": "eyelid_margin"}
    kept = shipped("POST", "/record", content=urlencode(fields), headers=FORM)
    page = sent(shipped, "/review", {"first": kept.text, "second": ""})

    assert "What held and was outranked" in page
    assert "outranks it, by" in page


@pytest.mark.parametrize("text", ["{", "[]", '{"lesions": 1}', "<script>alert(1)</script>"])
def test_what_is_no_answer_is_said_to_be_none(shipped, text):
    page = sent(shipped, "/review", {"first": text})

    assert 'role="alert"' in page
    assert "<script>alert" not in page


def test_every_rule_has_a_page_that_search_finds(shipped):
    page = shipped("GET", "/handbook?q=frond").text

    assert "/handbook/suitability/classic_to_five" in page
    assert shipped("GET", "/handbook/suitability/classic_to_five").status_code == 200
    assert shipped("GET", "/handbook/suitability/no_such_rule").status_code == 404


def test_the_handbook_leads_to_the_page_on_the_safety_of_people_and_that_to_its_rules(shipped):
    page = shipped("GET", "/handbook/safety_of_people")

    assert 'href="/handbook/safety_of_people"' in shipped("GET", "/handbook").text
    assert page.status_code == 200
    assert "Neither burns" in page.text
    assert 'href="/handbook/precautions/treat_a_cold_burn"' in page.text
    assert shipped("GET", "/handbook/no_such_page").status_code == 404


def test_what_is_typed_is_shown_as_text(shipped):
    page = sent(shipped, "/", {**TAG, "lesions.0.base_width_mm": '"><script>'})

    assert "<script>" not in page.replace('<script src="', "")


def test_pages_may_load_from_this_service_only_and_hold_no_script_or_style(shipped):
    answer = shipped("POST", "/", content=urlencode(TAG), headers=FORM)

    assert answer.headers["content-security-policy"].startswith("default-src 'self';")
    assert answer.headers["cache-control"] == "no-store"
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=|<script>|javascript:", answer.text)


def test_a_page_and_all_it_loads_stay_under_100_kilobytes(shipped):
    page = shipped("POST", "/", content=urlencode(TAG), headers={**FORM, "Accept-Encoding": "gzip"})
    loads = re.findall(r'(?:src|href)="(/pages/[^"]*)"', page.text)
    files = [gzip.compress(shipped("GET", one).content) for one in loads]

    assert len(loads) == 3
    assert len(gzip.compress(page.content)) + sum(map(len, files)) < 100_000


def test_a_file_of_a_page_is_not_sent_again_to_who_has_it(shipped):
    first = shipped("GET", "/pages/page.css")
    again = shipped("GET", "/pages/page.css", headers={"If-None-Match": first.headers["etag"]})

    assert (first.status_code, again.status_code, again.content) == (200, 304, b"")
    assert shipped("GET", "/pages/base.html").status_code == 404


def test_a_body_that_is_no_form_is_refused(ask):
    assert ask("POST", "/", content=b"{}", headers={"Content-Type": "application/json"}).status_code == 415


def test_pages_stand_in_no_document_for_programs(ask):
    paths = ask("GET", "/openapi.json").json()["paths"]

    assert not {"/", "/cycle", "/healing", "/handbook", "/review", "/record", "/papers/{kind}"} & set(paths)


OF_CASES = [
    ("GET", "/"),
    ("POST", "/"),
    ("GET", "/cycle"),
    ("POST", "/cycle"),
    ("GET", "/healing"),
    ("POST", "/healing"),
    ("GET", "/review"),
    ("POST", "/review"),
    ("POST", "/record"),
    ("POST", "/papers/owner-sheet"),
]


@pytest.fixture
def with_keys(ask_visit, visit_book, tmp_path):
    """A way to make a service that asks for keys, with the pages as they are set."""
    keys = tmp_path / "keys.yaml"
    keys.write_text(f"keys:\n  - {{name: west, sha256: {hash_of('a-key')}}}\n")

    def made(**settings):
        return type(ask_visit)(create_app(visit_book, Settings(api_keys=keys, **settings)))

    return made


@pytest.mark.parametrize(("method", "path"), OF_CASES)
def test_with_keys_no_page_reads_a_case_unless_the_operator_opens_them(with_keys, method, path):
    form = {"content": "lesions.0.lesion_id=flank&patient.species=dog", "headers": FORM}

    refused, opened = (with_keys(**how)(method, path, **form) for how in ({}, {"pages": "open"}))

    assert (refused.status_code, refused.json()["type"]) == (404, "/problems/pages-off")
    assert b"pages-off" not in opened.content


@pytest.mark.parametrize(("method", "path"), OF_CASES)
def test_pages_can_be_switched_off_where_no_keys_are_set(ask_visit, visit_book, method, path):
    asking = type(ask_visit)(create_app(visit_book, Settings(pages="off")))

    assert asking(method, path).json()["type"] == "/problems/pages-off"


def test_a_person_is_told_that_pages_are_off_and_led_to_what_is_there(with_keys):
    page = with_keys()("GET", "/", headers={"Accept": "text/html"})

    assert page.status_code == 404
    assert "<h1>The pages for people are switched off here" in page.text
    links = set(re.findall(r'<a href="([^"#]*)', page.text))
    assert links == {"/handbook", "/docs"}
    assert [with_keys()("GET", one).status_code for one in sorted(links)] == [200, 200]
