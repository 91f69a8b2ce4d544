"""Charts carry every figure as text, are named and described, and tell parts apart without colour."""

import xml.etree.ElementTree as ET

import pytest

from decision.reviewer.bar_chart import bar_chart, parts_chart

SVG = "{http://www.w3.org/2000/svg}"
PARTS = ["low", "very low", "no source"]


def drawn(svg):
    return ET.fromstring(svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))


def bars(svg):
    return drawn(svg).findall(f"{SVG}rect")


def test_a_chart_is_an_image_with_a_title_and_a_description():
    root = drawn(bar_chart("verdicts", "Verdicts, in lesions", "Most are refer.", [("refer", 3)]))

    assert root.get("role") == "img"
    named = [root.find(f".//*[@id='{one}']").text for one in root.get("aria-labelledby").split()]
    assert named == ["Verdicts, in lesions", "Most are refer."]


def test_every_label_and_figure_stands_as_text():
    root = drawn(bar_chart("a", "t", "d", [("sample_first -> <none>", 12), ("b", 0)]))

    assert [one.text for one in root.findall(f"{SVG}text")] == ["sample_first -> <none>: 12", "b: 0"]


def test_bars_are_as_wide_as_their_counts_and_none_is_drawn_for_nothing():
    widths = [int(one.get("width")) for one in bars(bar_chart("a", "t", "d", [("x", 4), ("y", 1), ("z", 0)]))]

    assert widths == [520, 130]


def test_the_smallest_count_is_still_seen():
    widths = [int(one.get("width")) for one in bars(bar_chart("a", "t", "d", [("x", 1_000_000), ("y", 1)]))]

    assert widths == [520, 1]


def test_counts_of_nothing_are_drawn_as_no_bar():
    assert bars(bar_chart("a", "t", "d", [("x", 0)])) == []


def test_parts_meet_and_fill_the_whole_bar():
    svg = parts_chart("a", "t", "d", PARTS, {"plan": [5, 21, 4]})
    parts = [(int(one.get("x")), int(one.get("width"))) for one in bars(svg)][len(PARTS) :]

    assert [left for left, _ in parts] == [0, *(left + width for left, width in parts[:-1])]
    assert sum(width for _, width in parts) == 520


def test_each_part_has_a_pattern_of_its_own_that_the_key_names():
    svg = parts_chart("a", "t", "d", PARTS, {"plan": [5, 21, 4]})
    fills = [one.get("fill") for one in bars(svg)]
    patterns = {one.get("id"): ET.tostring(one) for one in drawn(svg).iter(f"{SVG}pattern")}

    assert fills == ["url(#a-0)", "url(#a-1)", "url(#a-2)"] * 2
    assert len({shape.split(b">", 1)[1] for shape in patterns.values()}) == len(patterns)


def test_two_charts_of_a_page_share_no_id():
    ids = [
        {one.get("id") for one in drawn(bar_chart(name, "t", "d", [("x", 1)])).iter() if one.get("id")}
        for name in ("first", "second")
    ]

    assert ids[0].isdisjoint(ids[1])


def test_more_parts_than_patterns_are_refused():
    with pytest.raises(ValueError, match="6 parts cannot be told apart"):
        parts_chart("a", "t", "d", list("abcdef"), {"plan": [1] * 6})
