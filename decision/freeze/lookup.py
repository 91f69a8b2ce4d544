"""Look up what a freeze reaches: three quantiles, within the table or not at all.

Standard library only. The table was made by `build_table.py`; this module blends its
nodes, linear in diameter and in the square root of time, and refuses what lies outside.
`narrowing.py` narrows a band by an observed thaw; `thin_tissue.py` has what lies behind thin tissue.

>>> table = load_freeze_table()
>>> table.estimate("foam_tip", 8, 20, "trunk")
FreezeRefusal(reason='contact_diameter_mm is 8; for a foam tip it must be from 2 to 7 mm.')
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from decision.freeze.answers import (
    Applicator,
    Backing,
    Band,
    FarSide,
    Freeze,
    FreezeEstimate,
    FreezeRefusal,
    SecondsBand,
    SiteClass,
)
from decision.freeze.cryogen import CryogenValidity, cryogen_validity
from decision.freeze.cycles import change_of_cycle, changed
from decision.freeze.estimate import estimate_from
from decision.freeze.interpolation import Corner, blend, corners, place
from decision.freeze.narrowing import matching_draws
from decision.freeze.ranges import NotCovered, check_code, check_diameter, check_number
from decision.freeze.table_file import TABLE, TableFile, read_table
from decision.freeze.thin_tissue import far_side_of

__all__ = [
    "Applicator",
    "Backing",
    "Band",
    "CryogenValidity",
    "FarSide",
    "Freeze",
    "FreezeEstimate",
    "FreezeRefusal",
    "FreezeTable",
    "SecondsBand",
    "SiteClass",
    "answering_by",
    "cryogen_validity",
    "freeze_table_at",
    "freeze_table_in_use",
    "load_freeze_table",
]

# Derived quantities are functions of facts alone, so that the table they read is named around them.
_IN_USE: ContextVar[FreezeTable | None] = ContextVar("freeze_table", default=None)


@dataclass(frozen=True, slots=True, eq=False)
class FreezeTable:
    """The table, ready to be asked. Equal only to itself.

    `version`, `digest` (SHA-256 of the canonical JSON) and `priors` identify and explain
    what was computed.
    """

    version: str
    digest: str
    priors: dict[str, Any]
    file: TableFile = field(repr=False)

    def estimate(
        self,
        applicator: Applicator,
        contact_diameter_mm: float,
        contact_s: float,
        site_class: SiteClass,
        *,
        cycle: int = 1,
        wait_after_thaw_s: float = 60,
    ) -> FreezeEstimate | FreezeRefusal:
        """Estimate one freeze of deep tissue.

        Args:
            applicator: "cone" (a pool kept wet for the whole contact) or "foam_tip".
            contact_diameter_mm: 3 to 15 for a cone, 2 to 7 for a foam tip.
            contact_s: 5 to 40 seconds.
            site_class: "trunk" (34 C, fat below), "distal" (28 C) or "mucosa" (36 C; lids).
            cycle: 1, 2 or 3. Depths are those reached by then; thaw is that cycle's own.
            wait_after_thaw_s: 0 to 600 seconds of rest before cycles 2 and 3; beyond 180 s
                the change of 180 s is used, which is the most it can be.

        Returns:
            The estimate, or a refusal with its reason.
        """
        try:
            around = self._around(applicator, contact_diameter_mm, contact_s, site_class)
            change = change_of_cycle(
                self.file.cycles, (applicator, site_class), (contact_diameter_mm, contact_s),
                cycle, wait_after_thaw_s,
            )  # fmt: skip
        except NotCovered as fault:
            return FreezeRefusal(str(fault), fault.words)
        rows = self.file.bands[applicator][site_class]
        return estimate_from(
            changed(blend(rows, around), change),
            [rows[corner.row][corner.column] for corner in around],
            0.5 * contact_diameter_mm,
        )

    def answer(self, freeze: Freeze, *, wait_after_thaw_s: float = 60) -> FreezeEstimate | FreezeRefusal:
        """Estimate a freeze that is stated as data; thin tissue is refused."""
        if freeze.backing != "deep":
            return FreezeRefusal(
                f'backing is "{freeze.backing}"; a band of depths exists for "deep" only. For thin tissue ask far_side.'
            )
        return self.estimate(
            freeze.applicator,  # type: ignore[arg-type]
            freeze.contact_diameter_mm,
            freeze.contact_s,
            freeze.site_class,  # type: ignore[arg-type]
            cycle=freeze.cycle,
            wait_after_thaw_s=wait_after_thaw_s,
        )

    def given_thaw(
        self,
        applicator: Applicator,
        contact_diameter_mm: float,
        contact_s: float,
        site_class: SiteClass,
        observed_thaw_s: float,
        *,
        cycle: int = 1,
        wait_after_thaw_s: float = 60,
    ) -> FreezeEstimate | FreezeRefusal:
        """Narrow the band to the draws that thaw about as long as was seen.

        Args:
            applicator: As for `estimate`.
            contact_diameter_mm: As for `estimate`.
            contact_s: As for `estimate`.
            site_class: As for `estimate`.
            observed_thaw_s: Seconds from lifting to the end of white, above 0.
            cycle: As for `estimate`.
            wait_after_thaw_s: As for `estimate`.

        Returns:
            The narrower estimate, or a refusal when no draw thaws like that.
        """
        try:
            around = self._around(applicator, contact_diameter_mm, contact_s, site_class)
            change = change_of_cycle(
                self.file.cycles, (applicator, site_class), (contact_diameter_mm, contact_s),
                cycle, wait_after_thaw_s,
            )  # fmt: skip
            seen = check_number("observed_thaw_s", observed_thaw_s, 0.5, 1200, unit="s")
            quantiles = matching_draws(
                self.file.draws[applicator][site_class],
                [(corner.row * len(self.file.contact_s) + corner.column, corner.weight)
                 for corner in around],
                self.file.draw_count,
                seen,
                slower=change.thaw_factor[1],
            )  # fmt: skip
        except NotCovered as fault:
            return FreezeRefusal(str(fault), fault.words)
        return estimate_from(changed(quantiles, change), [quantiles], 0.5 * contact_diameter_mm)

    def far_side(
        self,
        applicator: Applicator,
        contact_diameter_mm: float,
        backing: Backing,
        thickness_mm: float,
    ) -> FarSide | FreezeRefusal:
        """Seconds of contact until ice reaches the far side of thin tissue.

        Args:
            applicator: "cone" or "foam_tip".
            contact_diameter_mm: As for `estimate`.
            backing: "air" (ear flap, web), "globe" (a lid) or "bone".
            thickness_mm: 0.5 to 4 mm, all the tissue between contact and backing.

        Returns:
            Nominal and strong-contact seconds, and bands over all draws, None where not within
            60 s; or a refusal.
        """
        try:
            return far_side_of(self.file, applicator, contact_diameter_mm, backing, thickness_mm)
        except NotCovered as fault:
            return FreezeRefusal(str(fault), fault.words)

    def _around(self, applicator: str, contact_diameter_mm: float, contact_s: float, site_class: str) -> list[Corner]:
        """The nodes around a freeze, or NotCovered."""
        file = self.file
        check_code("applicator", applicator, file.diameter_mm)
        axis = file.diameter_mm[applicator]
        diameter = check_diameter(applicator, contact_diameter_mm, axis)
        low_s, high_s = file.contact_s[0], file.contact_s[-1]
        seconds = check_number("contact_s", contact_s, low_s, high_s, unit="s")
        check_code("site_class", site_class, file.bands[applicator])
        return corners(place(axis, diameter), place(file.root_contact_s, math.sqrt(seconds)))


@cache
def load_freeze_table() -> FreezeTable:
    """Read the table that is shipped; once for each process."""
    return freeze_table_at(TABLE)


def freeze_table_at(path: Path) -> FreezeTable:
    """Read a table from a file. Raises as `table_file.read_table`."""
    file = read_table(path)
    return FreezeTable(version=file.version, digest=file.digest, priors=file.priors, file=file)


def freeze_table_in_use() -> FreezeTable:
    """The table of the rule book that is answering; the one that is shipped, where none is named."""
    return _IN_USE.get() or load_freeze_table()


@contextmanager
def answering_by(table: FreezeTable) -> Iterator[None]:
    """Let quantities be derived from a table meanwhile: a released rule book answers by its own."""
    before = _IN_USE.set(table)
    try:
        yield
    finally:
        _IN_USE.reset(before)
