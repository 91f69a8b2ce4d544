"""Put the answer for one lesion together from what the decisions found before the freeze.

Without a permission there is no method and no plan: a plan beside "do not freeze" gets followed. Cautions are given
but for those that only matter for a freeze, where none is given. Every statement carries its reasons.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, cast

from decision.applicator import APPLICATORS, fitting, obstacle, wanted_diameter_mm, with_obstacle
from decision.calendar import date_after, date_in_words
from decision.case import Case
from decision.decision_node import TOLD_UP_TO
from decision.decisions import Run
from decision.freeze.lookup import FreezeTable
from decision.lesion_estimate import estimate_of, thaw_note, thaw_of
from decision.reach import halo_within, reach_note, reach_of
from decision.recommendation import (
    AlternativeStatement,
    Caution,
    Estimate,
    LesionAnswer,
    Method,
    Plan,
    Reason,
    Status,
    Suitability,
)
from decision.rule import Rule
from decision.telling import NOT_NOW, Teller
from decision.tilt_estimate import FIRST_CONTRACT
from decision.trace import trace_of

__all__ = ["LesionAnswers"]

URGENCIES = ("critical", "warning", "info")
INSTEAD = ("alternatives", "other_ways")
OF_A_FREEZE = ("plan", "preparation", "precautions", "aftercare", "calendar")  # told only where one can be


class LesionAnswers:
    """Writes answers for the lesions of a case, by one rule book."""

    def __init__(self, teller: Teller, table: FreezeTable, contract: int) -> None:
        """Keep what tells the decisions before a freeze, the freeze table, and the answer contract."""
        self._table = table
        self._contract = contract
        self._as_first = (
            contract == FIRST_CONTRACT
        )  # which concluded the plan as ruled, and a calendar without a freeze
        self._tell = teller

    def answer(self, lesion_id: str, run: Run, case: Case, *, trace: bool) -> LesionAnswer:
        """Write the answer for one lesion."""
        method = self._method(run, case)
        untold = self._untold(method)
        suitability = self._suitability(run, method)
        plan = self._plan(run, method)
        answer: LesionAnswer = {
            "lesion_id": lesion_id,
            "status": self._status(run, suitability, method, plan),
            "suitability": suitability,
            "alternatives": self._alternatives(run, case),
            "method": method,
            "plan": plan,
            "estimate": self._estimate(run, method, plan),
            "cautions": self._cautions(run, untold),
            "preparation": [] if "preparation" in untold else self._tell.steps(run, "preparation"),
            "precautions": [] if "precautions" in untold else self._tell.steps(run, "precautions"),
            "aftercare": [] if "aftercare" in untold else self._tell.steps(run, "aftercare"),
            "calendar": []
            if "calendar" in untold
            else self._tell.milestones(run, "calendar", case.as_of, case.holidays),
            "ask_next": [
                one
                for one in self._tell.questions(run)
                if one["input"] not in case.sizes_at_hand and (method is None or one["decision"] not in untold)
            ],
            "presumed": self._tell.presumed(run),
        }
        if not trace:
            return answer
        rules = [rule for name in untold for rule in self._tell.holding(run, name)]
        rules += [rule for rule in self._tell.told(run, "cautions") if _untold_too(rule, untold)]
        found = trace_of(self._tell, run)
        return {**answer, **found, "not_told": [*found["not_told"], *self._tell.outlined(rules, run)]}

    def _untold(self, method: Method | None) -> tuple[str, ...]:
        """The decisions about a freeze of which nothing is told: all where none can be, and days while it is open."""
        if self._as_first:
            return ()
        if method is None:
            return ("calendar",)
        return OF_A_FREEZE if method["available"] is False else ()

    def _suitability(self, run: Run, method: Method | None) -> Suitability:
        found, stated = self._tell.ladder(run, "suitability"), run.stated_ranges["suitability"]
        not_now = [
            rule.conclude[NOT_NOW] for name in ("precautions", "preparation") for rule in self._tell.not_now(run, name)
        ]
        against = obstacle(method, not_now) if "method" in run.hits else None  # asked only where freezing is permitted
        return {
            "verdict": found["answer"],
            "settled": found["settled"],
            "at_least": found["at_least"],
            "could_become": found["could_become"],
            "without_presumptions": {"at_least": stated.at_least, "could_become": stated.could_become},
            "obstacle": against,
            "summary": f"{with_obstacle(found['summary'].removesuffix('.'), against)}.",
            "reasons": found["reasons"],
        }

    def _alternatives(self, run: Run, case: Case) -> list[AlternativeStatement]:
        """What to do instead: where freezing is forbidden, and where it is permitted and no applicator will do.

        A statement with a date is of this case alone, and is not kept for others.
        """
        told: list[AlternativeStatement] = []
        for rule in (rule for name in INSTEAD for rule in self._tell.holding(run, name)):
            date = _date_after_freeze(rule, run, case)
            if date is None:
                told += self._tell.statements([rule], run, self._alternative)
            else:
                said = self._alternative(rule, self._tell.reasons([rule], run))
                told.append({**said, "by_when": f"{said['by_when']}: from {date_in_words(date)}", "from_date": date})
        return told

    def _alternative(self, rule: Rule, reasons: list[Reason]) -> AlternativeStatement:
        what, by_when = rule.conclude["what"], rule.conclude["by_when"]
        words = self._tell.nodes[rule.decision].fields["what"]["one_of"][what]
        return {"what": what, "in_words": words, "by_when": by_when, "from_date": None, "reasons": reasons}

    def _method(self, run: Run, case: Case) -> Method | None:
        found = run.ranges.get("method")
        if found is None or found.answer is None:
            return None
        node, applicator = self._tell.nodes["method"], found.answer
        rules = [rule for rule in self._tell.holding(run, "method") if rule.conclude["applicator"] == applicator]
        wanted = wanted_diameter_mm(applicator, run.known)
        at_hand = case.sizes_at_hand.get(APPLICATORS.get(applicator, ""))
        size = fitting(wanted, at_hand) if wanted is not None and at_hand is not None else None
        available = None if at_hand is None or wanted is None else size is not None
        return {
            "applicator": applicator,
            "contact_diameter_mm": size,
            "wanted_diameter_mm": wanted,
            "available": False if applicator == "none" else available,
            "summary": _method_summary(node.answers[applicator], wanted, size, available),
            "reasons": self._tell.reasons(rules, run),
        }

    def _plan(self, run: Run, method: Method | None) -> Plan | None:
        """The plan; none when nothing at hand fits, for a plan with a wrong size would be followed."""
        if "plan" not in run.hits or method is None or method["available"] is False:
            return None
        rules = self._tell.holding(run, "plan")
        plan: dict[str, Any] = dict.fromkeys(self._tell.nodes["plan"].quantities)
        for rule in rules:
            plan.update(rule.conclude)
        if plan["cycles"] == 1 and not self._as_first:  # nothing is frozen again, so there is nothing to wait for
            plan["wait_between_cycles_s"] = None
        notes = {"thaw_s": None, "thaw_note": None, "reach_note": None}
        return cast("Plan", {**plan, **notes, "reasons": []})

    def _estimate(self, run: Run, method: Method | None, plan: Plan | None) -> Estimate | None:
        """The estimate of the plan, whose thaw the plan then shows, and against which its halo is held."""
        if method is None or plan is None:
            return None
        estimate = estimate_of(self._table, method, plan, run.known, self._contract)
        plan["thaw_s"] = thaw_of(estimate)
        plan["thaw_note"] = thaw_note(plan["thaw_s"])
        reach, halo = reach_of(estimate, run.known), plan["halo_mm"]
        plan["halo_mm"] = halo if self._as_first else halo_within(halo, reach)
        plan["reach_note"] = reach_note(reach, halo_dropped=plan["halo_mm"] is not halo)
        given = {name for name in self._tell.nodes["plan"].quantities if plan.get(name) is not None}
        rules = [rule for rule in self._tell.holding(run, "plan") if given & rule.conclude.keys()]
        plan["reasons"] = self._tell.reasons(rules, run)
        return estimate

    def _cautions(self, run: Run, untold: Sequence[str]) -> list[Caution]:
        told = [rule for rule in self._tell.told(run, "cautions") if not _untold_too(rule, untold)]
        rules = sorted(told, key=lambda rule: URGENCIES.index(rule.conclude["urgency"]))
        return self._tell.statements(rules, run, _caution)

    def _status(self, run: Run, suitability: Suitability, method: Method | None, plan: Plan | None) -> Status:
        """FHIR GuidanceResponse's words: cannot answer, answered and more would improve it, or answered."""
        if suitability["verdict"] is None:
            return "data-required"
        unsettled = not suitability["settled"] or ("method" in run.hits and method is None)
        waiting = plan is not None and bool(run.hits["plan"].unknown)
        return "data-requested" if unsettled or waiting else "success"


