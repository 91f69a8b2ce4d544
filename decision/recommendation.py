"""The answer as data: JSON-shaped, every field named with its unit.

These are the types of what `RuleBook.recommend` returns and of what the service sends. They also make the OpenAPI
document, so that code and document cannot differ. Nothing is computed here.
"""

from __future__ import annotations

from typing import Any, Literal, NotRequired

from typing_extensions import TypedDict

__all__ = [
    "AlternativeStatement",
    "ApplicatorEstimate",
    "Band",
    "BookReference",
    "CalendarFigure",
    "Caution",
    "CycleEstimate",
    "CycleReview",
    "Estimate",
    "Evidence",
    "FarSideEstimate",
    "Finding",
    "HealingReview",
    "HolidayApplied",
    "LesionAnswer",
    "Method",
    "Milestone",
    "OpenRule",
    "Outranked",
    "Plan",
    "Presumed",
    "Question",
    "QuestionChange",
    "Range",
    "Reason",
    "Recommendation",
    "Review",
    "SecondsBand",
    "SideEstimate",
    "Sides",
    "Step",
    "StillOpen",
    "Suitability",
    "TableReference",
    "ThawSeen",
    "TiltEstimate",
    "Trace",
    "Window",
]

Status = Literal["success", "data-requested", "data-required"]


class Finding(TypedDict):
    """One test of a rule, held against the case."""

    input: str
    test: str
    given: bool | float | str | None
    finding: Literal["met", "not met", "not stated"]


class Evidence(TypedDict):
    """What a rule rests on. No citation means common practice without a source.

    `measured_in` are the species in which its sources measured what it says, none where nobody did. In an answer
    `species_direct` is true where the stated species of the patient is one of them; of a rule by itself, where there
    are any. They always stand there; only an answer that was kept before they were named is read without them.
    """

    certainty: str
    strength: str
    citations: list[str]
    species_direct: bool
    measured_in: NotRequired[list[str]]
    cryogen_direct: bool
    limits: str


class Reason(TypedDict):
    """Why a statement is made: the rule, its findings in this case, and its evidence."""

    rule: str
    title: str
    because: list[Finding]
    explanation: str
    evidence: Evidence


class OpenRule(TypedDict):
    """A rule that does not apply, with its findings (`?trace=full` only)."""

    rule: str
    title: str
    because: list[Finding]


class StillOpen(OpenRule):
    """A rule that the stated facts leave open, and what it needs: inputs that may be stated, or earlier decisions."""

    needs: list[str]


class Outranked(OpenRule):
    """A rule that holds and did not decide: what it says, the answer that outranks it, and the rules that bring that.

    `outranked_by` names every rule of the same ladder that holds and is more cautious, the most cautious first.
    """

    decision: str
    says: str
    outranked_by_answer: str
    outranked_by: list[str]


class Trace(TypedDict):
    """Every rule that was asked and is no reason: `?trace=full` adds it to an answer.

    `not_told` are statements that hold and only matter for a freeze, where none is given.
    """

    outranked: list[Outranked]
    still_open: list[StillOpen]
    did_not_apply: list[OpenRule]
    not_told: list[OpenRule]


class Range(TypedDict):
    """From the most cautious answer that holds to the most cautious one that still could."""

    at_least: str | None
    could_become: str | None


class Suitability(TypedDict):
    """May the lesion be frozen? A permission stands only when it is settled; no verdict is never a permission.

    `obstacle` says what stands against the freeze that is permitted: nothing fits, the applicator is still open, or not
    as things stand (oxygen near, a hot canister). Null where nothing does, and without a permission.
    """

    verdict: str | None
    settled: bool
    at_least: str | None
    could_become: str | None
    without_presumptions: Range
    obstacle: str | None
    summary: str
    reasons: list[Reason]


class AlternativeStatement(TypedDict):
    """What to do instead of freezing, and by when; `from_date` is the day from which the lesion is looked at again.

    That day is null where the answer cannot count it. Where it can, `by_when` says it too.
    """

    what: str
    in_words: str
    by_when: str
    from_date: str | None
    reasons: list[Reason]


