"""Draw a freeze in cross-section: as a picture (SVG), and as text for a terminal.

Both are pure functions of what they show. The picture brings its own light ground and
dark ink, so that it reads the same on a light or a dark page; it has a title and a
description, no script and no outside reference. Zones differ by line and label as well
as by colour.
"""

from __future__ import annotations

import math
from xml.sax.saxutils import escape

from decision.freeze.answers import Band
from decision.freeze.section import Front, Section, checked, depth_at_mm, fronts, half_width_mm

__all__ = ["cross_section_svg", "cross_section_text", "in_words"]

PIXELS_MM = 28
DEEPEST_MM = 6.0
ABOVE_MM = 3.5
NARROWEST_MM = 8.0  # the key below it needs this much
MARGIN = 14
KEY_HEIGHT = 118
GROUND, INK, SKIN, FAT, LESION, TOOL = "#f6f3ec", "#2b2723", "#e6c7b2", "#f1dfa6", "#b4745c", "#8a8580"
ICE, COLD = "#5d5490", "#8c2f5b"


def in_words(section: Section) -> str:
    """The picture in words, for a reader who does not see it.

    Raises:
        NotCovered: A measure is out of range.
    """
    checked(section)
    ice = _band_in_words(section.estimate.ice_depth_mm)
    cold = _band_in_words(section.estimate.depth_minus25_mm)
    below = f"{section.skin_mm:g} mm of skin over fat" if section.fat_below else "skin without fat below"
    tool = "cone" if section.applicator == "cone" else "foam tip"
    return (
        f"A {tool} {section.contact_diameter_mm:g} mm wide on a lesion {section.lesion_width_mm:g} mm wide "
        f"and {section.lesion_height_mm:g} mm high, {below}. Ice reaches {ice} below the surface; the zone "
        f"colder than -25 C reaches {cold}. Between depth and edge the outline is drawn, not computed. "
        f"{section.estimate.limits}"
    )


def cross_section_svg(section: Section, *, identifier: str = "cross-section") -> str:
    """Draw the section as an SVG element.

    Args:
        section: What to draw.
        identifier: Prefix of the ids in the picture; different for each on one page.

    Returns:
        SVG text, to be put into a page or a file as it is.

    Raises:
        NotCovered: A measure is out of range.
    """
    checked(section)
    half = max(half_width_mm(section), NARROWEST_MM)
    width = round(2 * half * PIXELS_MM + 2 * MARGIN + 44)
    height = round((ABOVE_MM + DEEPEST_MM) * PIXELS_MM + 2 * MARGIN + KEY_HEIGHT)
    centre, skin = MARGIN + half * PIXELS_MM, MARGIN + ABOVE_MM * PIXELS_MM
    name = escape(identifier, {'"': "&quot;"})
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
        f'aria-labelledby="{name}-title {name}-text" font-family="sans-serif" font-size="12">',
        f'<title id="{name}-title">Cross-section of a freeze, in millimetres</title>',
        f'<desc id="{name}-text">{escape(in_words(section))}</desc>',
        f'<rect width="{width}" height="{height}" rx="6" fill="{GROUND}"/>',
        *_tissue(section, half, skin),
        *_lesion_and_tool(section, centre, skin),
        *_zone(fronts(section, cold=False), centre, skin, ICE, "6 3"),
        *_zone(fronts(section, cold=True), centre, skin, COLD, "2 2"),
        *_scale(2 * half, skin),
        *_key(section, skin + DEEPEST_MM * PIXELS_MM + 24),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def cross_section_text(section: Section, *, cell_mm: float = 0.25) -> str:
    """Draw the section in characters, one row for each `cell_mm` of depth.

    Args:
        section: What to draw.
        cell_mm: Height of a row and width of a column; characters being tall, depth looks
            about twice as large as width.

    Returns:
        Lines of plain text that end with a key.

    Raises:
        NotCovered: A measure is out of range.
    """
    checked(section)
    ice, cold = fronts(section, cold=False), fronts(section, cold=True)
    half = min(half_width_mm(section), 9.0)
    columns = [(0.5 + n) * cell_mm for n in range(int(half / cell_mm))]
    spread = [-one for one in reversed(columns)] + columns
    lines = []
    for row in range(-2, round(4.0 / cell_mm)):
        level = (row + 0.5) * cell_mm
        label = f"{row * cell_mm:4.1f} mm " if row >= 0 and (row * cell_mm) % 1.0 == 0.0 else " " * 8
        marks = (_mark(section, ice, cold, place, level, cell_mm) for place in spread)
        lines.append((label + "".join(marks)).rstrip())
    key = "@ colder than -25 C (p50)   * ice (p50)   ~ ice (p90)   . skin   , fat   # lesion   | edge of contact"
    return "\n".join([*lines, "", key, in_words(section), ""])


def _mark(
    section: Section, ice: dict[str, Front], cold: dict[str, Front], place: float, level: float, cell_mm: float
) -> str:
    """One character of the text picture; `level` is the depth below the skin in mm."""
    if level < 0.0:
        if 0.0 <= abs(place) - 0.5 * section.contact_diameter_mm < cell_mm:
            return "|"
        inside = abs(place) < 0.5 * section.lesion_width_mm and -level < section.lesion_height_mm
        return "#" if inside else " "
    if level < depth_at_mm(cold.get("p50"), place):
        return "@"
    if level < depth_at_mm(ice.get("p50"), place):
        return "*"
    if level < depth_at_mm(ice.get("p90"), place):
        return "~"
    return "," if section.fat_below and level > section.skin_mm else "."


