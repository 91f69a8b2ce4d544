"""Thin tissue with something behind it: an ear flap, a lid, skin on bone.

Only one thing is asked of it: after how many seconds the ice reaches the far side. It is
answered for the nominal contact and for a strong one (cone film 3000, foam 800 W/m2K,
cryogen -68 C), because harm is judged by the strong one. The films behind a lid (150) and
behind skin on bone (300 W/m2K) are assumptions without a source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from decision.freeze.contact import CELL_MM, ROOM_C, Patch, hold, laid_on, skin_of
from decision.freeze.mesh import cylinder_mesh, depth_faces_mm, radial_faces_mm
from decision.freeze.priors import CONTACTS, Draw, nominal
from decision.freeze.solver import Air, films, make_body

__all__ = ["BACKINGS", "LOOK_S", "STRONG_CRYOGEN_C", "Backing", "far_side_s"]

STRONG_CRYOGEN_C = -68.0
LOOK_S = 120.0
STEP_S = 0.25


@dataclass(frozen=True, slots=True)
class Backing:
    """What lies behind: film in W/m2K, temperature in C, and the site class in front."""

    film_w_m2k: float
    temperature_c: float
    site_class: str


BACKINGS = {
    "air": Backing(10.0, ROOM_C, "distal"),
    "globe": Backing(150.0, 36.0, "mucosa"),
    "bone": Backing(300.0, 37.0, "trunk"),
}


def far_side_s(applicator: str, diameter_mm: float, backing: str, thickness_mm: float, *, strong: bool) -> float | None:
    """Seconds of contact until ice reaches the far face on the axis.

    Args:
        applicator: "cone" or "foam_tip".
        diameter_mm: Diameter of the contact.
        backing: A key of BACKINGS.
        thickness_mm: Thickness of all the tissue, both skins of a flap together.
        strong: Whether the contact is as good as it may be.

    Returns:
        Seconds, or None when the ice has not come through after LOOK_S.
    """
    one = nominal(applicator, BACKINGS[backing].site_class)
    film = one.contact_w_m2k
    if strong:
        one = replace(one, cryogen_c=STRONG_CRYOGEN_C)
        film = CONTACTS[applicator].strong_w_m2k
    plate = _plate(applicator, diameter_mm, BACKINGS[backing], thickness_mm, one, film)
    now, before = 0.0, _deepest_c(plate)
    while now < LOOK_S:
        hold(plate, plate.body, now, now + STEP_S, drawn_before_j=0.0)
        now += STEP_S
        cold = _deepest_c(plate)
        if cold < one.freezes_at_c:
            return round(now - STEP_S * (one.freezes_at_c - cold) / (before - cold), 3)
        before = cold
    return None


def _plate(
    applicator: str, diameter_mm: float, backing: Backing, thickness_mm: float, one: Draw, film: float
) -> Patch:  # fmt: skip
    """A plate of skin of even starting temperature under an applicator."""
    cell_mm = min(CELL_MM, thickness_mm / 8.0)
    depth = depth_faces_mm(cell_mm, fine_to_mm=thickness_mm, bottom_mm=thickness_mm)
    radial = radial_faces_mm(0.5 * diameter_mm, cell_mm, past_edge_mm=1.4, outer_mm=14.0)
    rows = depth.size - 1
    body = make_body(
        cylinder_mesh(radial, depth, np.zeros(rows, dtype=np.int64)),
        (skin_of(one),),
        start_c=np.full(rows, one.surface_c),
        blood_c=one.blood_c,
        stilled=one.stilled,
    )
    bare = films(
        body,
        Air(one.air_w_m2k, ROOM_C),
        backing_w_m2k=backing.film_w_m2k,
        backing_c=backing.temperature_c,
    )
    return laid_on(body, bare, applicator, diameter_mm, one, film)


def _deepest_c(plate: Patch) -> float:
    """Temperature of the deepest cell on the axis."""
    return float(plate.body.state.temperature_c[-1, 0])
