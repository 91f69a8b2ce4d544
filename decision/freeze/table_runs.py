"""The runs behind the table: every node, draw by draw, one piece of work at a time.

A piece is one applicator, one diameter and one site class, for one kind of result. It is
a plain dictionary, so that it can be kept on disk and the build taken up again.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import astuple, dataclass

from decision.freeze.bathed import bathed_share
from decision.freeze.contact import CELL_MM, Reading, freeze_and_thaw, patch, repeat_freezes
from decision.freeze.plate import BACKINGS, THROUGH_CELL_MM, far_side_s, through_s
from decision.freeze.priors import CONTACTS, DIMENSIONS, SITES, draw, nominal
from decision.freeze.sobol import sobol_points

__all__ = ["BATH_BORE_MM", "BATH_FILL_MM", "BATH_HEIGHT_MM", "BATH_LESION_MM", "CONTACT_S",
           "CYCLES", "CYCLE_CONTACT_S", "CYCLE_DIAMETER_MM", "CYCLE_DRAWS", "DIAMETER_MM", "DRAWS",
           "SEED", "THICKNESS_MM", "THROUGH_DIAMETER_MM", "THROUGH_DRAWS", "THROUGH_LOOK_S",
           "WAIT_S", "Piece", "all_pieces", "run_piece", "settings", "through_pieces"]  # fmt: skip

SEED = 20261124
DRAWS = 128
CYCLE_DRAWS = 16
CYCLES = 3
DIAMETER_MM = {
    "cone": (3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0),
    "foam_tip": (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0),
}
CONTACT_S = (5.0, 8.0, 12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0)
CYCLE_DIAMETER_MM = {"cone": (3.0, 5.0, 8.0, 12.0, 15.0), "foam_tip": (2.0, 4.0, 7.0)}
CYCLE_CONTACT_S = (5.0, 12.0, 24.0, 40.0)
WAIT_S = (0.0, 60.0, 180.0)
THICKNESS_MM = (0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0)
# From 8 mm on the width of a cone matters little to tissue this thin.
THROUGH_DIAMETER_MM = {
    "cone": (3.0, 4.0, 5.0, 6.0, 8.0, 15.0),
    "foam_tip": DIAMETER_MM["foam_tip"],
}
THROUGH_DRAWS = 64
THROUGH_LOOK_S = 60.0
BATH_BORE_MM = (4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0)
BATH_LESION_MM = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0)
BATH_FILL_MM = (3.0, 4.5, 6.0)
BATH_HEIGHT_MM = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0)
# Seconds in which a fill boils off: 3 to 6 mm in 20 to 25 s.
BOIL_OFF_S = (20.0, 22.0, 25.0)
BATH_RING_MM = 1.0


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of work: what kind of result, for which applicator, place and diameter."""

    kind: str
    applicator: str
    place: str
    diameter_mm: float

    @property
    def name(self) -> str:
        """File name of the piece, without ending."""
        return f"{self.kind}-{self.applicator}-{self.place}-{self.diameter_mm:g}"


def all_pieces() -> list[Piece]:
    """Every piece of the table, the longest first."""
    bands = [
        Piece("band", applicator, site, diameter)
        for applicator, diameters in DIAMETER_MM.items()
        for site in SITES
        for diameter in diameters
    ]
    cycles = [
        Piece("cycles", applicator, site, diameter)
        for applicator, diameters in CYCLE_DIAMETER_MM.items()
        for site in SITES
        for diameter in diameters
    ]
    plates = [
        Piece("far_side", applicator, backing, diameter)
        for applicator, diameters in DIAMETER_MM.items()
        for backing in BACKINGS
        for diameter in diameters
    ]
    baths = [Piece("raised", "cone", "trunk", bore) for bore in BATH_BORE_MM]
    return sorted(bands + cycles + plates + baths + through_pieces(), key=_cost, reverse=True)


def through_pieces() -> list[Piece]:
    """The pieces of the band of thin tissue, by backing and diameter."""
    return [
        Piece("through", applicator, backing, diameter)
        for applicator, diameters in THROUGH_DIAMETER_MM.items()
        for backing in BACKINGS
        for diameter in diameters
    ]


def run_piece(piece: Piece) -> dict[str, object]:
    """Run one piece.

    Args:
        piece: What to run.

    Returns:
        The piece's settings under "settings" and its readings under "runs".
    """
    run: dict[str, Callable[[Piece], object]] = {
        "band": _band,
        "cycles": _cycles,
        "far_side": _far_side,
        "raised": _raised,
        "through": _through,
    }
    return {"settings": settings(piece), "runs": run[piece.kind](piece)}