class Method(TypedDict):
    """Cone or foam tip, and its size from those at hand; null where the sizes at hand are not stated."""

    applicator: str
    contact_diameter_mm: float | None
    wanted_diameter_mm: Window | None
    available: bool | None
    summary: str
    reasons: list[Reason]


class Window(TypedDict):
    """A closed window."""

    low: float
    high: float


class Band(TypedDict):
    """Three quantiles of a computed band: in ten freezes, one lies below p10 and one above p90."""

    p10: float
    p50: float
    p90: float


class CycleEstimate(TypedDict):
    """What one cycle reaches. A zone that vanishes is null."""

    cycle: int
    ice_depth_mm: Band | None
    depth_minus25_mm: Band | None
    ice_past_edge_mm: Band | None
    thaw_s: Band | None


class SideEstimate(TypedDict):
    """What one cycle reaches on one side of a tilted pool; where there is no band, `refused` says why."""

    depth_mm: float
    contact_s: float
    ice_depth_mm: Band | None
    depth_minus25_mm: Band | None
    refused: str | None


class Sides(TypedDict):
    """The two sides of a tilted pool."""

    shallow: SideEstimate
    deep: SideEstimate


class TiltEstimate(TypedDict):
    """What a tilt does to the first cycle of a cone: both sides, or why the pool does not stand."""

    degrees: float
    fill_mm: float
    by_side: Sides | None
    refused: str | None
    rests_on: str


class SecondsBand(TypedDict):
    """Quantiles of a time that may never come: null where more freezes than that do not come to it within 60 s."""

    p10: float | None
    p50: float | None
    p90: float | None
    never_share: float


class FarSideEstimate(TypedDict):
    """After how many seconds of contact the cold is through thin tissue, or why that cannot be said.

    `strong_s` is that of contact as good as it may be, by which harm is judged; null where not within 60 s.
    """

    backing: str
    thickness_mm: float
    strong_s: float | None
    ice_s: SecondsBand | None
    minus25_s: SecondsBand | None
    refused: str | None
    rests_on: str


class ApplicatorEstimate(TypedDict):
    """The estimate for one applicator: cycle by cycle, or why there is none.

    A tilt matters to a cone alone, a far side to thin tissue of a stated thickness.
    """

    applicator: str
    contact_diameter_mm: float | None
    contact_s: float | None
    by_cycle: list[CycleEstimate]
    tilted: TiltEstimate | None
    far_side: FarSideEstimate | None
    refused: str | None


class TableReference(TypedDict):
    """Which freeze table was asked."""

    version: str
    digest: str


class Estimate(TypedDict):
    """How deep and wide the freeze goes and how long it thaws: computed, never measured, never one figure."""

    basis: str
    freeze_table: TableReference
    cryogen: str
    site_class: str | None
    by_applicator: list[ApplicatorEstimate]
    limits: str


class Plan(TypedDict):
    """How much, how long and how often. A quantity that no rule settles, or that the plan has no use for, is null.

    By its estimate a plan may not reach all it is meant to: `reach_note` says so, and then no halo is to be aimed for.
    The wait between cycles is counted from full thaw (soft, colour back), not from lifting the applicator.
    """

    cycles: float | None
    fill_depth_mm: Window | None
    spray_s: Window | None
    contact_s: Window | None
    wait_between_cycles_s: Window | None
    halo_mm: Window | None
    thaw_s: Band | None
    thaw_note: str | None
    reach_note: str | None
    reasons: list[Reason]


class Caution(TypedDict):
    """What the vet must know beside this verdict."""

    urgency: str
    summary: str
    detail: str
    reasons: list[Reason]


class Step(TypedDict):
    """Something to do, to guard against, or to watch for; `kind` says which where the decision tells them apart.

    `not_now` says why nothing may be frozen before it is done; such steps stand first.
    """

    step: str
    detail: str
    not_now: NotRequired[str]
    kind: NotRequired[str]
    reasons: list[Reason]


class QuestionChange(TypedDict):
    """An answer that the open question could bring; alone = it is that rule's last open test."""

    answer: str
    alone: bool


