"""The rules of a folder stated for an SMT solver, from what is written in their files and from nothing else.

It shares no code with the engine and none with box cover: tests are read again, derived quantities are defined again as
a clinician would say them, and numbers are real numbers. What is computed with numbers from tables is a number or a
code without a definition, which may be unknown.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import z3

__all__ = ["Folder", "Variables"]

SAMPLE = ["cytology", "histology"]
CANDIDATE = ["skin_tag", "papilloma", "sebaceous_adenoma", "follicular_cyst", "basal_cell_tumour", "perianal_adenoma"]
LOOK = {
    "diagnosis_basis": "appearance",
    "known_diagnosis": ["skin_tag", "papilloma", "sebaceous_adenoma"],
    "base_width_mm": "<= 6",
    "colour": ["skin", "pink"],
    "change_4_weeks": ["none", "smaller"],
    "surface": ["intact", "crusted", "caught_or_bitten"],
    "site": {
        "not": [
            *("digit", "coronary_band", "eyelid_margin", "conjunctiva_or_cornea", "mouth", "perianal", "scrotum"),
            *("nasal_planum", "ear_canal", "vulva", "prepuce_or_penis", "mammary"),
        ]
    },
}
WAYS: dict[str, list[dict[str, Any]]] = {
    "sampled": [{"diagnosis_basis": SAMPLE, "known_diagnosis": {"not": ["none"]}}],
    "clock_running": [
        {"species": "dog", "age_years": "< 2", "known_diagnosis": "papilloma", "weeks_present": "< 12"},
        {
            "species": "dog",
            "age_years": "< 3",
            "known_diagnosis": "histiocytoma",
            "diagnosis_basis": SAMPLE,
            "weeks_present": "< 12",
        },
        {"species": "horse", "age_years": "< 3", "known_diagnosis": "papilloma", "weeks_present": "< 17"},
        {"species": "cattle", "age_years": "< 2", "known_diagnosis": "papilloma", "weeks_present": "< 52"},
    ],
    "snipped_first": [{"tissue_will_be_submitted": True, "bleeding_disorder": False}],
    "classic_look": [
        {"species": "dog", "lesion_kind": ["stalked_tag", "frond_wart", "waxy_sebaceous"], **LOOK},
        {"species": "horse", "age_years": "< 3", "lesion_kind": "frond_wart", **LOOK},
        {"species": "cattle", "age_years": "< 2", "lesion_kind": "frond_wart", **LOOK},
    ],
}
CODES: dict[str, tuple[str, dict[str, list[str]]]] = {
    "diagnosis_nature": (
        "known_diagnosis",
        {
            "unnamed": ["none"],
            "benign": [*CANDIDATE, "meibomian_adenoma", "other_benign"],
            "other_care": [
                *("histiocytoma", "epulis", "aural_plaque", "sarcoid", "lick_granuloma", "granulation_tissue", "lipoma")
            ],
            "malignant": [
                *("actinic_change", "mast_cell_tumour", "melanoma", "squamous_cell_carcinoma", "other_malignant")
            ],
            "infectious": ["abscess_or_pyoderma", "fungal_infection", "parasitic", "poxviral"],
        },
    ),
    "site_class": (
        "site",
        {
            "trunk": ["head", "neck", "trunk", "axilla_or_groin", "mammary", "udder"],
            "distal": ["limb", "digit", "coronary_band", "pinna", "tail", "teat", "scrotum"],
            "mucosa": [
                *("eyelid_skin", "eyelid_margin", "conjunctiva_or_cornea", "lip", "muzzle", "nostril", "nasal_planum"),
                *("mouth", "perianal", "vulva", "prepuce_or_penis", "ear_canal"),
            ],
        },
    ),
}


@dataclass(frozen=True)
class Variables:
    """One case, as variables of the solver, and what the vocabulary says of them.

    A case that differs from another in one input names both.
    """

    of: Mapping[str, Any]
    said: Sequence[Any]
    beside: Variables | None = None
    moved: str = ""


def variables(inputs: Mapping[str, Mapping[str, Any]], mark: str = "") -> Variables:
    """Make a variable for each input."""
    of: dict[str, Any] = {}
    said: list[Any] = []
    for name, one in inputs.items():
        if one["type"] == "boolean":
            of[name] = z3.Bool(name + mark)
        elif one["type"] == "code":
            of[name] = z3.Int(name + mark)
            said += [of[name] >= 0, of[name] < len(one["allowed"])]
        elif one["type"] == "number":
            of[name] = z3.Real(name + mark)
            low, high = one["range"]
            said += [of[name] >= z3.RealVal(str(low)), of[name] <= z3.RealVal(str(high))]
    return Variables(of, said)


class Folder:
    """A folder as it is written: what each rule asks, and what decisions make of their rules.

    Whatever is asked often has a name of its own in the solver, which keeps what is asked short.
    """

    def __init__(self, written: Mapping[str, Any]) -> None:
        """Sort the files by decision."""
        self._solver = z3.Solver()
        self._named: dict[Any, Any] = {}
        self._cases: list[Variables] = []  # kept, for names are kept by them
        self.inputs = {name: one for name, one in written["vocabulary.yaml"]["inputs"].items()}
        self.nodes = {name.split("/")[0]: data for name, data in written.items() if name.endswith("/decision.yaml")}
        self.rules: dict[str, dict[str, Any]] = {name: {} for name in self.nodes}
        for name, data in written.items():
            decision, _, rule = name.removesuffix(".yaml").partition("/")
            if decision in self.nodes and rule != "decision":
                self.rules[decision][rule] = data

    def possible(self, *said: Any) -> bool:
        """Whether the solver finds a case of which all this is true."""
        self._solver.push()
        self._solver.add(*said)
        found = self._solver.check()
        self._solver.pop()
        assert found != z3.unknown
        return bool(found == z3.sat)

    def stated(self) -> Variables:
        """The variables of a case, with the answers of ladders."""
        stated = {name: one for name, one in self.inputs.items() if name not in WAYS.keys() | CODES.keys()}
        case = variables({**stated, **self._answers()})
        self._solver.add(*case.said)
        return case

    def moved(self, case: Variables, name: str) -> Variables:
        """A case with one input of its own, and its own answers of ladders."""
        other = variables({name: self.inputs[name], **self._answers()}, mark="'")
        self._solver.add(*other.said)
        self._cases.append(Variables({**case.of, **other.of}, [*case.said, *other.said], case, name))
        return self._cases[-1]

    def holds(self, rule: Mapping[str, Any], case: Variables) -> Any:
        """That a rule holds in a case."""
        if case.beside is not None and _read_by(rule).isdisjoint({case.moved, *self._answers()}):
            return self.holds(rule, case.beside)
        return self._name(("holds", id(rule), id(case)), lambda: self._holds(rule, case))

    def _holds(self, rule: Mapping[str, Any], case: Variables) -> Any:
        when = z3.And([self.asks(name, test, case) for name, test in rule["when"].items()])
        unless = [self.asks(name, test, case) for name, test in rule.get("unless", {}).items()]
        return z3.And(when, z3.Not(z3.And(unless))) if unless else when

    def asks(self, name: str, test: Any, case: Variables) -> Any:
        """What one test asks of a case."""
        if name in WAYS and WAYS[name][0].keys() <= case.of.keys():
            ways = [z3.And([self.asks(parent, one, case) for parent, one in way.items()]) for way in WAYS[name]]
            return z3.Or(ways) if test else z3.Not(z3.Or(ways))
        if name in CODES:
            parent, by_value = CODES[name]
            wanted = _codes(test, list(by_value))
            return self.asks(parent, [code for value in wanted for code in by_value[value]], case)
        if isinstance(test, bool):
            return case.of[name] if test else z3.Not(case.of[name])
        if self._allowed(name) is not None:
            allowed = self._allowed(name)
            known = [code for code in _codes(test, allowed) if code in allowed]
            return z3.Or([case.of[name] == allowed.index(code) for code in known])
        return z3.And([_compare(case.of[name], sign, limit) for sign, limit in _limits(test)])

    def own(self, decision: str, case: Variables) -> Any:
        """That some rule of a decision holds."""
        rules = self.rules[decision].values()
        return self._name(("own", decision, id(case)), lambda: z3.Or([self.holds(rule, case) for rule in rules]))

    def at_least(self, ladder: str, rank: int, case: Variables) -> Any:
        """That the answer of a ladder is so cautious or more, statements that raise it included."""
        return self._name(("at least", ladder, rank, id(case)), lambda: self._at_least(ladder, rank, case))

    def _at_least(self, ladder: str, rank: int, case: Variables) -> Any:
        node = self.nodes[ladder]
        order = list(node["answers"])
        stands = order.index(node["stands_unsettled_from"]) if node.get("stands_unsettled_from") else 0
        met = []
        for decision, key in [(ladder, node["concludes"]), *self._raising(ladder)]:
            for rule in self.rules[decision].values():
                brought = order.index(rule["conclude"][key]) if key in rule["conclude"] else -1
                if brought >= rank:
                    counts = decision == ladder or brought >= stands
                    held = self.holds(rule, case)
                    met.append(held if counts else z3.And(held, self.own(ladder, case)))
        return z3.Or(met)

    def answers(self, ladder: str, code: str, case: Variables) -> Any:
        """That a ladder answers exactly so, where it is asked."""
        rank = list(self.nodes[ladder]["answers"]).index(code)
        exactly = z3.And(self.at_least(ladder, rank, case), z3.Not(self.at_least(ladder, rank + 1, case)))
        return z3.And(self.asked(ladder, case), exactly, case.of[ladder] == rank)

    def asked(self, decision: str, case: Variables) -> Any:
        """That a decision is asked, and that the answers it may read are what the ladders answer."""
        return self._name(("asked", decision, id(case)), lambda: self._asked(decision, case))

    def _asked(self, decision: str, case: Variables) -> Any:
        given = self.nodes[decision].get("given", {})
        return z3.And([z3.Or([self.answers(name, code, case) for code in codes]) for name, codes in given.items()])

    def steps_up(self, name: str, case: Variables, other: Variables) -> Any:
        """That an input has moved up in risk from one case to the other; None where it has no direction."""
        one, before, after = self.inputs[name], case.of.get(name), other.of.get(name)
        if one["risk"] == "none" or before is None:
            return None
        if one["type"] == "boolean":
            first, last = (before, after) if one["risk"] == "rises" else (after, before)
            return z3.And(z3.Not(first), last)
        if one["type"] == "number":
            return after > before if one["risk"] == "rises" else after < before
        levels = [level if isinstance(level, list) else [level] for level in one["risk"]]
        place = list(one["allowed"]).index
        return z3.Or(
            [
                z3.And(before == place(low), after == place(high))
                for lows, highs in itertools.combinations(levels, 2)
                for low in lows
                for high in highs
            ]
        )

    def _name(self, key: tuple[Any, ...], say: Callable[[], Any]) -> Any:
        """A name of its own for something that is said; it is said once."""
        if key not in self._named:
            said = say()
            self._named[key] = z3.Bool(f"said {len(self._named)}")
            self._solver.add(self._named[key] == said)
        return self._named[key]

    def _answers(self) -> dict[str, dict[str, Any]]:
        """The answers of ladders, as later decisions read them."""
        ladders = {name: data["answers"] for name, data in self.nodes.items() if data.get("answers")}
        return {name: {"type": "code", "allowed": codes} for name, codes in ladders.items()}

    def _raising(self, ladder: str) -> Iterator[tuple[str, str]]:
        for name, node in self.nodes.items():
            for key, one in node.get("fields", {}).items():
                if one.get("answer_of") == ladder:
                    yield name, key

    def _allowed(self, name: str) -> list[str] | None:
        if name in self.nodes:
            return list(self.nodes[name]["answers"])
        return list(self.inputs[name]["allowed"]) if self.inputs[name]["type"] == "code" else None


def _read_by(rule: Mapping[str, Any]) -> set[str]:
    """The inputs that a rule reads, with those that computed ones rest on."""
    names = {*rule["when"], *rule.get("unless", {})}
    names |= {CODES[name][0] for name in names & CODES.keys()}
    return names | {parent for name in names & WAYS.keys() for way in WAYS[name] for parent in way}


def _codes(test: Any, allowed: Sequence[str]) -> list[str]:
    """The codes that a test lets in."""
    if isinstance(test, dict):
        return [code for code in allowed if code not in test["not"]]
    return list(test) if isinstance(test, list) else [test]


def _limits(test: str) -> list[tuple[str, str]]:
    """A comparison or an interval as signs and limits, the digits as they are written."""
    if found := re.fullmatch(r"([\[(])(.+)\.\.(.+)([\])])", test.replace(" ", "")):
        return [(">=" if found[1] == "[" else ">", found[2]), ("<=" if found[4] == "]" else "<", found[3])]
    found = re.fullmatch(r"(>=|<=|>|<|=)(.+)", test.replace(" ", ""))
    assert found is not None, test
    return [(found[1], found[2])]


def _compare(number: Any, sign: str, limit: str) -> Any:
    value = z3.RealVal(limit)
    return {
        ">=": number >= value,
        ">": number > value,
        "<=": number <= value,
        "<": number < value,
        "=": number == value,
    }[sign]
