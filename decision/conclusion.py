"""The conclusion of an answer: what was known, the outcome of every rule, verdicts, numbers and dates; no text.

Same case, same rule book, same freeze table, same answer contract: the same conclusion, whatever the engine. Its
digest is what a reproduction is held against. Of a rule book of the first contract it is concluded as it was then,
with the refusal of a side of a tilted pool in its words; only the far side of lips and thin folds, which nobody
computed then, is in it now.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from typing import Any

import orjson

from decision.decisions import Hits, Run
from decision.evaluator import Outcome
from decision.recommendation import Status
from decision.record import case_bytes, sha256_of
from decision.tilt_estimate import FIRST_CONTRACT

__all__ = ["conclusion_digest", "conclusion_of", "worst_status"]

HOLDS, UNKNOWN = int(Outcome.HOLDS), int(Outcome.UNKNOWN)

# The parts of an answer that hold verdicts, numbers and dates. Known facts and outcomes are taken from the run itself.
WINDOWS = ("cycles", "fill_depth_mm", "spray_s", "contact_s", "wait_between_cycles_s", "halo_mm")
SIDE = ("depth_mm", "contact_s", "ice_depth_mm", "depth_minus25_mm")
SIDE_OF_FIRST_CONTRACT = (*SIDE, "refused")
FAR_SIDE = ("strong_s", "ice_s", "minus25_s")


def conclusion_of(answer: Mapping[str, Any], run: Run, contract: int, unnamed: Container[str] = frozenset()) -> bytes:
    """What an answer concludes under an answer contract, as RFC 8785 bytes: those of its parts, put together.

    Args:
        answer: The answer.
        run: What the decisions found.
        contract: The answer contract of the rule book.
        unnamed: Quantities that are computed and that its vocabulary does not name: they may be newer than it.
    """
    known = {name: value for name, value in run.known.items() if name not in unnamed} if unnamed else run.known
    outcomes = {name: _live(hits) for name, hits in run.hits.items()}
    ranges = {
        name: [found.at_least or "", found.could_become or "", found.answer or ""] for name, found in run.ranges.items()
    }
    parts = (
        case_bytes(known),
        orjson.dumps(outcomes, option=orjson.OPT_SORT_KEYS),  # outcomes are whole, and texts have one form
        orjson.dumps(ranges, option=orjson.OPT_SORT_KEYS),
        case_bytes(_numbers(answer, SIDE_OF_FIRST_CONTRACT if contract == FIRST_CONTRACT else SIDE)),
        orjson.dumps(run.presumed),
    )
    return b"[%b]" % b",".join(parts)


def conclusion_digest(conclusions: Iterable[bytes]) -> str:
    """SHA-256 over the RFC 8785 bytes of the conclusions of all lesions."""
    return sha256_of(b'{"conclusions":[%b]}' % b",".join(conclusions))


def worst_status(statuses: Iterable[Status]) -> Status:
    """The status of an answer for several lesions: that of the least answered one."""
    order: tuple[Status, ...] = ("data-required", "data-requested", "success")
    return min(statuses, key=order.index)


def _live(hits: Hits) -> dict[str, int]:
    """The rules that hold or are unknown, with their outcomes; all others fail."""
    return {rule.name: HOLDS for rule in hits.held} | {rule.name: UNKNOWN for rule in hits.opened}


def _numbers(answer: Mapping[str, Any], of_side: tuple[str, ...]) -> list[Any]:
    """Sizes, windows, bands and dates of an answer; what is not there is left out."""
    found: list[Any] = [answer["status"]]
    method, plan, estimate = answer.get("method"), answer.get("plan"), answer.get("estimate")
    if method:
        found.append([method["applicator"], method["contact_diameter_mm"] or 0])
    if plan:
        found.append({name: plan[name] for name in WINDOWS if plan[name] is not None})
    for part in _reached(estimate or {}, of_side):
        found.append([band for band in part.values() if band is not None])
    found += [one["from_date"] for one in answer.get("alternatives", ()) if isinstance(one, dict) and one["from_date"]]
    for milestone in answer.get("calendar", ()):
        dates = [milestone["from_date"] or "", milestone["to_date"] or "", milestone["visit_on"] or ""]
        found.append([milestone["milestone"], milestone["from_day"], milestone["to_day"], *dates])
    return found


def _reached(estimate: Mapping[str, Any], of_side: tuple[str, ...]) -> Iterator[Mapping[str, Any]]:
    """What an estimate says is reached: by cycle, on either side of a tilted pool, at the far side of thin tissue."""
    if "cycle" in estimate:
        yield estimate
    for part in estimate.get("by_applicator", ()):
        yield from part["by_cycle"]
        if part["tilted"] and part["tilted"]["by_side"]:
            for side in part["tilted"]["by_side"].values():
                yield {name: side[name] for name in of_side}
        if part["far_side"]:
            yield {name: part["far_side"][name] for name in FAR_SIDE}
