"""Put the answers of the two reviews together: was this cycle enough, and is it healing?

A thaw is held only against the band of that applicator and site. Where the answer asks for more cold it stands only
when settled; in doubt the answer is less cold.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any, cast

from decision.case import Case
from decision.decisions import Run
from decision.freeze.answers import FreezeRefusal
from decision.freeze.cryogen import cryogen_validity
from decision.freeze.lookup import FreezeTable
from decision.lesion_estimate import cycle_estimate, thaw_note
from decision.recommendation import Band, CycleEstimate, Milestone, Status, ThawSeen, Window
from decision.telling import Teller
from decision.tilt_estimate import FIRST_CONTRACT
from decision.vocabulary import Value

__all__ = ["CycleReviews", "HealingReviews"]

OF_ANOTHER_FREEZE = frozenset({"retreat_decision", "not_again_before"})
NEEDED = ("applicator_used", "contact_diameter_mm", "contact_seconds", "site_class")


class CycleReviews:
    """Writes reviews of one freeze-thaw cycle."""

    def __init__(self, teller: Teller, table: FreezeTable) -> None:
        """Keep what tells the decisions during a freeze, and the freeze table."""
        self._table = table
        self._tell = teller

    def answer(self, run: Run) -> dict[str, Any]:
        """Write the review, without the frame that every answer has."""
        review = self._tell.ladder(run, "cycle_review")
        band, narrowed, note = self._estimates(run.known)
        plan: dict[str, Any] = {}
        for rule in self._tell.holding(run, "plan"):
            plan.update(rule.conclude)
        return {
            "status": _status(review["answer"], settled=review["settled"]),
            "review": review,
            "planned_cycles": plan.get("cycles"),
            "wait_between_cycles_s": cast("Window | None", plan.get("wait_between_cycles_s")),
            "next_time": self._tell.steps(run, "next_time"),
            "thaw": _thaw(run.known, band),
            "estimate": narrowed,
            "estimate_note": note,
            "ask_next": self._tell.questions(run),
            "presumed": self._tell.presumed(run),
        }

    def _estimates(self, known: Mapping[str, Value]) -> tuple[Band | None, CycleEstimate | None, str]:
        """The thaw's band before the cycle, the band of the freeze narrowed by the observed thaw, and what to say."""
        validity = cryogen_validity(str(known.get("cryogen", "dimethyl_ether_propane")))
        if not validity.validated:
            return None, None, validity.statement
        if any(name not in known for name in NEEDED):
            return None, None, "Applicator, size, contact time and site give the band; one of them is not stated."
        cycle = int(float(known.get("cycle_number", 1.0)))
        where: Any = [known[name] for name in NEEDED]
        wide = self._table.estimate(where[0], where[1], where[2], where[3], cycle=min(cycle, 3))
        if isinstance(wide, FreezeRefusal):
            return None, None, wide.in_words
        before = cycle_estimate(cycle, wide)
        thaw_s = known.get("observed_thaw_s")
        if thaw_s is None:
            return before["thaw_s"], before, wide.limits
        narrow = self._table.given_thaw(
            where[0], where[1], where[2], where[3], observed_thaw_s=float(thaw_s), cycle=min(cycle, 3)
        )
        if isinstance(narrow, FreezeRefusal):
            return before["thaw_s"], before, f"{narrow.in_words} The band is that without the observed thaw."
        return before["thaw_s"], cycle_estimate(cycle, narrow), narrow.limits


class HealingReviews:
    """Writes reviews of healing."""

    def __init__(self, teller: Teller, contract: int) -> None:
        """Keep what tells the decisions after a freeze, and the answer contract: the first told days that were over."""
        self._tell = teller
        self._tells_all = contract == FIRST_CONTRACT

    def answer(self, run: Run, case: Case) -> dict[str, Any]:
        """Write the review, without the frame that every answer has."""
        review = self._tell.ladder(run, "healing_review")
        frozen_on = _frozen_on(run.known, case.as_of)
        return {
            "status": _status(review["answer"], settled=review["settled"]),
            "review": review,
            "frozen_on": None if frozen_on is None else frozen_on.isoformat(),
            "next_steps": self._tell.steps(run, "next_steps"),
            "calendar": [] if frozen_on is None else self._ahead(run, frozen_on, case),
            "ask_next": self._tell.questions(run),
            "presumed": self._tell.presumed(run),
        }

    def _ahead(self, run: Run, frozen_on: datetime.date, case: Case) -> list[Milestone]:
        """What is still ahead; no day for another freeze where there is to be none, whatever else stands first."""
        since = None if self._tells_all else case.as_of
        ahead = self._tell.milestones(run, "calendar", frozen_on, case.holidays, since)
        stopped = any(rule.conclude.get("answer") == "stop" for rule in self._tell.holding(run, "healing_review"))
        return [one for one in ahead if not (stopped and one["milestone"] in OF_ANOTHER_FREEZE)]


def _status(answer: str | None, *, settled: bool) -> Status:
    if answer is None:
        return "data-required"
    return "success" if settled else "data-requested"


def _thaw(known: Mapping[str, Value], band: Band | None) -> ThawSeen | None:
    seen = known.get("observed_thaw_s")
    if seen is None:
        return None
    stands = known.get("thaw_against_band")
    return {
        "observed_s": float(seen),
        "band": band,
        "stands": None if stands is None else str(stands),
        "note": thaw_note(band),
    }


def _frozen_on(known: Mapping[str, Value], as_of: datetime.date) -> datetime.date | None:
    days = known.get("days_since_freeze")
    if days is None:
        return None
    try:
        return as_of - datetime.timedelta(days=float(days))
    except OverflowError:
        return None
