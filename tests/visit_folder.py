"""The small rule folder with the decisions of a whole visit: one cycle reviewed, healing reviewed, papers to take home.

Like small_folder.py it is invented for its shape and says nothing about animals.
"""

from __future__ import annotations

from typing import Any

from tests.small_folder import rule, small_files

__all__ = ["CYCLE", "HEALING", "visit_files"]

CYCLE: dict[str, Any] = {
    "as_of": "2026-11-24",
    "patient": {"species": "dog"},
    "lesion": {"site": "trunk", "base_width_mm": 4, "height_mm": 2},
    "equipment": {"cryogen": "dimethyl_ether_propane"},
    "cycle": {
        "applicator_used": "cone",
        "contact_diameter_mm": 5,
        "contact_seconds": 20,
        "cycle_number": 1,
        "observed_thaw_s": 36,
        "spilled": False,
    },
}
HEALING: dict[str, Any] = {
    "as_of": "2026-12-05",
    "region": "GB-SCT",
    "patient": {"species": "dog"},
    "lesion": {"site": "trunk"},
    "healing": {"days_since_freeze": 11, "ruled_out": ["healing_alarms"]},
}


def visit_files() -> dict[str, Any]:
    """Every file of the folder by its name, as data."""
    files = small_files()
    files["vocabulary.yaml"]["groups"]["healing_alarms"] = {"about": "healing", "question": "Has it none of these?"}
    files["vocabulary.yaml"]["inputs"].update(_inputs())
    files["vocabulary.yaml"]["inputs"]["cryogen"]["allowed"]["dimethyl_ether_propane"] = "an ether mixture"
    files["plan/decision.yaml"]["moments"] = ["before", "during"]
    return {**files, **_decisions(), **_rules()}


def _inputs() -> dict[str, Any]:
    asked = {"question": "What was done, or seen?", "risk": "none"}
    alarm = {**asked, "about": "healing", "type": "boolean", "group": "healing_alarms", "risk": "rises"}
    stands = {"below": "shorter", "within": "within the band", "above": "longer", "no_band": "no band"}
    classes = {"trunk": "body", "distal": "ear", "mucosa": "lid"}
    return {
        "applicator_used": {**asked, "about": "cycle", "type": "code", "allowed": {"cone": "cone", "foam_tip": "foam"}},
        "contact_diameter_mm": _measured("cycle", "mm", 1, 40),
        "contact_seconds": _measured("cycle", "s", 0, 300),
        "fill_reached_mm": _measured("cycle", "mm", 0, 40),
        "cycle_number": _measured("cycle", "cycles", 1, 10),
        "observed_thaw_s": _measured("cycle", "s", 0.5, 1200),
        "spilled": {**asked, "about": "cycle", "type": "boolean", "risk": "rises"},
        "days_since_freeze": _measured("healing", "days", 0, 400),
        "maggots": alarm,
        "hot": alarm,
        "site_class": {**asked, "about": "derived", "type": "code", "allowed": classes, "from": {"site": "none"}},
        "thaw_against_band": {
            **asked,
            "about": "derived",
            "type": "code",
            "allowed": stands,
            "from": dict.fromkeys(
                (
                    "applicator_used",
                    "contact_diameter_mm",
                    "contact_seconds",
                    "site",
                    "cycle_number",
                    "observed_thaw_s",
                    "cryogen",
                ),
                "none",
            ),
        },
    }


def _measured(about: str, unit: str, low: float, high: float) -> dict[str, Any]:
    asked = {"question": "How much was it, measured?", "unit": unit, "range": [low, high], "risk": "none"}
    return {"about": about, "type": "number", **asked}


