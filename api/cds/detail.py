"""The text below a card, in Markdown: why, how, what instead, what is open, and what was not taken from the record.

Its words are those of the rule book and of this service. Only where a call is about several lesions does it give what
the record calls each, cut and escaped, so that it can be told which one a card is about.
"""

from __future__ import annotations

from typing import Any

from api.cds.markdown import escaped, named, section
from api.cds.told import Told
from api.text.input_words import figure, value_in_words
from api.text.plan_text import MOMENTS
from api.text.reason_text import NO_SOURCE
from decision.applicator import not_now_steps
from decision.measured import measured_for
from decision.recommendation import Caution, Evidence, LesionAnswer, Plan, Reason

__all__ = ["detail_of_caution", "detail_of_unread", "detail_of_verdict"]

EXPLAINED = 3
LISTED = 6
LONGEST_REFERENCE = 100


def detail_of_verdict(lesion: LesionAnswer, told: Told) -> str:
    """What stands below the verdict on a lesion."""
    suitability = lesion["suitability"]
    info = [one["summary"] for one in lesion["cautions"] if one["urgency"] == "info"]
    parts = [
        escaped(suitability["summary"]),
        section("In the record", _in_the_record(lesion, told)),
        section("Why", _reasons(suitability["reasons"])),
        section("Not now", [escaped(f"{one['step']} {one['detail']}") for one in not_now_steps(lesion)]),
        section("How", _how(lesion, told)),
        section("Instead", [escaped(f"{_capital(one['in_words'])}: {one['by_when']}.") for one in _instead(lesion)]),
        section("To know", [escaped(one) for one in info[:LISTED]]),
        section("Not recorded, and could change this", _questions(lesion, told)),
        section("Presumed, since not recorded", _presumed(lesion, told)),
        section("Not supplied, so that it is not known what the record holds", [", ".join(told.not_supplied)]),
        section("Not taken from the record", _not_taken(told)),
        escaped(told.answer["notice"]),
    ]
    return "\n\n".join(part for part in parts if part)


def detail_of_caution(caution: Caution) -> str:
    """What stands below a caution."""
    return "\n\n".join([escaped(caution["detail"]), section("Why", _reasons(caution["reasons"]))])


def detail_of_unread(told: Told) -> str:
    """What stands below an order that was not read."""
    return "\n\n".join([section("Not taken from the record", _not_taken(told)), escaped(told.answer["notice"])])


def _reasons(reasons: list[Reason]) -> list[str]:
    """The first reasons with their explanation, the others by their title."""
    lines = []
    for number, one in enumerate(reasons[:LISTED]):
        explanation = f" {one['explanation']}" if number < EXPLAINED else ""
        lines.append(escaped(f"{one['title']}.{explanation} Evidence: {_evidence(one['evidence'])}."))
    more = len(reasons) - LISTED
    return [*lines, f"and {more} more."] if more > 0 else lines


def _evidence(one: Evidence) -> str:
    """What a reason rests on, without the keys of its sources, which a card does not resolve."""
    return f"{one['certainty'].replace('_', ' ')} certainty, {measured_for(one) if one['citations'] else NO_SOURCE}"


def _how(lesion: LesionAnswer, told: Told) -> list[str]:
    method, plan = lesion["method"], lesion["plan"]
    if method is None:
        return []
    if plan is None:
        return [escaped(method["summary"])]
    notes = [plan["reach_note"]] if plan["reach_note"] else []
    return [escaped(line) for line in (method["summary"], *_quantities(plan, told), *notes)]


def _quantities(plan: Plan, told: Told) -> list[str]:
    """The quantities that the rules settle, in the order in which they are needed."""
    node = next(node for node in told.book.folder.decisions if node.name == "plan")
    stated: dict[str, Any] = {name: value for name, value in plan.items() if name in node.quantities}
    units = {name: one["unit"] for name, one in node.quantities.items()}
    return [
        f"{_capital(MOMENTS.get(name, name.replace('_', ' ')))}: {_window(stated[name])} {units[name]}."
        for name in (*MOMENTS, *(name for name in stated if name not in MOMENTS))
        if stated.get(name) is not None
    ]


def _window(value: Any) -> str:
    if not isinstance(value, dict):
        return figure(value)
    low, high = figure(value["low"]), figure(value["high"])
    return low if low == high else f"{low} to {high}"


def _instead(lesion: LesionAnswer) -> list[Any]:
    return list(lesion["alternatives"])[:LISTED]


def _in_the_record(lesion: LesionAnswer, told: Told) -> list[str]:
    """Which Condition a card is about, where the call is about several."""
    charted = told.charted(lesion["lesion_id"])
    if len(told.chart.lesions) < 2:
        return []
    return [escaped(", ".join(filter(None, (named(charted.name), charted.reference[:LONGEST_REFERENCE]))))]


def _questions(lesion: LesionAnswer, told: Told) -> list[str]:
    """The questions that bear on the verdict, the most telling first; those of a check list as one.

    What the record speaks of and leaves open is asked by itself.
    """
    vocabulary, asked = told.book.vocabulary, {}
    parts = (told.chart.patient, told.charted(lesion["lesion_id"]).stated)
    left_open = {name for part in parts for name in part.get("left_open", ())}
    for one in lesion["ask_next"]:
        about = vocabulary.inputs[one["input"]]
        if about.group and about.name not in left_open:
            members = ", ".join(member.label for member in vocabulary.in_group(about.group))
            asked[about.group] = f"{vocabulary.groups[about.group].question} ({members})"
        else:
            asked[about.name] = one["question"]
    return [escaped(question) for question in list(asked.values())[:LISTED]]


def _presumed(lesion: LesionAnswer, told: Told) -> list[str]:
    """What was presumed, in one line."""
    inputs = told.book.vocabulary.inputs
    said = [
        f"{inputs[one['input']].label}: {value_in_words(one['presumed'], inputs[one['input']])}"
        for one in lesion["presumed"]
    ]
    return [escaped("; ".join(said))] if said else []


def _not_taken(told: Told) -> list[str]:
    """What was not taken from the record, each thing once. A code beside one that was understood is no matter here."""
    said = dict.fromkeys(one["detail"] for one in told.chart.notes if one["code"] != "additional_code")
    lines = [escaped(one) for one in list(said)[:LISTED]]
    if told.chart.left_out:
        lines.append(f"{told.chart.left_out} more lesions were not answered.")
    return lines


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