class Question(TypedDict):
    """A fact that is not stated and could move an answer."""

    input: str
    question: str
    unit: str | None
    allowed: dict[str, str] | None
    decision: str
    why: str
    could_change_to: list[QuestionChange]


class Presumed(TypedDict):
    """A fact that was not stated and was presumed, with the answers it could bring if it is wrong."""

    input: str
    question: str
    presumed: bool | float | str
    because: str
    if_wrong: list[str]


class LesionAnswer(TypedDict):
    """Everything said of one lesion. Without a permission there is no method and no plan."""

    lesion_id: str
    status: Status
    suitability: Suitability
    alternatives: list[AlternativeStatement]
    method: Method | None
    plan: Plan | None
    estimate: Estimate | None
    cautions: list[Caution]
    preparation: list[Step]
    precautions: list[Step]
    aftercare: list[Step]
    calendar: list[Milestone]
    ask_next: list[Question]
    presumed: list[Presumed]
    outranked: NotRequired[list[Outranked]]
    still_open: NotRequired[list[StillOpen]]
    did_not_apply: NotRequired[list[OpenRule]]
    not_told: NotRequired[list[OpenRule]]


class BookReference(TypedDict):
    """Which rule book answered."""

    version: str
    digest: str


class Framed(TypedDict):
    """What every answer says of itself: how far it got, what answered, and of which case."""

    status: Status
    rule_book: BookReference
    answer_contract: int
    engine_version: str
    freeze_table: TableReference
    case_digest: str
    conclusion_digest: str
    as_of: str
    notice: str
    sources: dict[str, Any]


class Recommendation(Framed):
    """The answer to a case. It can be run again: same case, same rule book, same conclusion."""

    lesions: list[LesionAnswer]


class HolidayApplied(TypedDict):
    """A public holiday that moved a date."""

    date: str
    name: str


class CalendarFigure(TypedDict):
    """One figure for a milestone: published, or common practice."""

    basis: str
    from_day: float
    to_day: float
    reasons: list[Reason]


class Milestone(TypedDict):
    """What to expect from when to when; the window holds all figures. Day 0 is the day of the freeze.

    A visit keeps clear of weekends and of the public holidays of `holidays_of`; where that is null none are known.
    """

    milestone: str
    in_words: str
    from_day: float
    to_day: float
    from_date: str | None
    to_date: str | None
    visit_on: str | None
    holidays_of: str | None
    holidays_applied: list[HolidayApplied]
    figures: list[CalendarFigure]


class ThawSeen(TypedDict):
    """The observed thaw beside the band of this applicator and site."""

    observed_s: float
    band: Band | None
    stands: str | None
    note: str | None


class Review(TypedDict):
    """The answer of a review, as a range like a verdict's. An answer that asks for more cold stands only settled."""

    answer: str | None
    settled: bool
    at_least: str | None
    could_become: str | None
    summary: str
    reasons: list[Reason]


class CycleReview(Framed):
    """Was this cycle enough? What to change next time, how long to wait, and the band narrowed by the thaw."""

    review: Review
    planned_cycles: float | None
    wait_between_cycles_s: Window | None
    next_time: list[Step]
    thaw: ThawSeen | None
    estimate: CycleEstimate | None
    estimate_note: str
    ask_next: list[Question]
    presumed: list[Presumed]
    outranked: NotRequired[list[Outranked]]
    still_open: NotRequired[list[StillOpen]]
    did_not_apply: NotRequired[list[OpenRule]]
    not_told: NotRequired[list[OpenRule]]


class HealingReview(Framed):
    """Is it healing as it should? What to do, and when."""

    review: Review
    frozen_on: str | None
    next_steps: list[Step]
    calendar: list[Milestone]
    ask_next: list[Question]
    presumed: list[Presumed]
    outranked: NotRequired[list[Outranked]]
    still_open: NotRequired[list[StillOpen]]
    did_not_apply: NotRequired[list[OpenRule]]
    not_told: NotRequired[list[OpenRule]]