def _date_after_freeze(rule: Rule, run: Run, case: Case) -> str | None:
    """The date that a statement counts from the last freeze: None where it counts none or the freeze has no day."""
    days, since = rule.conclude.get("days_after_freeze"), run.known.get("days_since_last_freeze")
    if days is None or since is None:
        return None
    return date_after(case.as_of, math.ceil(days - float(since)))


def _untold_too(caution: Rule, untold: Sequence[str]) -> bool:
    """Whether a caution only matters for a freeze, and there can be none."""
    return TOLD_UP_TO in caution.conclude and "precautions" in untold


def _caution(rule: Rule, reasons: list[Reason]) -> Caution:
    said = rule.conclude
    return {"urgency": said["urgency"], "summary": said["summary"], "detail": said["detail"], "reasons": reasons}


def _method_summary(words: str, wanted: Any, size: float | None, available: bool | None) -> str:
    said = f"{words[0].upper()}{words[1:]}"
    if wanted is None:
        return f"{said}."
    would = f"{wanted['low']:g} to {wanted['high']:g} mm"
    if size is not None:
        return f"{said}, {size:g} mm across ({would} would do)."
    if available is False:
        return f"{said}, but nothing at hand fits: {would} would do."
    return f"{said}, {would} across; the sizes at hand were not stated."