def settings(piece: Piece) -> dict[str, object]:
    """What a kept piece must have been made with, to be used again."""
    if piece.kind == "through":
        return {"piece": piece.name, "seed": SEED, "draws": THROUGH_DRAWS, "thickness_mm": list(THICKNESS_MM),
                "look_s": THROUGH_LOOK_S, "cell_mm": THROUGH_CELL_MM,
                "contact": list(astuple(CONTACTS[piece.applicator])),
                "backing": list(astuple(BACKINGS[piece.place]))}  # fmt: skip
    count = CYCLE_DRAWS if piece.kind == "cycles" else DRAWS
    times = CYCLE_CONTACT_S if piece.kind == "cycles" else CONTACT_S
    return {"piece": piece.name, "seed": SEED, "draws": count, "contact_s": list(times),
            "cell_mm": CELL_MM, "contact": list(astuple(CONTACTS[piece.applicator]))}  # fmt: skip


def _cost(piece: Piece) -> float:
    """Rough length of a piece, to spread the work."""
    weight = {"band": DRAWS, "cycles": 4.0 * CYCLE_DRAWS, "far_side": 2.0, "raised": 5.0, "through": 3.0}[piece.kind]
    return weight * piece.diameter_mm * (1.0 if piece.applicator == "cone" else 0.4)


def _points(count: int) -> list[list[float]]:
    return sobol_points(count, DIMENSIONS, seed=SEED)


def _plain(reading: Reading) -> list[float]:
    """A reading as numbers, in the order of its fields."""
    numbers = [round(float(one), 4) for one in astuple(reading)]
    if any(math.isnan(one) for one in numbers):
        raise ArithmeticError(f"a run did not thaw: {reading}")
    return numbers


def _band(piece: Piece) -> dict[str, object]:
    where = (piece.applicator, piece.place)
    drawn = [draw(point, *where) for point in _points(DRAWS)]
    runs = [
        [_plain(reading) for reading in freeze_and_thaw(
            patch(piece.applicator, piece.diameter_mm, piece.place, one), CONTACT_S)]
        for one in [nominal(*where), *drawn]
    ]  # fmt: skip
    return {"nominal": runs[0], "draws": runs[1:]}


def _cycles(piece: Piece) -> list[object]:
    """Readings by draw, contact time, wait and cycle."""
    drawn = [draw(point, piece.applicator, piece.place) for point in _points(CYCLE_DRAWS)]
    return [
        [
            [
                [_plain(reading) for reading in repeat_freezes(
                    patch(piece.applicator, piece.diameter_mm, piece.place, one),
                    contact_s, CYCLES, wait_s)]
                for wait_s in WAIT_S
            ]
            for contact_s in CYCLE_CONTACT_S
        ]
        for one in drawn
    ]  # fmt: skip


def _far_side(piece: Piece) -> dict[str, object]:
    """Seconds to the far face by thickness, for nominal and for strong contact."""
    return {
        kind: [
            far_side_s(piece.applicator, piece.diameter_mm, piece.place, thick, strong=strong) for thick in THICKNESS_MM
        ]
        for kind, strong in (("nominal", False), ("strong", True))
    }


def _through(piece: Piece) -> list[list[list[float | None]]]:
    """Seconds until ice and until -25 C at the far face, by draw and thickness."""
    site_class = BACKINGS[piece.place].site_class
    drawn = [draw(point, piece.applicator, site_class) for point in _points(THROUGH_DRAWS)]
    return [
        [
            through_s(piece.applicator, piece.diameter_mm, piece.place, thickness, one, THROUGH_LOOK_S)
            for thickness in THICKNESS_MM
        ]
        for one in drawn
    ]


def _raised(piece: Piece) -> list[list[list[float | None]]]:
    """Share at -25 C by lesion width, fill and height; None where no ring of pool is left."""
    return [
        [
            [
                round(bathed_share(lesion, height, piece.diameter_mm, fill, boil_off), 3)
                if lesion <= piece.diameter_mm - BATH_RING_MM
                else None
                for height in BATH_HEIGHT_MM
            ]
            for fill, boil_off in zip(BATH_FILL_MM, BOIL_OFF_S, strict=True)
        ]
        for lesion in BATH_LESION_MM
    ]