def _tissue(section: Section, half: float, skin: float) -> list[str]:
    """Skin, and fat below it."""
    wide = 2 * half * PIXELS_MM
    thick = min(section.skin_mm, DEEPEST_MM) * PIXELS_MM if section.fat_below else DEEPEST_MM * PIXELS_MM
    rows = [_rect(MARGIN, skin, wide, thick, SKIN)]
    if section.fat_below and section.skin_mm < DEEPEST_MM:
        rows.append(_rect(MARGIN, skin + thick, wide, DEEPEST_MM * PIXELS_MM - thick, FAT))
        rows.append(f'<text x="{MARGIN + 5}" y="{skin + thick + 15:.0f}" fill="{INK}">fat</text>')
    rows.append(f'<text x="{MARGIN + 5}" y="{skin + 14:.0f}" fill="{INK}">skin</text>')
    return rows


def _lesion_and_tool(section: Section, centre: float, skin: float) -> list[str]:
    """The lesion above the skin, and the wall of the cone or the foam."""
    wide = section.lesion_width_mm * PIXELS_MM
    high = min(section.lesion_height_mm, ABOVE_MM - 0.2) * PIXELS_MM
    radius = 0.5 * section.contact_diameter_mm * PIXELS_MM
    top = skin - (ABOVE_MM - 0.1) * PIXELS_MM
    parts = [_rect(centre - 0.5 * wide, skin - high, wide, max(high, 2.0), LESION)]
    if section.applicator == "cone":
        parts += [_rect(centre + side - 2.0, top, 4.0, skin - top, TOOL) for side in (-radius, radius)]
    else:
        foam = (
            f'<rect x="{centre - radius:.1f}" y="{top:.1f}" width="{2 * radius:.1f}" height="{skin - high - top:.1f}"'
        )
        parts.append(f'{foam} fill="{TOOL}" fill-opacity="0.35" stroke="{TOOL}"/>')
    return parts


def _zone(found: dict[str, Front], centre: float, skin: float, colour: str, dash: str) -> list[str]:
    """The band between p10 and p90, its edges dashed and p50 as a full line."""
    if "p90" not in found:
        return []
    outer = _outline(found["p90"], centre, skin)
    inner = _outline(found["p10"], centre, skin) if "p10" in found else ""
    parts = [f'<path d="{outer} {inner}" fill="{colour}" fill-opacity="0.28" fill-rule="evenodd"/>']
    for quantile, front in found.items():
        line = "" if quantile == "p50" else f' stroke-dasharray="{dash}"'
        parts.append(
            f'<path d="{_outline(front, centre, skin)}" fill="none" stroke="{colour}" stroke-width="1.6"{line}/>'
        )
    return parts


def _outline(front: Front, centre: float, skin: float) -> str:
    """Path of a front from edge to edge, closed along the skin."""
    places = [-front.radius_mm * math.cos(math.pi * n / 48.0) for n in range(49)]
    points = (
        f"{centre + one * PIXELS_MM:.1f},{skin + min(depth_at_mm(front, one), DEEPEST_MM) * PIXELS_MM:.1f}"
        for one in places
    )
    return "M" + " L".join(points) + " Z"


def _scale(wide_mm: float, skin: float) -> list[str]:
    """Millimetres of depth on the right."""
    right = MARGIN + wide_mm * PIXELS_MM + 4
    marks = []
    for depth in range(int(DEEPEST_MM) + 1):
        y = skin + depth * PIXELS_MM
        marks.append(f'<path d="M{right:.0f},{y:.0f} h6" stroke="{INK}"/>')
        marks.append(f'<text x="{right + 9:.0f}" y="{y + 4:.0f}" fill="{INK}">{depth} mm</text>')
    return marks


def _key(section: Section, top: float) -> list[str]:
    """What lines and colours mean, with the figures."""
    ice = _band_in_words(section.estimate.ice_depth_mm)
    cold = _band_in_words(section.estimate.depth_minus25_mm)
    lines = [
        (ICE, f"Ice: {ice}"),
        (COLD, f"Colder than -25 C: {cold}"),
        (LESION, f"Lesion: {section.lesion_width_mm:g} mm wide, {section.lesion_height_mm:g} mm high"),
        (TOOL, f"Contact: {section.contact_diameter_mm:g} mm"),
    ]
    parts = []
    for row, (colour, words) in enumerate(lines):
        y = top + 20 * row
        parts.append(_rect(MARGIN, y - 10, 14, 12, colour))
        parts.append(f'<text x="{MARGIN + 20}" y="{y:.0f}" fill="{INK}">{escape(words)}</text>')
    note = "Full line p50, dashed p10 and p90. Computed, not measured."
    parts.append(f'<text x="{MARGIN}" y="{top + 82:.0f}" fill="{INK}">{note}</text>')
    return parts


def _rect(x: float, y: float, width: float, height: float, fill: str) -> str:
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" fill="{fill}"/>'


def _band_in_words(band: Band | None) -> str:
    """A band of millimetres in words."""
    if band is None:
        return "no depth"
    return f"{band.p10:.1f} to {band.p90:.1f} mm (half of freezes {band.p50:.1f} mm or more)"
