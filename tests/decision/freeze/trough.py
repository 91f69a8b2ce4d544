"""A pool in a long trough, tilted across its length: the solver of the table on cells that stand side by side.

The solver knows rings about an axis. Rings of one area, joined by faces of one size, are the cells of a flat section a
metre long, and a tilt may then differ from side to side. Room is left on both sides of the trough, and below it.
"""

from __future__ import annotations

import math

import numpy as np

from decision.freeze.contact import ROOM_C, skin_of
from decision.freeze.mesh import Mesh, cylinder_mesh, depth_faces_mm, radial_faces_mm
from decision.freeze.priors import nominal
from decision.freeze.solver import Air, cool, films, make_body, rest

CELL_MM = 0.125
STEP_S = 0.25
AFTER_S = 6.0  # in which the cold that was left still sinks in
BOTTOM_MM = 18.0


class Trough:
    """What a trough of a width, held on trunk skin with a nominal contact, has frozen after some seconds."""

    def __init__(self, width_mm, wet_s):
        """Freeze, with `wet_s` telling for each place across the trough (mm from its middle) how long it is wet."""
        mesh, self._across_mm = _flat(width_mm)
        self._level_mm = 0.5e3 * (mesh.depth_m[1:] + mesh.depth_m[:-1])
        one = nominal("cone", "trunk")
        self._freezes_at_c = one.freezes_at_c
        start = one.surface_c + (one.blood_c - one.surface_c) * (1.0 - np.exp(-self._level_mm / 8.0))
        body = make_body(mesh, (skin_of(one),), start_c=start, blood_c=one.blood_c, stilled=one.stilled)
        bare = films(body, Air(10.0, ROOM_C))
        inside = np.abs(self._across_mm) < 0.5 * width_mm
        wet = np.where(inside, wet_s(self._across_mm), 0.0)
        for step in range(math.ceil(wet.max() / STEP_S)):
            held = wet > (step + 0.5) * STEP_S
            on = bare._replace(
                top_w_m2k=np.where(held, one.contact_w_m2k, bare.top_w_m2k),
                top_c=np.where(held, one.cryogen_c, bare.top_c),
                top_wet=held.astype(np.int64),
            )
            cool(body, on, STEP_S, first_s=0.01 if step == 0 else 0.1)
        rest(body, bare, AFTER_S)
        self._coldest_c = body.state.coldest_c

    def ice_mm(self, at_mm):
        """Depth of ice below a place across the trough."""
        return self._depth_mm(at_mm, self._freezes_at_c)

    def minus25_mm(self, at_mm):
        """Depth to which it was -25 C below a place across the trough."""
        return self._depth_mm(at_mm, -25.0)

    def _depth_mm(self, at_mm, colder_than_c):
        column = np.array([np.interp(at_mm, self._across_mm, row) for row in self._coldest_c])
        warmer = int(np.argmax(column > colder_than_c))
        return float(np.interp(colder_than_c, column[warmer - 1 : warmer + 1], self._level_mm[warmer - 1 : warmer + 1]))


def _flat(width_mm) -> tuple[Mesh, np.ndarray]:
    """A flat section a metre long, and the middle of each column in mm from the middle of the trough."""
    edge = 0.5 * width_mm
    inner = np.arange(0.0, edge - 1e-9, CELL_MM)
    outer = radial_faces_mm(edge, CELL_MM, past_edge_mm=1.0, outer_mm=12.0)
    half = np.concatenate([inner, outer[outer >= edge - 1e-9]])
    faces = np.concatenate([-half[:0:-1], half])
    depth = depth_faces_mm(CELL_MM, fine_to_mm=3.6, bottom_mm=BOTTOM_MM)
    rings = cylinder_mesh(faces - faces[0], depth, np.zeros(depth.size - 1, dtype=np.int64))
    middle = 0.5 * (faces[1:] + faces[:-1])
    return rings._replace(area_m2=np.diff(faces) * 1e-3, across_m=1e3 / np.diff(middle)), middle
