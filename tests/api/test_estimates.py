"""The freeze table and the pool over HTTP: data, a picture, and what a cache may keep."""

import xml.etree.ElementTree as ET

import pytest

from api.operations.table_parameters import OF_FREEZE, OF_POOL
from decision.freeze.lookup import load_freeze_table
from decision.freeze.section import Section, checked
from tests.api.conftest import ROOT

FREEZE = {"applicator": "cone", "diameter_mm": 5, "seconds": 20, "site": "trunk"}
POOL = {"bore_mm": 8, "fill_mm": 5, "degrees": 15}


def estimate(ask, headers=None, **changed):
    return ask("GET", "/v1/estimates", params={**FREEZE, **changed}, headers=headers or {})


def limits(parameters, name):
    schema = next(one["schema"] for one in parameters if one["name"] == name)
    return schema["minimum"], schema["maximum"]


def test_a_freeze_is_answered_with_the_band_of_the_table(ask):
    answer = estimate(ask).json()

    found = load_freeze_table().estimate("cone", 5, 20, "trunk")
    assert answer["estimate"]["ice_depth_mm"]["p50"] == found.ice_depth_mm.p50
    assert answer["basis"] == "computed, not measured"
    assert answer["freeze_table"]["digest"] == load_freeze_table().digest
    assert answer["reason"] is None


def test_a_site_of_a_lesion_is_read_as_the_class_it_falls_into(ask):
    of_site, of_class = estimate(ask, site="limb").json(), estimate(ask, site="distal").json()

    assert of_site["site_class"] == "distal"
    assert of_site["estimate"] == of_class["estimate"]


def test_an_observed_thaw_narrows_the_band(ask):
    wide, narrow = estimate(ask).json(), estimate(ask, observed_thaw_s=45).json()

    width = lambda one: one["estimate"]["thaw_s"]["p90"] - one["estimate"]["thaw_s"]["p10"]  # noqa: E731
    assert width(narrow) < width(wide)


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"diameter_mm": 2}, "contact_diameter_mm is 2; for a cone it must be from 3 to 15 mm."),
        ({"applicator": "foam_tip", "diameter_mm": 8}, "for a foam tip it must be from 2 to 7 mm."),
        ({"cryogen": "liquid_nitrogen"}, "No band: a constant contact film cannot follow"),
        ({"cryogen": "other"}, "No band: this cryogen was neither computed nor compared."),
        ({"observed_thaw_s": 1200}, "The observed thaw is 1200 s; the draws of this freeze thaw in"),
    ],
)
def test_what_the_table_does_not_hold_has_no_band_but_a_reason(ask, changed, reason):
    answer = estimate(ask, **changed)

    assert answer.status_code == 200
    assert answer.json()["estimate"] is None
    assert reason in answer.json()["reason"]


def test_thin_tissue_is_named(ask):
    assert "ice may cross it" in estimate(ask, site="pinna").json()["tissue_note"]
    assert estimate(ask).json()["tissue_note"] is None


def test_the_far_side_of_thin_tissue_is_timed_where_its_thickness_is_stated(ask):
    far = estimate(ask, site="pinna", thickness_mm=1.5).json()["far_side"]

    found = load_freeze_table().far_side("cone", 5, "air", 1.5)
    assert far["ice_s"]["p50"] == found.ice_s.p50
    assert far["refused"] is None
    assert estimate(ask, site="pinna").json()["far_side"] is None
    assert estimate(ask, thickness_mm=1.5, backing="bone").json()["far_side"]["backing"] == "bone"


@pytest.mark.parametrize(("headers", "changed"), [({"Accept": "image/svg+xml"}, {}), ({}, {"format": "svg"})])
def test_a_picture_is_sent_to_who_asks_for_one(ask, headers, changed):
    answer = estimate(ask, headers, **changed)

    assert answer.headers["content-type"] == "image/svg+xml"
    picture = ET.fromstring(answer.text)
    assert "Ice reaches 1.3 to 2.1 mm" in picture.find("{http://www.w3.org/2000/svg}desc").text


def test_data_is_sent_to_who_does_not_care(ask):
    for accept in ("*/*", "application/*", "image/svg+xml;q=0.5, application/json"):
        assert estimate(ask, {"Accept": accept}).headers["content-type"] == "application/json"


def test_the_format_that_is_asked_for_goes_before_the_accept_header(ask):
    assert estimate(ask, {"Accept": "image/svg+xml, */*;q=0.1"}, format="json").headers["content-type"] == (
        "application/json"
    )


def test_what_is_neither_data_nor_a_picture_is_a_406(ask):
    answer = estimate(ask, {"Accept": "text/html"})

    assert answer.status_code == 406
    assert answer.json()["detail"] == "this operation answers with application/json or image/svg+xml only."


def test_a_picture_without_a_band_says_why(ask):
    answer = estimate(ask, format="svg", cryogen="carbon_dioxide")

    title = ET.fromstring(answer.text).find("{http://www.w3.org/2000/svg}title").text
    assert title == "No band: nothing was computed or compared for carbon dioxide."


def test_a_picture_loads_and_runs_nothing(ask):
    text = estimate(ask, format="svg").text

    assert all(word not in text for word in ("<script", "href", "style=", "url("))


def test_the_lesion_and_the_skin_are_drawn_as_stated(ask):
    described = estimate(ask, format="svg", lesion_width_mm=2, lesion_height_mm=1.5, skin_mm=2).text

    assert "on a lesion 2 mm wide and 1.5 mm high, 2 mm of skin over fat" in described


def test_an_estimate_may_be_kept_by_its_caller_and_is_known_again(ask):
    first = estimate(ask)

    again = estimate(ask, {"If-None-Match": first.headers["etag"]})

    assert first.headers["cache-control"] == "private, no-cache"
    assert first.headers["vary"] == "Accept"
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["etag"] == first.headers["etag"]


