"""What may be asked of the freeze table and of the pool, for the service and for the command alike.

Ranges are those of the whole table. Where an applicator has a narrower one, the answer says so and has no estimate.
"""

from __future__ import annotations

from typing import Any

from api.operations.operation import parameter
from decision.freeze.answers import THIN_BACKINGS
from decision.freeze.cryogen import CRYOGENS
from decision.freeze.priors import CONTACTS
from decision.single_freeze import PLACES

__all__ = ["FORMAT", "FORMATS", "OF_FREEZE", "OF_POOL"]

FORMATS = {"json": "application/json", "svg": "image/svg+xml"}


def _number(
    name: str, description: str, low: float, high: float, example: float, *, required: bool = False, **more: Any
) -> dict[str, Any]:
    limits = {"type": "number", "minimum": low, "maximum": high, **more}
    return parameter(name, "query", description, example, required=required, **limits)


def _code(
    name: str, description: str, allowed: tuple[str, ...], example: str, *, required: bool = False
) -> dict[str, Any]:
    return parameter(name, "query", description, example, required=required, enum=list(allowed))


OF_FREEZE = [
    _code("applicator", "A cone held on the skin, or a foam tip.", tuple(CONTACTS), "cone", required=True),
    _number("diameter_mm", "Inner bore of the cone (3 to 15), or foam tip (2 to 7).", 2, 15, 5, required=True),
    _number("seconds", "How long it is held on the skin.", 5, 40, 20, required=True),
    _code("site", "Site of the lesion, or the class it falls into.", PLACES, "trunk", required=True),
    _number("cycle", "Which freeze of this visit it is; 1 when left out.", 1, 3, 1, type="integer", format="int32"),
    _number("wait_after_thaw_s", "Rest before cycle 2 or 3; 60 when left out.", 0, 600, 60),
    _code("cryogen", "What is sprayed.", (*CRYOGENS, "other"), "dimethyl_ether_propane"),
    _number("observed_thaw_s", "Seconds from lifting to the end of white; narrows the band.", 0.5, 1200, 40),
    _number("lesion_width_mm", "Width of the lesion, for the picture.", 0.5, 30, 3.5),
    _number("lesion_height_mm", "Height of the lesion, for the picture; 0 when left out.", 0, 15, 1),
    _number("skin_mm", "Thickness of the skin, for the picture; 3 when left out.", 0.3, 10, 3),
    _number("fill_mm", "Depth of the pool when level; with degrees, for the band on either side.", 0.5, 15, 5),
    _number("degrees", "Tilt of the skin from level, for the band on either side of a cone.", 0, 60, 15),
    _number("thickness_mm", "All the tissue between contact and far side, where it is thin.", 0.5, 4, 1.5),
    _code("backing", "What lies behind thin tissue; that of the site when left out.", THIN_BACKINGS, "air"),
]
FORMAT = _code("format", "Data, or a picture; the Accept header decides when it is left out.", tuple(FORMATS), "json")
OF_POOL = [
    _number("bore_mm", "Inner bore of the cone.", 3, 15, 8, required=True),
    _number("fill_mm", "Depth of the liquid when level.", 0.5, 20, 5, required=True),
    _number("degrees", "Tilt of the skin from level.", 0, 60, 15, required=True),
    _number("rim_mm", "Height of the rim above the skin; 15 when left out.", 1, 40, 15),
    _number("wall_degrees", "How far the wall leans outwards; 0 when left out.", 0, 40, 0),
    _number("net_weight_g", "Weight of the canister less its empty weight.", 0, 1000, 50),
    _number("seconds", "How long the fill stays wet when level; 20 when left out.", 5, 40, 20),
    _code("site", "Site of the lesion, or the class it falls into; trunk when left out.", PLACES, "trunk"),
    _code("cryogen", "What is sprayed.", (*CRYOGENS, "other"), "dimethyl_ether_propane"),
]
