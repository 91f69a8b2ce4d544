"""Print what one freeze reaches, with its picture in characters, and how a pool stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from rich.console import Console
from rich.table import Table
from rich.text import Text

from api.text.estimate_text import band_in_words, no_band, show_far_side, show_tilt, side_in_words
from api.text.input_words import figure, with_unit
from api.text.layout import STEP, heading, item, paragraph
from decision.recommendation import Band
from decision.single_freeze import FreezeAnswer, FreezeBands
from decision.single_pool import PoolAnswer, PoolDepths, TiltLine

__all__ = ["show_freeze", "show_picture", "show_pool"]

SAID = {
    "ice_depth_mm": "ice to a depth of",
    "depth_minus25_mm": "-25 C to a depth of",
    "depth_minus40_mm": "-40 C to a depth of",
    "ice_past_edge_mm": "ice past the edge",
    "radius_minus25_mm": "-25 C from the axis",
    "thaw_s": "thaw",
}
SIDES: tuple[Literal["shallow"], Literal["deep"]] = ("shallow", "deep")


def show_freeze(console: Console, answer: FreezeAnswer) -> None:
    """Print the bands of one freeze, or why there are none. What they do not show is said under the picture."""
    heading(console, f"Estimate ({answer['basis']})")
    size, held = with_unit(answer["contact_diameter_mm"], "mm"), with_unit(answer["contact_s"], "s")
    asked = f"{answer['applicator'].replace('_', ' ')}, {size} across, held {held}, on {answer['site']}"
    item(console, "-", f"{asked.replace('_', ' ')} (skin class {answer['site_class']}), cycle {answer['cycle']}")
    if answer["observed_thaw_s"] is not None:
        paragraph(console, f"Narrowed by a thaw of {with_unit(answer['observed_thaw_s'], 's')}.", depth=1)
    if answer["estimate"] is None:
        paragraph(console, no_band(answer["reason"]), depth=1, style="bold")
        paragraph(console, answer["limits"])
    else:
        console.print(_bands(answer["estimate"]))
    if answer["tilted"] is not None:
        show_tilt(console, answer["tilted"])
    if answer["far_side"] is not None:
        show_far_side(console, answer["far_side"])
    for said in (answer["tilt_note"], answer["thaw_note"], answer["tissue_note"], answer["cryogen"]):
        if said is not None:
            paragraph(console, said)
    paragraph(console, f"Freeze table {answer['freeze_table']['version']}.")


def show_picture(console: Console, drawn: str) -> None:
    """Print a cross-section in characters; its key and its words are wrapped, the picture is not."""
    picture, _, words = drawn.partition("\n\n")
    heading(console, "Cross-section")
    for line in picture.splitlines():
        console.print(Text(line), soft_wrap=True)
    for line in words.splitlines():
        paragraph(console, line)


def show_pool(console: Console, answer: PoolAnswer) -> None:
    """Print how the pool stands at the tilt asked about and at others, what a fill takes, and how many are left."""
    heading(console, "Pool")
    asked = f"bore {with_unit(answer['bore_mm'], 'mm')}, fill {with_unit(answer['fill_mm'], 'mm')}"
    asked += f", rim {with_unit(answer['rim_mm'], 'mm')}, wall {with_unit(answer['wall_degrees'], 'degrees')}"
    item(console, "-", f"{asked}, tilted by {with_unit(answer['degrees'], 'degrees')}")
    paragraph(console, _stands(answer["depths"], answer["reason"]), depth=1, style="bold")
    if answer["by_side"] is not None:
        paragraph(
            console, f"Wet for {with_unit(answer['seconds'], 's')} when level ({answer['site_class']} skin):", depth=1
        )
        for side in SIDES:
            paragraph(console, f"{side} side {side_in_words(answer['by_side'][side])}", depth=2)
    if answer["one_fill_ml"] is not None:
        paragraph(console, f"One fill takes {figure(round(answer['one_fill_ml'], 2))} ml.", depth=1)
    if (left := answer["fills_left"]) is not None:
        paragraph(console, f"Fills left in the canister: {left['fewest']} to {left['most']}.", depth=1)
    console.print(_by_tilt(answer["by_tilt"]))
    for said in (answer["cryogen"], answer["statement"], f"Freeze table {answer['freeze_table']['version']}."):
        paragraph(console, said)


def _bands(bands: FreezeBands) -> Table:
    table = _table()
    for name, said in SAID.items():
        unit = "s" if name.endswith("_s") else "mm"
        table.add_row(Text(said), Text(band_in_words(bands[name], unit), style="bold"))  # type: ignore[literal-required]
    surface = bands["surface_end_c"]
    if surface is not None:
        table.add_row(Text("skin surface at the end"), Text(f"{surface['p10']:.0f} to {surface['p90']:.0f} C", "bold"))
    return table


def _by_tilt(lines: Sequence[TiltLine]) -> Table:
    """Depth, seconds wet and band of ice on either side at several tilts; a pool that does not stand says why."""
    table = Table(box=None, padding=(0, STEP, 0, STEP))
    for title in ("tilt", "shallow side, ice in mm", "deep side, ice in mm"):
        table.add_column(title)
    for line in lines:
        sides = [str(line["reason"]).partition(":")[0], ""] if line["depths"] is None else list(_columns(line))
        table.add_row(*(Text(one) for one in (with_unit(line["degrees"], "degrees"), *sides)))
    return table


def _columns(line: TiltLine) -> Iterator[str]:
    depths, sides = line["depths"], line["by_side"]
    for side in SIDES:
        said = f"{depths[f'{side}_mm']:.1f} mm"  # type: ignore[index, literal-required]
        if sides is None:
            yield said
            continue
        ice = sides[side]["ice_depth_mm"]
        yield f"{said}, {sides[side]['contact_s']:.0f} s, " + ("no band" if ice is None else f"ice {_range(ice)}")


def _range(band: Band) -> str:
    return f"{band['p10']:.1f}-{band['p90']:.1f}"


def _stands(depths: PoolDepths | None, reason: str | None) -> str:
    if depths is None:
        return str(reason)
    shallow, deep, axis = (f"{depths[side]:.1f}" for side in ("shallow_mm", "deep_mm", "axis_mm"))
    return f"{shallow} mm deep on the shallow side, {deep} mm on the deep side, {axis} mm on the axis"


def _table() -> Table:
    return Table(box=None, padding=(0, STEP, 0, STEP), show_header=False)
