"""A small rule folder for tests of the engine, as plain data that a test changes before it is written.

    files = small_files()
    files["vocabulary.yaml"]["inputs"]["species"]["type"] = "colour"
    folder = write(tmp_path / "rules", files)

Its rules are invented for their shape and say nothing about animals.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

import yaml

from decision.decisions import Decisions
from decision.folder_reading import read_rule_folder
from decision.rule_folder import RuleFolder

__all__ = ["decisions_over", "in_yaml", "line_of", "read", "rule", "small_files", "write"]


def small_files() -> dict[str, Any]:
    """Every file of the folder by its name, as data. A text in place of data is written as it stands."""
    files = {
        "rule_book.yaml": {
            "title": "Small rule book",
            "version": "2026.11.0",
            "answer_contract": 1,
            "notice": "For tests of the engine only; it says nothing about animals.",
        },
        "vocabulary.yaml": _vocabulary(),
        "sources.yaml": {"smith_2020": _source()},
        **_decisions(),
        **_rules(),
    }
    return json.loads(json.dumps(files))  # no part stands in two places: a test changes one


def write(folder: Path, files: Mapping[str, Any]) -> Path:
    """Write the files into a folder and return it."""
    for name, data in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(data if isinstance(data, str) else in_yaml(data), encoding="utf-8")
    return folder


def in_yaml(data: Any) -> str:
    """Write data as a rule author would: every value in full, one line each."""
    return yaml.dump(data, Dumper=_InFull, sort_keys=False, width=1000, allow_unicode=True)


class _InFull(yaml.SafeDumper):
    """Writes the same value twice rather than an alias."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def _in_one_line(dumper: Any, text: str) -> Any:
    """With escapes where a character would be read as a line break."""
    breaks = any(one in text for one in "\x85\u2028\u2029")
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style='"' if breaks else None)


def _in_decimals(dumper: Any, number: float) -> Any:
    """Without an exponent, which no reader of rules takes for a number."""
    return dumper.represent_scalar("tag:yaml.org,2002:float", format(Decimal(repr(number)), "f"))


_InFull.add_representer(float, _in_decimals)
_InFull.add_representer(str, _in_one_line)


def read(folder: Path) -> RuleFolder:
    """Write the small folder unchanged and read it back."""
    return read_rule_folder(write(folder, small_files()))


def line_of(folder: Path, name: str, beginning: str) -> int:
    """The line on which a text begins in a written file, counted from 1."""
    lines = (folder / name).read_text(encoding="utf-8").splitlines()
    return next(i for i, line in enumerate(lines, 1) if line.strip().startswith(beginning))


def decisions_over(folder: RuleFolder) -> Decisions:
    """Compile every decision of a folder for both means of matching."""
    return Decisions(folder, [node.name for node in folder.decisions])


