"""The picture of a freeze: well-formed, accessible, safe, true to its numbers."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from decision.freeze.answers import Band, FreezeEstimate
from decision.freeze.cross_section import (
    PIXELS_MM,
    cross_section_svg,
    cross_section_text,
    in_words,
)
from decision.freeze.ranges import NotCovered
from decision.freeze.section import Front, Section, depth_at_mm, fronts

SVG = "{http://www.w3.org/2000/svg}"
ESTIMATE = FreezeEstimate(
    ice_depth_mm=Band(1.4, 2.0, 2.4),
    depth_minus25_mm=Band(0.0, 0.6, 1.1),
    depth_minus40_mm=None,
    ice_past_edge_mm=Band(0.2, 0.5, 0.8),
    radius_minus25_mm=Band(0.0, 3.5, 3.8),
    thaw_s=Band(45.0, 69.0, 92.0),
    surface_end_c=Band(-48.0, -36.0, -24.0),
)
SECTION = Section(ESTIMATE, "cone", 8, 6, 1, 2, True)


def test_the_picture_is_well_formed_and_names_itself():
    root = ElementTree.fromstring(cross_section_svg(SECTION, identifier="one"))

    named = root.attrib["aria-labelledby"].split()
    assert root.attrib["role"] == "img"
    assert [root.find(f"{SVG}title").attrib["id"], root.find(f"{SVG}desc").attrib["id"]] == named
    assert root.find(f"{SVG}desc").text == in_words(SECTION)


def test_the_picture_has_no_script_style_or_outside_reference():
    root = ElementTree.fromstring(cross_section_svg(SECTION))

    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert tags <= {"svg", "title", "desc", "rect", "path", "text"}
    names = {name for element in root.iter() for name in element.attrib}
    assert not {name for name in names if name.startswith("on") or "href" in name or name == "style"}


def test_the_picture_brings_its_own_ground():
    root = ElementTree.fromstring(cross_section_svg(SECTION))
    ground = root.find(f"{SVG}rect")
    _, _, width, height = root.attrib["viewBox"].split()

    assert (ground.attrib["width"], ground.attrib["height"]) == (width, height)


def test_every_word_of_the_key_stands_inside_the_picture():
    root = ElementTree.fromstring(cross_section_svg(SECTION))
    width = float(root.attrib["viewBox"].split()[2])
    widest_letter = 7.2  # pixels, on average, of the widest face that "sans-serif" brings, at 12 pixels

    ends = [
        float(one.attrib["x"]) + widest_letter * len(one.text) for one in root.iter(f"{SVG}text") if " " in one.text
    ]

    assert max(ends) <= width


def test_the_ice_line_is_as_deep_as_the_estimate():
    root = ElementTree.fromstring(cross_section_svg(SECTION))
    lines = [one for one in root.iter(f"{SVG}path") if one.attrib.get("fill") == "none"]
    median = next(one for one in lines if "stroke-dasharray" not in one.attrib)
    heights = [float(one) for one in re.findall(r",([0-9.]+)", median.attrib["d"])]

    assert (max(heights) - min(heights)) / PIXELS_MM == pytest.approx(2.0, abs=0.01)


def test_an_identifier_cannot_break_out_of_the_picture():
    root = ElementTree.fromstring(cross_section_svg(SECTION, identifier='"><script>'))

    assert not list(root.iter(f"{SVG}script"))


def test_a_freeze_without_a_cold_zone_draws_none():
    without = replace(SECTION, estimate=replace(ESTIMATE, depth_minus25_mm=None, radius_minus25_mm=None))

    assert fronts(without, cold=True) == {}
    assert "colder than -25 C reaches no depth" in in_words(without)
    ElementTree.fromstring(cross_section_svg(without))


def test_a_front_has_its_depth_on_the_axis_and_ends_at_its_radius():
    front = Front(2.0, 4.5)

    assert depth_at_mm(front, 0.0) == 2.0
    assert 0.0 < depth_at_mm(front, 4.4) < 2.0
    assert depth_at_mm(front, 4.5) == depth_at_mm(front, -5.0) == 0.0


def test_the_text_picture_marks_each_zone_at_its_depth():
    lines = cross_section_text(SECTION, cell_mm=0.25).splitlines()
    middle = (len(lines[2]) + 8) // 2
    column = [line[middle] if len(line) > middle else " " for line in lines[2:18]]

    assert "".join(column) == "@@******~~,,,,,,"  # 0.6 mm cold, 2.0 mm ice, 2.4 mm p90, fat from 2


def test_the_text_picture_explains_its_marks():
    text = cross_section_text(SECTION)

    assert "colder than -25 C (p50)" in text
    assert "It estimates temperature, not cell death." in text
    assert all(ord(one) < 128 for one in text)


def test_a_foam_tip_is_drawn_as_one():
    assert "foam tip" in in_words(replace(SECTION, applicator="foam_tip"))
    assert 'fill-opacity="0.35"' in cross_section_svg(replace(SECTION, applicator="foam_tip"))


@pytest.mark.parametrize(
    ("name", "value", "message"),
    [
        ("lesion_width_mm", 0.2, "lesion_width_mm is 0.2; it must be from 0.5 to 30 mm."),
        ("skin_mm", float("nan"), "skin_mm is nan; it must be from 0.3 to 10 mm."),
    ],
)
def test_a_measure_out_of_range_is_refused(name, value, message):
    with pytest.raises(NotCovered, match=re.escape(message)):
        cross_section_svg(replace(SECTION, **{name: value}))
