"""Thin tissue with something behind it: an ear flap, a lid, skin on bone.

Only one thing is asked of it: after how many seconds of contact the cold is through. Ice at the
far side is timed for the nominal contact and for a strong one (cone film 3000, foam 800 W/m2K,
cryogen -68 C), because harm is judged by the strong one; ice and -25 C are timed for each draw,
for the bands. The films behind a lid (150) and behind skin on bone (300 W/m2K) are assumptions
without a source, and no draw varies them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from decision.freeze.contact import CELL_MM, ROOM_C, Patch, hold, laid_on, skin_of
from decision.freeze.mesh import cylinder_mesh, depth_faces_mm, radial_faces_mm
from decision.freeze.priors import CONTACTS, Draw, nominal
from decision.freeze.solver import Air, Body, films, make_body

__all__ = ["BACKINGS", "LOOK_S", "STRONG_CRYOGEN_C", "THROUGH_CELL_MM", "Backing", "far_side_s",
           "through_s"]  # fmt: skip

STRONG_CRYOGEN_C = -68.0
LOOK_S = 120.0
STEP_S = 0.25
COLD_C = -25.0
# Of the draws behind a band: they read the far side up to 5 % sooner than cells of 0.1 mm, which is cautious.
THROUGH_CELL_MM = 0.15


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
    plate = _plate(applicator, diameter_mm, BACKINGS[backing], thickness_mm, one, film, CELL_MM)
    return _crossings_s(plate, [one.freezes_at_c], LOOK_S)[0]


def through_s(
    applicator: str, diameter_mm: float, backing: str, thickness_mm: float, one: Draw, look_s: float
) -> list[float | None]:  # fmt: skip
    """Seconds of contact until the far face on the axis is ice, and until it is at -25 C.

    Args:
        applicator: As for `far_side_s`.
        diameter_mm: As for `far_side_s`.
        backing: As for `far_side_s`.
        thickness_mm: As for `far_side_s`.
        one: A draw for the site class in front of the backing.
        look_s: Seconds of contact after which to give up.

    Returns:
        Both times; None for one that did not come.
    """
    plate = _plate(applicator, diameter_mm, BACKINGS[backing], thickness_mm, one, one.contact_w_m2k, THROUGH_CELL_MM)
    coldest_c = _coldest_far_c(plate.body, BACKINGS[backing], one)
    wanted = [target for target in (one.freezes_at_c, COLD_C) if target > coldest_c]
    found = _crossings_s(plate, wanted, look_s)
    return found + [None] * (2 - len(found))


def _crossings_s(plate: Patch, targets_c: Sequence[float], look_s: float) -> list[float | None]:
    """Seconds until the deepest cell on the axis passes each temperature; targets fall."""
    found: list[float | None] = []
    now, before = 0.0, _deepest_c(plate)
    while now < look_s and len(found) < len(targets_c):
        hold(plate, plate.body, now, now + STEP_S, drawn_before_j=0.0)
        now += STEP_S
        cold = _deepest_c(plate)
        while len(found) < len(targets_c) and cold < targets_c[len(found)]:
            found.append(round(now - STEP_S * (targets_c[len(found)] - cold) / (before - cold), 3))
        before = cold
    return found + [None] * (len(targets_c) - len(found))


def _coldest_far_c(body: Body, behind: Backing, one: Draw) -> float:
    """What the deepest cell cannot fall below, however long: steady, frozen, nothing from the side.

    Frozen tissue conducts best, and blood, metabolism and tissue beside the contact only warm.
    """
    half_m = 0.5 * float(body.mesh.depth_m[-1] - body.mesh.depth_m[-2])
    before = 1.0 / one.contact_w_m2k + (float(body.mesh.depth_m[-1]) - half_m) / one.frozen_w_mk
    after = 1.0 / behind.film_w_m2k + half_m / one.frozen_w_mk
    return behind.temperature_c - (behind.temperature_c - one.cryogen_c) * after / (before + after)


def _plate(
    applicator: str, diameter_mm: float, backing: Backing, thickness_mm: float, one: Draw, film: float,
    finest_mm: float,
) -> Patch:  # fmt: skip
    """A plate of skin of even starting temperature under an applicator."""
    cell_mm = min(finest_mm, thickness_mm / 8.0)
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