def rule(
    when: Mapping[str, Any],
    conclude: Mapping[str, Any],
    *examples: tuple[str, Mapping[str, Any]],
    unless: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """One rule file as data; each example is an outcome and a case."""
    return {
        "title": "Do as this small rule says",
        "purpose": "Give the tests of the engine something to run.",
        "explanation": "This text explains nothing; it only has the length of an explanation.",
        "when": dict(when),
        **({"unless": dict(unless)} if unless else {}),
        "conclude": dict(conclude),
        "evidence": {
            "certainty": "very_low",
            "strength": "good_practice",
            "citations": [],
            "species_direct": False,
            "cryogen_direct": False,
            "limits": "Invented for a test: common practice, no source.",
        },
        "maintenance": {
            "author": "Thawline",
            "specialist": "not yet reviewed by a clinician",
            "validation": "testing",
            "revisions": [{"version": 1, "date": "2026-11-24", "note": "First version."}],
        },
        "examples": [
            {"title": f"example {i}", "case": dict(case), "outcome": outcome}
            for i, (outcome, case) in enumerate(examples)
        ],
    }


def _vocabulary() -> dict[str, Any]:
    rare = {"value": False, "because": "A rare condition."}
    return {
        "groups": {
            "general_health": {"about": "patient", "question": "Has the patient none of these?"},
            "lesion_signs": {"about": "lesion", "question": "Does the lesion show none of these?"},
        },
        "inputs": {
            "species": _code("patient", "dog", "cat", "horse"),
            "age_years": _number("patient", "years", 0, 120),
            "pregnant": {**_boolean("patient"), "group": "general_health", "presume": rare, "risk": "rises"},
            "cold_reaction": {**_boolean("patient"), "group": "general_health", "presume": rare, "risk": "rises"},
            "similar_lesions": {
                **_number("patient", "lesions", 1, 500),
                "presume": {"value": 1, "because": "One is charted unless more are."},
            },
            "site": _code("lesion", "trunk", "eyelid_skin", "pinna"),
            "base_width_mm": {**_number("lesion", "mm", 0.5, 300), "risk": "rises"},
            "height_mm": _number("lesion", "mm", 0, 200),
            "known_diagnosis": _code("lesion", "none", "skin_tag", "melanoma"),
            "diagnosis_basis": {
                **_code("lesion", "none", "appearance", "cytology", "histology"),
                "risk": [["histology", "cytology"], "appearance", "none"],
            },
            "infected": {**_boolean("lesion"), "group": "lesion_signs", "risk": "rises"},
            "swells": {**_boolean("lesion"), "group": "lesion_signs", "risk": "rises"},
            "cryogen": _code("equipment", "ether", "other"),
            "cone_bores_mm": {**_number("equipment", "mm", 1, 40), "type": "numbers"},
            "foam_tips_mm": {**_number("equipment", "mm", 1, 20), "type": "numbers"},
            "practice_freezes_done": _number("operator", "freezes", 0, 1000),
            "sampled": {
                **_boolean("derived"),
                "from": {"diagnosis_basis": "falls", "known_diagnosis": "none"},
            },
            "needed_bore_mm": {**_number("derived", "mm", 2, 301.5), "from": {"base_width_mm": "rises"}},
            "height_to_width": {
                **_number("derived", "ratio", 0, 400),
                "from": {"height_mm": "rises", "base_width_mm": "falls"},
            },
        },
    }


def _code(about: str, *codes: str) -> dict[str, Any]:
    allowed = {code: code.replace("_", " ") for code in codes}
    return {"about": about, "type": "code", "question": "Which of these is it?", "allowed": allowed, "risk": "none"}


def _boolean(about: str) -> dict[str, Any]:
    return {"about": about, "type": "boolean", "question": "Is it so, or not?", "risk": "none"}


def _number(about: str, unit: str, low: float, high: float) -> dict[str, Any]:
    asked = {"question": "How much is it, measured?", "unit": unit, "range": [low, high]}
    return {"about": about, "type": "number", **asked, "risk": "none"}


def _source() -> dict[str, Any]:
    return {
        "authors": "Smith A",
        "title": "A source invented for tests",
        "where": "Nowhere",
        "year": 2020,
        "doi": None,
        "kind": "series",
        "level": "L4",
        "species": ["dog"],
        "cryogens": [],
        "measured": "Nothing was measured.",
        "read": "full",
    }


def _decisions() -> dict[str, Any]:
    everything = ["patient", "lesion", "equipment", "operator"]
    permitted = {"suitability": ["suitable", "suitable_with_care"]}
    step = {"step": {"text": 120}, "detail": {"text": 600}}
    return {
        "cautions/decision.yaml": {
            "question": "What must be known?",
            "hit_policy": "collect",
            "requires": {"inputs_about": ["patient", "lesion"], "decisions": []},
            "fields": {
                "urgency": {"one_of": {"info": "for information", "warning": "warning", "critical": "critical"}},
                "summary": {"text": 120},
                "detail": {"text": 600},
                "raises_to": {"answer_of": "suitability", "optional": True},
            },
        },
        "suitability/decision.yaml": {
            "question": "May it be frozen?",
            "hit_policy": "priority",
            "concludes": "verdict",
            "answers": {
                "suitable": "may be frozen",
                "suitable_with_care": "may be frozen, with care",
                "watch": "watch it",
                "sample_first": "take a sample first",
                "do_not_freeze": "do not freeze",
            },
            "stands_unsettled_from": "watch",
            "requires": {"inputs_about": ["patient", "lesion"], "decisions": ["cautions"]},
        },
        "method/decision.yaml": {
            "question": "With which applicator?",
            "hit_policy": "priority",
            "concludes": "applicator",
            "answers": {"cone": "a cone", "foam_tip": "a foam tip", "none": "nothing at hand"},
            "requires": {"inputs_about": everything, "decisions": ["suitability"]},
            "given": permitted,
        },
        "plan/decision.yaml": {
            "question": "How long and how often?",
            "hit_policy": "unique",
            "quantities": {
                "cycles": {"unit": "cycles", "range": [1, 3], "shape": "number"},
                "contact_s": {"unit": "s", "range": [3, 40], "shape": "window"},
                "fill_depth_mm": {"unit": "mm", "range": [1, 7], "shape": "window"},
                "spray_s": {"unit": "s", "range": [1, 10], "shape": "window"},
                "wait_between_cycles_s": {"unit": "s", "range": [30, 600], "shape": "window"},
                "halo_mm": {"unit": "mm", "range": [0, 3], "shape": "window"},
            },
            "requires": {"inputs_about": everything, "decisions": ["suitability", "method"]},
            "given": {**permitted, "method": ["cone", "foam_tip"]},
        },
        "alternatives/decision.yaml": {
            "question": "What instead of freezing?",
            "hit_policy": "collect",
            "requires": {"inputs_about": everything, "decisions": ["suitability"]},
            "given": {"suitability": ["watch", "sample_first", "do_not_freeze"]},
            "fields": {
                "what": {"one_of": {"biopsy": "take a biopsy", "leave_alone": "leave it alone"}},
                "by_when": {"text": 120},
            },
        },
        "preparation/decision.yaml": {
            "question": "What comes before the freeze?",
            "hit_policy": "collect",
            "requires": {"inputs_about": everything, "decisions": ["suitability", "method"]},
            "given": permitted,
            "fields": step,
        },
        "precautions/decision.yaml": {
            "question": "What is guarded against?",
            "hit_policy": "collect",
            "requires": {"inputs_about": everything, "decisions": ["suitability", "method"]},
            "given": permitted,
            "fields": step,
        },
    }


def _rules() -> dict[str, Any]:
    small = {"base_width_mm": "< 10", "infected": False, "site": ["trunk", "eyelid_skin"]}
    wide = {"base_width_mm": ">= 10", "infected": False, "sampled": True}
    tag = {"diagnosis_basis": "cytology", "known_diagnosis": "skin_tag"}
    nothing: dict[str, Any] = {}
    return {
        "cautions/say_that_it_reacted_to_cold.yaml": rule(
            {"cold_reaction": True},
            {
                "urgency": "critical",
                "summary": "It reacted to cold before.",
                "detail": "So it may again.",
                "raises_to": "do_not_freeze",
            },
            ("holds", {"cold_reaction": True}),
            ("fails", {"cold_reaction": False}),
            ("unknown", nothing),
        ),
        "cautions/say_that_it_is_pregnant.yaml": rule(
            {"pregnant": True},
            {"urgency": "info", "summary": "It is pregnant.", "detail": "That is good to know."},
            ("holds", {"pregnant": True}),
            ("fails", {"pregnant": False}),
            ("unknown", nothing),
        ),
        "cautions/take_care_at_the_eye.yaml": rule(
            {"site": "eyelid_skin"},
            {
                "urgency": "warning",
                "summary": "The eye is near.",
                "detail": "So care is taken.",
                "raises_to": "suitable_with_care",
            },
            ("holds", {"site": "eyelid_skin"}),
            ("fails", {"site": "pinna"}),
            ("unknown", nothing),
        ),
        "suitability/freeze_a_small_one.yaml": rule(
            small,
            {"verdict": "suitable"},
            ("holds", {"base_width_mm": 9.9, "infected": False, "site": "trunk"}),
            ("fails", {"base_width_mm": 10, "infected": False, "site": "trunk"}),
            ("unknown", {"base_width_mm": 9.9, "infected": False}),
        ),
        "suitability/freeze_a_sampled_one_with_care.yaml": rule(
            wide,
            {"verdict": "suitable_with_care"},
            ("holds", {"base_width_mm": 10, "infected": False, **tag}),
            ("fails", {"base_width_mm": 9.9, "infected": False, **tag}),
            ("unknown", {"base_width_mm": 10, "infected": False}),
        ),
        "suitability/watch_the_ear.yaml": rule(
            {"site": "pinna"},
            {"verdict": "watch"},
            ("holds", {"site": "pinna"}),
            ("fails", {"site": "trunk"}),
            ("unknown", nothing),
        ),
        "suitability/sample_a_wide_one.yaml": rule(
            {"base_width_mm": ">= 10"},
            {"verdict": "sample_first"},
            ("holds", {"base_width_mm": 10, "diagnosis_basis": "none"}),
            ("fails", {"base_width_mm": 10, **tag}),
            ("unknown", {"base_width_mm": 10}),
            unless={"sampled": True},
        ),
        "suitability/leave_an_infected_one.yaml": rule(
            {"infected": True},
            {"verdict": "do_not_freeze"},
            ("holds", {"infected": True}),
            ("fails", {"infected": False}),
            ("unknown", nothing),
        ),
        "method/use_a_cone.yaml": rule(
            {"base_width_mm": "<= 12"},
            {"applicator": "cone"},
            ("holds", {"base_width_mm": 12}),
            ("fails", {"base_width_mm": 12.1}),
            ("unknown", nothing),
        ),
        "method/use_foam_at_the_eye.yaml": rule(
            {"site": "eyelid_skin"},
            {"applicator": "foam_tip"},
            ("holds", {"site": "eyelid_skin"}),
            ("fails", {"site": "pinna"}),
            ("unknown", nothing),
        ),
        "method/use_nothing_with_another_cryogen.yaml": rule(
            {"cryogen": "other"},
            {"applicator": "none"},
            ("holds", {"cryogen": "other"}),
            ("fails", {"cryogen": "ether"}),
            ("unknown", nothing),
        ),
        "method/use_nothing_on_a_very_wide_one.yaml": rule(
            {"base_width_mm": "> 12"},
            {"applicator": "none"},
            ("holds", {"base_width_mm": 12.1}),
            ("fails", {"base_width_mm": 12}),
            ("unknown", nothing),
        ),
        "plan/hold_a_cone.yaml": rule(
            {"method": "cone"},
            {"contact_s": {"low": 20, "high": 25}},
            ("holds", {"method": "cone"}),
            ("fails", {"method": "foam_tip"}),
            ("unknown", nothing),
        ),
        "plan/hold_a_foam_tip.yaml": rule(
            {"method": "foam_tip"},
            {"contact_s": {"low": 25, "high": 30}},
            ("holds", {"method": "foam_tip"}),
            ("fails", {"method": "cone"}),
            ("unknown", nothing),
        ),
        "plan/freeze_once.yaml": rule(
            {"height_mm": "< 2"},
            {"cycles": 1},
            ("holds", {"height_mm": 1.9}),
            ("fails", {"height_mm": 2}),
            ("unknown", nothing),
        ),
        "plan/freeze_twice.yaml": rule(
            {"height_mm": ">= 2"},
            {"cycles": 2},
            ("holds", {"height_mm": 2}),
            ("fails", {"height_mm": 1.9}),
            ("unknown", nothing),
        ),
        "alternatives/take_a_biopsy.yaml": rule(
            {"suitability": "sample_first"},
            {"what": "biopsy", "by_when": "within two weeks"},
            ("holds", {"suitability": "sample_first"}),
            ("fails", {"suitability": "watch"}),
            ("unknown", nothing),
        ),
        "preparation/clip_the_hair.yaml": rule(
            {"site": {"not": ["eyelid_skin"]}},
            {"step": "Clip the hair.", "detail": "Hair keeps the cold out."},
            ("holds", {"site": "trunk"}),
            ("fails", {"site": "eyelid_skin"}),
            ("unknown", nothing),
        ),
        "precautions/practise_first.yaml": rule(
            {"practice_freezes_done": "< 10"},
            {"step": "Practise first.", "detail": "Ten times on test material."},
            ("holds", {"practice_freezes_done": 9}),
            ("fails", {"practice_freezes_done": 10}),
            ("unknown", nothing),
        ),
    }