def test_a_pool_may_be_kept_by_its_caller_and_is_known_again(ask):
    first = ask("GET", "/v1/pools", params=POOL)
    again = ask("GET", "/v1/pools", params=POOL, headers={"If-None-Match": first.headers["etag"]})

    assert first.headers["cache-control"] == "private, no-cache"
    assert again.status_code == 304


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"degrees": 15}, "state fill_mm"),
        ({"fill_mm": 5}, "state degrees"),
        ({"degrees": 15, "fill_mm": 5, "applicator": "foam_tip"}, "A tilt matters to a cone alone"),
    ],
)
def test_a_tilt_that_cannot_be_told_says_what_is_missing(ask, changed, said):
    answer = estimate(ask, **changed).json()

    assert answer["tilted"] is None
    assert said in answer["tilt_note"]


def test_a_tilt_that_is_told_and_none_at_all_need_no_note(ask):
    assert estimate(ask).json()["tilt_note"] is None
    assert estimate(ask, degrees=15, fill_mm=5).json()["tilt_note"] is None


def test_data_and_picture_have_tags_of_their_own(ask):
    assert estimate(ask).headers["etag"] != estimate(ask, format="svg").headers["etag"]


def test_a_pool_is_deeper_on_one_side_when_tilted(ask):
    answer = ask("GET", "/v1/pools", params={**POOL, "degrees": 30}).json()

    depths = answer["depths"]
    assert round(depths["deep_mm"] - depths["shallow_mm"], 1) == 4.6  # 8 mm x tan 30
    assert [one["degrees"] for one in answer["by_tilt"]] == [0, 5, 10, 15, 20, 30]


def test_a_tilted_pool_is_answered_with_a_band_on_either_side(ask):
    answer = ask("GET", "/v1/pools", params={**POOL, "degrees": 15, "seconds": 25, "site": "distal"}).json()

    # 25 s x (5 -+ 4 tan 15) / 5
    assert [answer["by_side"][side]["contact_s"] for side in ("shallow", "deep")] == [19.6, 30.4]
    assert answer["site_class"] == "distal"


def test_an_estimate_tells_what_a_tilt_does_when_it_is_stated(ask):
    level = estimate(ask).json()
    tilted = estimate(ask, fill_mm=5, degrees=15).json()

    assert level["tilted"] is None
    assert tilted["estimate"] == level["estimate"]
    # A bore of 5 mm: 20 s x (5 -+ 2.5 tan 15) / 5 = 20 x 4.3301 / 5 and 20 x 5.6699 / 5
    assert [tilted["tilted"]["by_side"][side]["contact_s"] for side in ("shallow", "deep")] == [17.3, 22.7]


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"fill_mm": 2, "degrees": 30}, "One side is dry"),
        ({"rim_mm": 5.5, "degrees": 15}, "It spills"),
        ({"fill_mm": 18}, "fill_mm is 18; it must be from 0.5 to the rim, 15 mm."),
    ],
)
def test_a_pool_that_does_not_stand_says_why(ask, changed, reason):
    answer = ask("GET", "/v1/pools", params={**POOL, **changed})

    assert answer.status_code == 200
    assert answer.json()["depths"] is None
    assert reason in answer.json()["reason"]


def test_fills_are_counted_when_the_canister_was_weighed(ask):
    unweighed = ask("GET", "/v1/pools", params=POOL).json()
    weighed = ask("GET", "/v1/pools", params={**POOL, "net_weight_g": 50}).json()

    assert unweighed["fills_left"] is None
    assert 0 < weighed["fills_left"]["fewest"] < weighed["fills_left"]["most"]
    assert round(weighed["one_fill_ml"], 2) == 0.25


def test_a_fill_too_small_to_count_by_leaves_the_fills_open(ask):
    answer = ask("GET", "/v1/pools", params={"bore_mm": 3, "fill_mm": 0.5, "degrees": 0, "net_weight_g": 50})

    assert answer.json()["fills_left"] is None


def test_the_ranges_are_those_of_the_table(ask):
    file = load_freeze_table().file
    diameters = [one for axis in file.diameter_mm.values() for one in axis]

    assert limits(OF_FREEZE, "diameter_mm") == (min(diameters), max(diameters))
    assert limits(OF_FREEZE, "seconds") == (file.contact_s[0], file.contact_s[-1])


@pytest.mark.parametrize("end", [0, 1])
def test_the_ranges_of_the_picture_are_those_that_can_be_drawn(end):
    drawn = {name: limits(OF_FREEZE, name)[end] for name in ("lesion_width_mm", "lesion_height_mm", "skin_mm")}
    found = load_freeze_table().estimate("cone", 5, 20, "trunk")

    assert checked(Section(estimate=found, applicator="cone", contact_diameter_mm=5, fat_below=True, **drawn))


@pytest.mark.parametrize("end", [0, 1])
def test_every_end_of_a_range_of_the_pool_is_answered(ask, end):
    asked = {one["name"]: limits(OF_POOL, one["name"])[end] for one in OF_POOL if one["schema"]["type"] == "number"}

    assert ask("GET", "/v1/pools", params=asked).status_code == 200


def test_the_sites_and_cryogens_are_those_of_the_shipped_vocabulary():
    from decision.folder_reading import read_rule_folder

    vocabulary = read_rule_folder(ROOT / "rules").vocabulary
    codes = {one["name"]: set(one["schema"].get("enum", ())) for one in OF_FREEZE}

    assert codes["site"] == {*vocabulary.inputs["site"].allowed, "trunk", "distal", "mucosa"}
    assert codes["cryogen"] == set(vocabulary.inputs["cryogen"].allowed)
