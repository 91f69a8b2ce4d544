"""Read `table.json`: the numbers of the table, as they are looked up, and their digest."""

from __future__ import annotations

import base64
import hashlib
import json
import math
import sys
from array import array
from dataclasses import dataclass
from pathlib import Path
from typing import Any

__all__ = ["DRAW_UNITS", "QUANTITIES", "TABLE", "TableFile", "digest", "pack", "read_table", "unpack"]

TABLE = Path(__file__).with_name("table.json")
# The order of quantities in every band and draw, and the unit in which draws are packed.
QUANTITIES = (
    "ice_depth_mm",
    "depth_minus25_mm",
    "depth_minus40_mm",
    "ice_radius_mm",
    "radius_minus25_mm",
    "thaw_s",
    "surface_end_c",
)
DRAW_UNITS = (0.001, 0.001, 0.001, 0.001, 0.001, 0.02, 0.01)

Rows = list[list[list[float]]]


@dataclass(frozen=True, slots=True)
class TableFile:
    """The table as stored.

    `bands[applicator][site][diameter][time]` has p10, p50 and p90 of each quantity in
    turn. `draws[applicator][site]` has whole numbers in DRAW_UNITS, by diameter, time,
    quantity and draw. `cycles`, `far_side`, `raised` and `through` are documented where they
    are read.
    """

    version: str
    digest: str
    built_on: str
    seed: int
    draw_count: int
    priors: dict[str, Any]
    diameter_mm: dict[str, list[float]]
    root_contact_s: list[float]
    contact_s: list[float]
    bands: dict[str, dict[str, Rows]]
    nominal: dict[str, dict[str, Rows]]
    draws: dict[str, dict[str, array[int]]]
    cycles: dict[str, Any]
    far_side: dict[str, Any]
    raised: dict[str, Any]
    through: dict[str, Any]


def read_table(path: Path = TABLE) -> TableFile:
    """Read a table.

    Args:
        path: A file made by `build_table`.

    Returns:
        The table, with draws unpacked.

    Raises:
        FileNotFoundError: The file is missing; the build makes it.
        KeyError: The file is not a table of this kind.
    """
    with path.open(encoding="utf-8") as file:
        found = json.load(file)
    return TableFile(
        version=found["version"],
        digest=found["digest"],
        built_on=found["built_on"],
        seed=found["seed"],
        draw_count=found["draw_count"],
        priors=found["priors"],
        diameter_mm=found["diameter_mm"],
        root_contact_s=[math.sqrt(one) for one in found["contact_s"]],
        contact_s=found["contact_s"],
        bands=found["bands"],
        nominal=found["nominal"],
        draws={
            applicator: {site: unpack(text) for site, text in sites.items()}
            for applicator, sites in found["draws"].items()
        },
        cycles=found["cycles"],
        far_side=found["far_side"],
        raised=found["raised"],
        through=found["through"],
    )


def digest(table: dict[str, Any]) -> str:
    """SHA-256 of the table in canonical JSON, without the digest itself and the build date.

    The same numbers have the same digest, whenever they were computed.

    >>> digest({"b": 1, "a": 2, "digest": "x", "built_on": "y"}) == digest({"a": 2, "b": 1})
    True
    """
    rest = {name: value for name, value in table.items() if name not in ("digest", "built_on")}
    canonical = json.dumps(rest, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return "sha-256:" + hashlib.sha256(canonical.encode("utf-8")).hexdigest()


def pack(numbers: list[int]) -> str:
    """Whole numbers from -32768 to 32767 as text (16 bits, low byte first, base 64).

    >>> unpack(pack([0, -1, 300])).tolist()
    [0, -1, 300]
    """
    packed = array("h", numbers)
    if sys.byteorder == "big":
        packed.byteswap()
    return base64.b64encode(packed.tobytes()).decode("ascii")


def unpack(text: str) -> array[int]:
    """The numbers that `pack` wrote."""
    numbers = array("h", base64.b64decode(text))
    if sys.byteorder == "big":
        numbers.byteswap()
    return numbers
