"""Simulate what happens at the table: contact, lift, thaw, and again.

A cone holds a boiling pool for the whole contact. A foam tip holds a finite charge, lost
to the skin and to the air; when it is empty, the dry foam insulates.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from decision.freeze import contour
from decision.freeze.heat_flow import Films
from decision.freeze.mesh import cylinder_mesh, depth_faces_mm, radial_faces_mm
from decision.freeze.priors import SITES, Draw
from decision.freeze.solver import Air, Body, branch, cool, films, make_body, rest, thaw, touched
from decision.freeze.tissue import FAT, Tissue

__all__ = ["CELL_MM", "Patch", "Reading", "freeze_and_thaw", "patch", "repeat_freezes"]

CELL_MM = 0.1
BOTTOM_MM = 18.0
OUTER_MM = 16.0
WARMING_DEPTH_MM = 8.0
GIVE_UP_S = 1200.0
FOAM_SHARE = 0.9
FOAM_LENGTH_MM = 12.0
FOAM_CHARGE_J_M3 = 280e6
FOAM_AIR_W_M2K = 30.0
DRY_FOAM_W_M2K = 10.0
ROOM_C = 22.0


@dataclass(frozen=True, slots=True)
class Patch:
    """A patch of tissue under an applicator, with the films it meets."""

    body: Body
    bare: Films
    held: Films
    dry: Films
    radius_mm: float
    freezes_at_c: float
    foam_charge_j: float
    foam_loss_w: float


@dataclass(frozen=True, slots=True)
class Reading:
    """What one contact did, by the coldest temperatures reached up to full thaw.

    Radii are from the axis. `heat_j_mm2` is the heat drawn for each mm2 of contact.
    """

    ice_depth_mm: float
    depth_minus25_mm: float
    depth_minus40_mm: float
    ice_radius_mm: float
    radius_minus25_mm: float
    thaw_s: float
    surface_end_c: float
    heat_j_mm2: float


def patch(applicator: str, diameter_mm: float, site_class: str, one: Draw, cell_mm: float = CELL_MM) -> Patch:
    """Prepare deep tissue of a site class under an applicator.

    Args:
        applicator: "cone" or "foam_tip".
        diameter_mm: Diameter of the contact.
        site_class: A key of `priors.SITES`.
        one: The draw.
        cell_mm: Width of the fine cells.

    Returns:
        The patch at time 0.
    """
    fat_below = SITES[site_class].fat_below
    foam = applicator == "foam_tip"
    depth = depth_faces_mm(
        cell_mm,
        fine_to_mm=2.4 if foam else 3.6,
        bottom_mm=BOTTOM_MM,
        boundary_mm=one.skin_mm if fat_below else None,
    )
    level = 0.5 * (depth[1:] + depth[:-1])
    layer = (level > one.skin_mm).astype(np.int64) if fat_below else np.zeros(level.size, np.int64)
    radial = radial_faces_mm(0.5 * diameter_mm, cell_mm, past_edge_mm=0.8 if foam else 1.4, outer_mm=OUTER_MM)
    body = make_body(
        cylinder_mesh(radial, depth, layer),
        (skin_of(one), FAT) if fat_below else (skin_of(one),),
        start_c=one.surface_c + (one.blood_c - one.surface_c) * (1.0 - np.exp(-level / WARMING_DEPTH_MM)),
        blood_c=one.blood_c,
        stilled=one.stilled,
    )
    bare = films(body, Air(one.air_w_m2k, ROOM_C))
    return laid_on(body, bare, applicator, diameter_mm, one, one.contact_w_m2k)


def laid_on(body: Body, bare: Films, applicator: str, diameter_mm: float, one: Draw, film_w_m2k: float) -> Patch:
    """Lay an applicator on a prepared body, with a contact film in W/m2K."""
    radius_m = 0.5e-3 * diameter_mm
    columns = int(np.searchsorted(body.mesh.radial_m, radius_m - 1e-9))
    foam = applicator == "foam_tip"
    side_m2 = 2.0 * math.pi * radius_m * FOAM_LENGTH_MM * 1e-3
    charge = math.pi * radius_m**2 * FOAM_LENGTH_MM * 1e-3 * FOAM_SHARE * FOAM_CHARGE_J_M3
    return Patch(
        body=body,
        bare=bare,
        held=touched(bare, columns, film_w_m2k, one.cryogen_c),
        dry=touched(bare, columns, DRY_FOAM_W_M2K, ROOM_C),
        radius_mm=0.5 * diameter_mm,
        freezes_at_c=one.freezes_at_c,
        foam_charge_j=charge if foam else math.inf,
        foam_loss_w=FOAM_AIR_W_M2K * (ROOM_C - one.cryogen_c) * side_m2,
    )


def skin_of(one: Draw) -> Tissue:
    """The skin of a draw."""
    return Tissue(
        unfrozen_w_mk=one.unfrozen_w_mk,
        frozen_w_mk=one.frozen_w_mk,
        unfrozen_j_m3k=one.unfrozen_j_m3k,
        frozen_j_m3k=one.frozen_j_m3k,
        latent_j_m3=one.latent_j_m3,
        freezes_at_c=one.freezes_at_c,
        perfusion_1_s=one.perfusion_1_s,
    )


def freeze_and_thaw(on: Patch, contact_s: Sequence[float]) -> list[Reading]:
    """Freeze once and thaw from each contact time.

    Args:
        on: The patch; its body is left as at the end of the longest contact.
        contact_s: Contact times in seconds, rising.

    Returns:
        One reading for each contact time.
    """
    readings: list[Reading] = []
    held_s = 0.0
    for until_s in contact_s:
        last = hold(on, on.body, held_s, until_s, drawn_before_j=0.0)
        held_s = until_s
        readings.append(_lift(on, branch(on.body), last, drawn_before_j=0.0))
    return readings


def repeat_freezes(on: Patch, contact_s: float, cycles: int, wait_s: float) -> list[Reading]:
    """Freeze again and again for the same time, waiting after each thaw.

    Args:
        on: The patch; its body is used up.
        contact_s: Seconds of each contact.
        cycles: How many.
        wait_s: Seconds between full thaw and the next contact.

    Returns:
        One reading for each cycle: depths reached by then, thaw of that cycle.
    """
    readings: list[Reading] = []
    for cycle in range(cycles):
        if cycle:
            rest(on.body, on.bare, wait_s)
        before_j = contour.heat_drawn_j(on.body)
        last = hold(on, on.body, 0.0, contact_s, drawn_before_j=before_j)
        readings.append(_lift(on, on.body, last, drawn_before_j=before_j))
    return readings


def hold(on: Patch, body: Body, from_s: float, until_s: float, *, drawn_before_j: float) -> Films:
    """Hold the applicator from one moment of a contact to another.

    Args:
        on: The applicator and its films.
        body: Changed in place.
        from_s: Seconds of this contact already passed.
        until_s: Seconds of this contact at the end.
        drawn_before_j: Heat drawn before this contact began; a foam tip starts it full.

    Returns:
        The films at the end: those of a dry tip when the foam has run out.
    """
    longest_s = 0.5 if math.isfinite(on.foam_charge_j) else until_s
    now, films_now = from_s, on.held
    while now < until_s - 1e-9:
        piece = min(longest_s, until_s - now)
        spent = contour.heat_drawn_j(body) - drawn_before_j + on.foam_loss_w * now
        films_now = on.held if spent < on.foam_charge_j else on.dry
        cool(body, films_now, piece, first_s=0.01 if now == 0.0 else 0.25)
        now += piece
    return films_now


def _lift(on: Patch, body: Body, last: Films, *, drawn_before_j: float) -> Reading:
    """Read the end of a contact, thaw, and read the depths."""
    drawn = contour.heat_drawn_j(body) - drawn_before_j
    surface = contour.surface_c(body, last)
    seconds = thaw(body, on.bare, longest_s=GIVE_UP_S)
    return Reading(
        ice_depth_mm=contour.depth_mm(body, on.freezes_at_c),
        depth_minus25_mm=contour.depth_mm(body, -25.0),
        depth_minus40_mm=contour.depth_mm(body, -40.0),
        ice_radius_mm=contour.radius_mm(body, on.freezes_at_c),
        radius_minus25_mm=contour.radius_mm(body, -25.0),
        thaw_s=math.nan if seconds is None else seconds,
        surface_end_c=surface,
        heat_j_mm2=drawn / (math.pi * on.radius_mm**2),
    )
