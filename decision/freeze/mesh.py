"""Rings of tissue around the axis of the applicator: where cells are, what joins them.

A mesh is axisymmetric. Row 0 is the top row; column 0 is the axis. A raised lesion is a
narrow stack of rows on top of the skin: `width` says how many columns of a row are
tissue. All lengths are in metres here; the makers of meshes take millimetres.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["Mesh", "column_mesh", "cylinder_mesh", "depth_faces_mm", "radial_faces_mm"]

Array = NDArray[np.float64]
Count = NDArray[np.int64]
OUTWARD_GROWTH = 1.2
INWARD_GROWTH = 1.25
FINE_INSIDE_MM = 1.8
COARSEST_INSIDE_MM = 0.4


class Mesh(NamedTuple):
    """Faces, sizes and couplings of all cells.

    Shapes: `radial_m` (columns + 1), `depth_m` (rows + 1), `area_m2` (columns),
    `across_m` (columns - 1; metres of face per metre of distance, times row height),
    `down_1_m` (rows - 1), `tissue` and `width` (rows).
    """

    radial_m: Array
    depth_m: Array
    area_m2: Array
    across_m: Array
    down_1_m: Array
    tissue: Count
    width: Count


def cylinder_mesh(radial_mm: Array, depth_mm: Array, tissue: Count, width: Count | None = None) -> Mesh:
    """Make a mesh from the faces of its columns and rows, in millimetres.

    Args:
        radial_mm: Column faces from 0 outwards, rising; columns + 1 values.
        depth_mm: Row faces from the top downwards, rising; rows + 1 values.
        tissue: Number of the tissue in each row.
        width: Columns of tissue in each row; all of them when not given.

    Returns:
        The mesh, in metres.
    """
    radial = radial_mm * 1e-3
    depth = depth_mm * 1e-3
    middle = 0.5 * (radial[1:] + radial[:-1])
    level = 0.5 * (depth[1:] + depth[:-1])
    rows = np.full(level.size, middle.size, dtype=np.int64)
    return Mesh(
        radial_m=radial,
        depth_m=depth,
        area_m2=np.pi * (radial[1:] ** 2 - radial[:-1] ** 2),
        across_m=2.0 * np.pi * radial[1:-1] / np.diff(middle),
        down_1_m=1.0 / np.diff(level),
        tissue=tissue.astype(np.int64),
        width=rows if width is None else width.astype(np.int64),
    )


def column_mesh(depth_mm: Array) -> Mesh:
    """Make a mesh of one column of 1 m2, for the one-dimensional checks."""
    one = np.array([0.0, 1e3 / np.sqrt(np.pi)])
    return cylinder_mesh(one, depth_mm, np.zeros(depth_mm.size - 1, dtype=np.int64))


def radial_faces_mm(contact_radius_mm: float, cell_mm: float, *, past_edge_mm: float, outer_mm: float) -> Array:
    """Place column faces: fine about the contact edge, wider towards axis and rim.

    Args:
        contact_radius_mm: Radius of the contact; one face lies exactly on it.
        cell_mm: Width of the fine cells.
        past_edge_mm: How far fine cells go on past the edge.
        outer_mm: Distance from the edge to the rim of the mesh.

    Returns:
        Faces from 0 to the rim, in millimetres, rising.
    """
    fine_inside = min(contact_radius_mm, FINE_INSIDE_MM + cell_mm)
    if contact_radius_mm - fine_inside < COARSEST_INSIDE_MM:
        fine_inside = contact_radius_mm
    count = max(2, round(fine_inside / cell_mm))
    width = fine_inside / count
    inner = contact_radius_mm - fine_inside
    centre = _grow_to(inner, width, INWARD_GROWTH, COARSEST_INSIDE_MM)
    faces = list(np.cumsum([0.0, *reversed(centre)]))
    faces += [inner + width * (n + 1) for n in range(count)]
    beyond = max(1, round(past_edge_mm / cell_mm))
    faces += [contact_radius_mm + cell_mm * (n + 1) for n in range(beyond)]
    rest = _grow_to(outer_mm - beyond * cell_mm, cell_mm, OUTWARD_GROWTH, outer_mm)
    faces += list(contact_radius_mm + beyond * cell_mm + np.cumsum(rest))
    return np.array(faces)


def depth_faces_mm(cell_mm: float, *, fine_to_mm: float, bottom_mm: float, boundary_mm: float | None = None) -> Array:
    """Place row faces: fine from the surface, wider below.

    Args:
        cell_mm: Height of the fine cells.
        fine_to_mm: Depth to which cells stay fine.
        bottom_mm: Depth of the last face.
        boundary_mm: Depth of a boundary between tissues; a face is put on it.

    Returns:
        Faces from 0 to the bottom, in millimetres, rising.
    """
    if boundary_mm is None:
        count = max(1, round(fine_to_mm / cell_mm))
        faces = [fine_to_mm * n / count for n in range(count + 1)]
        last = fine_to_mm / count
    else:
        upper = max(2, round(boundary_mm / cell_mm))
        faces = [boundary_mm * n / upper for n in range(upper + 1)]
        last = boundary_mm / upper
        while faces[-1] < fine_to_mm - 0.5 * cell_mm:
            faces.append(faces[-1] + cell_mm)
            last = cell_mm
    rest = _grow_to(bottom_mm - faces[-1], last, OUTWARD_GROWTH, bottom_mm)
    return np.array(faces + list(faces[-1] + np.cumsum(rest)))


def _grow_to(length_mm: float, first_mm: float, growth: float, largest_mm: float) -> list[float]:
    """Widths that grow from `first_mm` and together fill `length_mm` exactly."""
    widths: list[float] = []
    width = first_mm
    while sum(widths) < length_mm - 1e-9:
        width = min(width * growth, largest_mm)
        widths.append(width)
    total = sum(widths)
    return [length_mm / total * one for one in widths]
