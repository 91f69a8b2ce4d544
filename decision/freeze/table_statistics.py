"""Turn the readings of all draws into the table: quantiles, draws, factors."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from decision.freeze import priors
from decision.freeze.contact import CELL_MM
from decision.freeze.interpolation import quantile
from decision.freeze.plate import BACKINGS, LOOK_S, STRONG_CRYOGEN_C
from decision.freeze.sampling_error import sampling_error, sampling_error_of_seconds
from decision.freeze.table_file import DRAW_UNITS, QUANTITIES, pack
from decision.freeze.table_runs import (
    BATH_BORE_MM,
    BATH_FILL_MM,
    BATH_HEIGHT_MM,
    BATH_LESION_MM,
    CONTACT_S,
    CYCLE_CONTACT_S,
    CYCLE_DIAMETER_MM,
    CYCLE_DRAWS,
    CYCLES,
    DIAMETER_MM,
    DRAWS,
    SEED,
    THICKNESS_MM,
    THROUGH_DIAMETER_MM,
    THROUGH_DRAWS,
    THROUGH_LOOK_S,
    WAIT_S,
    Piece,
)

__all__ = ["THROUGH", "VERSION", "assemble", "through_thin_tissue"]

VERSION = "2026.11.28"
SHARES = (0.1, 0.5, 0.9)
# What is timed at the far face of thin tissue, in the order of a run.
THROUGH = ("ice_s", "minus25_s")
# Quantiles of a first cycle too small to say by which factor a second changes them.
LEAST_MM = 0.2
LEAST_S = 2.0

Pieces = dict[str, dict[str, Any]]


def assemble(pieces: Pieces) -> dict[str, Any]:
    """Make the table from all pieces of work.

    Args:
        pieces: Results of `table_runs.run_piece` by name of the piece.

    Returns:
        The table, ready for JSON, without build date and digest.
    """
    return {
        "version": VERSION,
        "seed": SEED,
        "draw_count": DRAWS,
        "cell_mm": CELL_MM,
        "priors": _priors(),
        "quantities": list(QUANTITIES),
        "diameter_mm": {name: list(axis) for name, axis in DIAMETER_MM.items()},
        "contact_s": list(CONTACT_S),
        "bands": _bands(pieces),
        "nominal": {
            applicator: {
                site: [_runs(pieces, applicator, site, one)["nominal"] for one in axis] for site in priors.SITES
            }
            for applicator, axis in DIAMETER_MM.items()
        },
        "draws": _draws(pieces),
        "sampling_error": sampling_error(_bands_by_draw(pieces)),
        "cycles": _cycles(pieces),
        "far_side": _far_side(pieces),
        "raised": _raised(pieces),
        "through": through_thin_tissue(pieces),
    }


def through_thin_tissue(pieces: Pieces) -> dict[str, Any]:
    """The part of the table that says when thin tissue is frozen through: a part that can be made alone.

    Args:
        pieces: Results of `table_runs.through_pieces`, by name.

    Returns:
        Axes, sampling error, and by applicator, backing, diameter and thickness p10, p50 and p90
        of each of THROUGH in turn (None where more draws than that never come to it), then the
        share of draws that never come to each.
    """
    nodes = {
        (applicator, backing, mm, number): _far_face(pieces, Piece("through", applicator, backing, mm), number)
        for applicator, axis in THROUGH_DIAMETER_MM.items()
        for backing in BACKINGS
        for mm in axis
        for number in range(len(THICKNESS_MM))
    }
    return {
        "draw_count": THROUGH_DRAWS,
        "looked_s": THROUGH_LOOK_S,
        "diameter_mm": {name: list(axis) for name, axis in THROUGH_DIAMETER_MM.items()},
        "thickness_mm": list(THICKNESS_MM),
        "sampling_error_share": {
            name: sampling_error_of_seconds([node[index] for node in nodes.values()])
            for index, name in enumerate(THROUGH)
        },
        "bands": {
            applicator: {
                backing: [
                    [_seconds(nodes[applicator, backing, mm, number]) for number in range(len(THICKNESS_MM))]
                    for mm in axis
                ]
                for backing in BACKINGS
            }
            for applicator, axis in THROUGH_DIAMETER_MM.items()
        },
    }


def _runs(pieces: Pieces, applicator: str, site: str, diameter: float) -> dict[str, Any]:
    runs: dict[str, Any] = pieces[Piece("band", applicator, site, diameter).name]["runs"]
    return runs


def _bands(pieces: Pieces) -> dict[str, Any]:
    """Quantiles of every node."""
    return {
        applicator: {
            site: [
                [
                    _quantiles([one[time] for one in _runs(pieces, applicator, site, mm)["draws"]])
                    for time in range(len(CONTACT_S))
                ]
                for mm in axis
            ]
            for site in priors.SITES
        }
        for applicator, axis in DIAMETER_MM.items()
    }


def _bands_by_draw(pieces: Pieces) -> list[list[list[float]]]:
    """Readings by node and draw, at one contact time near the middle."""
    time = len(CONTACT_S) // 2
    return [
        [one[time] for one in _runs(pieces, applicator, site, mm)["draws"]]
        for applicator, axis in DIAMETER_MM.items()
        for site in priors.SITES
        for mm in axis
    ]


def _quantiles(readings: Sequence[Sequence[float]]) -> list[float]:
    """p10, p50 and p90 of each quantity in turn."""
    return [
        round(quantile([one[index] for one in readings], share), 3)
        for index in range(len(QUANTITIES))
        for share in SHARES
    ]


def _draws(pieces: Pieces) -> dict[str, dict[str, str]]:
    """All draws, packed: by diameter, contact time, quantity, draw."""
    packed: dict[str, dict[str, str]] = {}
    for applicator, axis in DIAMETER_MM.items():
        packed[applicator] = {}
        for site in priors.SITES:
            numbers = [
                round(one[time][index] / unit)
                for mm in axis
                for time in range(len(CONTACT_S))
                for index, unit in enumerate(DRAW_UNITS)
                for one in _runs(pieces, applicator, site, mm)["draws"]
            ]
            packed[applicator][site] = pack(numbers)
    return packed


def _cycles(pieces: Pieces) -> dict[str, Any]:
    """How cycles 2 and 3 change the first, by diameter, contact, wait and cycle.

    From the quantiles over CYCLE_DRAWS draws; `cycles.Change` names the numbers.
    """
    changes: dict[str, Any] = {}
    for applicator, axis in CYCLE_DIAMETER_MM.items():
        changes[applicator] = {
            site: [
                [
                    [
                        [_change(pieces, applicator, site, mm, time, wait, cycle)
                         for cycle in range(1, CYCLES)]
                        for wait in range(len(WAIT_S))
                    ]
                    for time in range(len(CYCLE_CONTACT_S))
                ]
                for mm in axis
            ]
            for site in priors.SITES
        }  # fmt: skip
    return {"draw_count": CYCLE_DRAWS, "contact_s": list(CYCLE_CONTACT_S), "wait_s": list(WAIT_S),
            "diameter_mm": {name: list(axis) for name, axis in CYCLE_DIAMETER_MM.items()},
            "changes": changes}  # fmt: skip


def _change(pieces: Pieces, applicator: str, site: str, mm: float, time: int, wait: int, cycle: int) -> list[float]:
    """The fields of `cycles.Change` in turn, from the quantiles of both cycles."""
    runs = pieces[Piece("cycles", applicator, site, mm).name]["runs"]
    first = _quantiles([draw[time][wait][0] for draw in runs])
    later = _quantiles([draw[time][wait][cycle] for draw in runs])
    pairs = list(zip(first, later, strict=True))
    factors = [b / a if a >= LEAST_MM else 1.0 for a, b in pairs[0:3]]
    more = [b - a for a, b in pairs[3:9]]
    slower = [b / a if a >= LEAST_S else 1.0 for a, b in pairs[15:18]]
    wider = pairs[10][1] - pairs[10][0] if pairs[1][0] >= LEAST_MM else 0.0
    colder = pairs[19][1] - pairs[19][0]
    return [round(one, 4) for one in (*factors, *more, *slower, wider, colder)]


def _far_side(pieces: Pieces) -> dict[str, Any]:
    seconds = {
        applicator: {
            backing: {
                kind: [pieces[Piece("far_side", applicator, backing, mm).name]["runs"][kind] for mm in axis]
                for kind in ("nominal", "strong")
            }
            for backing in BACKINGS
        }
        for applicator, axis in DIAMETER_MM.items()
    }
    return {"thickness_mm": list(THICKNESS_MM), "looked_s": LOOK_S, "seconds": seconds}


def _far_face(pieces: Pieces, piece: Piece, number: int) -> list[list[float]]:
    """Seconds by draw for each of THROUGH, at one thickness; endless where it never came."""
    runs = [one[number] for one in pieces[piece.name]["runs"]]
    return [[math.inf if one[index] is None else one[index] for one in runs] for index in range(len(THROUGH))]


def _seconds(node: Sequence[Sequence[float]]) -> list[float | None]:
    """The numbers of one node of `through_thin_tissue`."""
    found = [quantile(seconds, share) for seconds in node for share in SHARES]
    never = [round(sum(map(math.isinf, seconds)) / len(seconds), 3) for seconds in node]
    return [round(one, 2) if math.isfinite(one) else None for one in found] + never


def _raised(pieces: Pieces) -> dict[str, Any]:
    shares = [pieces[Piece("raised", "cone", "trunk", bore).name]["runs"] for bore in BATH_BORE_MM]
    return {"bore_mm": list(BATH_BORE_MM), "lesion_mm": list(BATH_LESION_MM),
            "fill_mm": list(BATH_FILL_MM), "height_mm": list(BATH_HEIGHT_MM),
            "share": shares}  # fmt: skip


def _priors() -> dict[str, Any]:
    """Every range the draws come from, as text-free data."""
    return {
        "triangular_low_mode_high": {name: list(one) for name, one in priors.PRIORS.items()},
        "sites": {name: asdict(one) for name, one in priors.SITES.items()},
        "contacts": {name: asdict(one) for name, one in priors.CONTACTS.items()},
        "perfusion_factor": priors.PERFUSION_FACTOR,
        "site_spread_c": priors.SITE_SPREAD_C,
        "blood_c": list(priors.BLOOD_C),
        "keratin_m2k_w": list(priors.KERATIN_M2K_W),
        "skin_mm": list(priors.SKIN_MM),
        "strong_cryogen_c": STRONG_CRYOGEN_C,
        "backings": {name: asdict(one) for name, one in BACKINGS.items()},
    }