def _decisions() -> dict[str, Any]:
    step = {"step": {"text": 120}, "detail": {"text": 600}}
    kinds = {"normal": "this is normal", "care": "what to do", "red_flag": "call the same day"}
    permitted = {"suitability": ["suitable", "suitable_with_care"]}
    during = {"inputs_about": ["patient", "lesion", "equipment", "cycle"]}
    after = {"inputs_about": ["patient", "lesion", "healing"]}
    return {
        "cycle_review/decision.yaml": {
            "question": "Was it enough?",
            "hit_policy": "priority",
            "concludes": "answer",
            "moments": ["during"],
            "answers": {"repeat_cycle": "repeat it", "adequate": "enough", "stop": "stop"},
            "stands_unsettled_from": "adequate",
            "requires": {**during, "decisions": ["plan"]},
        },
        "next_time/decision.yaml": {
            "question": "What is changed?",
            "hit_policy": "collect",
            "moments": ["during"],
            "requires": {**during, "decisions": ["cycle_review"]},
            "fields": step,
        },
        "healing_review/decision.yaml": {
            "question": "Does it heal?",
            "hit_policy": "priority",
            "concludes": "answer",
            "moments": ["after"],
            "answers": {"as_expected": "as expected", "urgent": "see it today"},
            "stands_unsettled_from": "urgent",
            "requires": {**after, "decisions": []},
        },
        "next_steps/decision.yaml": {
            "question": "What is next?",
            "hit_policy": "collect",
            "moments": ["after"],
            "requires": {**after, "decisions": ["healing_review"]},
            "fields": step,
        },
        "aftercare/decision.yaml": {
            "question": "What goes home?",
            "hit_policy": "collect",
            "requires": {"inputs_about": ["patient", "lesion"], "decisions": ["suitability", "method"]},
            "given": {**permitted, "method": ["cone", "foam_tip"]},
            "fields": {"kind": {"one_of": kinds}, **step},
        },
        "calendar/decision.yaml": {
            "question": "What comes on which day?",
            "hit_policy": "collect",
            "moments": ["before", "after"],
            "requires": {"inputs_about": ["patient", "lesion"], "decisions": ["suitability"]},
            "given": permitted,
            "fields": {
                "milestone": {"one_of": {"crust": "crust", "recheck": "recheck", "healed": "healed over"}},
                "from_day": {"range": [0, 400]},
                "to_day": {"range": [0, 400]},
            },
        },
    }


def _rules() -> dict[str, Any]:
    nothing: dict[str, Any] = {}
    dog = {"species": "dog"}
    of_dogs = (("holds", dog), ("fails", {"species": "cat"}), ("unknown", nothing))
    return {
        "cycle_review/stop_after_a_spill.yaml": rule(
            {"spilled": True},
            {"answer": "stop"},
            ("holds", {"spilled": True}),
            ("fails", {"spilled": False}),
            ("unknown", nothing),
        ),
        "cycle_review/repeat_the_first.yaml": rule(
            {"cycle_number": "< 2"},
            {"answer": "repeat_cycle"},
            ("holds", {"cycle_number": 1.9}),
            ("fails", {"cycle_number": 2}),
            ("unknown", nothing),
        ),
        "cycle_review/leave_the_second.yaml": rule(
            {"cycle_number": ">= 2"},
            {"answer": "adequate"},
            ("holds", {"cycle_number": 2}),
            ("fails", {"cycle_number": 1.9}),
            ("unknown", nothing),
        ),
        "next_time/fill_more.yaml": rule(
            {"cycle_review": "repeat_cycle"},
            {"step": "Fill a little more.", "detail": "It was a little shallow."},
            ("holds", {"cycle_review": "repeat_cycle"}),
            ("fails", {"cycle_review": "stop"}),
            ("unknown", nothing),
        ),
        "healing_review/see_maggots_today.yaml": rule(
            {"maggots": True},
            {"answer": "urgent"},
            ("holds", {"maggots": True}),
            ("fails", {"maggots": False}),
            ("unknown", nothing),
        ),
        "healing_review/wait_for_the_crust.yaml": rule(
            {"days_since_freeze": "< 21"},
            {"answer": "as_expected"},
            ("holds", {"days_since_freeze": 20.9}),
            ("fails", {"days_since_freeze": 21}),
            ("unknown", nothing),
        ),
        "next_steps/look_again.yaml": rule(
            {"healing_review": "as_expected"},
            {"step": "Look again in a week.", "detail": "The crust will have gone by then."},
            ("holds", {"healing_review": "as_expected"}),
            ("fails", {"healing_review": "urgent"}),
            ("unknown", nothing),
        ),
        "aftercare/a_crust_is_normal.yaml": rule(
            dog, {"kind": "normal", "step": "A crust is normal.", "detail": "It is dry and dark."}, *of_dogs
        ),
        "aftercare/leave_it_alone.yaml": rule(
            dog, {"kind": "care", "step": "Leave the crust alone.", "detail": "It falls off by itself."}, *of_dogs
        ),
        "aftercare/call_for_maggots.yaml": rule(
            dog, {"kind": "red_flag", "step": "Call for maggots.", "detail": "They do harm <fast> & more."}, *of_dogs
        ),
        "calendar/crust.yaml": rule(dog, {"milestone": "crust", "from_day": 2, "to_day": 10}, *of_dogs),
        "calendar/recheck.yaml": rule(dog, {"milestone": "recheck", "from_day": 31, "to_day": 35}, *of_dogs),
        "calendar/healed.yaml": rule(dog, {"milestone": "healed", "from_day": 14, "to_day": 28}, *of_dogs),
    }
