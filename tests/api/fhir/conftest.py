"""A record of one patient with one lesion, as small as it may be, and a reader of it over the shipped rules."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import Any

import pytest

from api.code_lists import CANONICAL, CodeLists, code_lists_of
from api.fhir.bundles import Resource, supplied
from api.fhir.chart import KINDS_OF, Chart, Sent, read_chart
from api.fhir.elements import Element
from api.fhir.references import keys_of
from api.mapping import CodeMap, shipped_code_map
from decision.contradictions import Contradictions
from decision.folder_reading import read_rule_folder, shipped_rules
from decision.rule_folder import RuleFolder

AS_OF = datetime.date(2026, 11, 24)


@pytest.fixture(scope="session")
def folder() -> RuleFolder:
    return read_rule_folder(shipped_rules())


@pytest.fixture(scope="session")
def contradictions(folder: RuleFolder) -> Contradictions:
    return folder.contradictions


@pytest.fixture(scope="session")
def lists(folder: RuleFolder) -> CodeLists:
    return code_lists_of(folder)


@pytest.fixture(scope="session")
def code_map(lists: CodeLists) -> CodeMap:
    return shipped_code_map(lists)


def concept(*codings: tuple[str, str] | str) -> dict[str, Any]:
    """A CodeableConcept of `list|code` of ours, or of system and code."""
    pairs = [one if isinstance(one, tuple) else (CANONICAL + one.split("|")[0], one.split("|")[1]) for one in codings]
    return {"coding": [{"system": system, "code": code} for system, code in pairs]}


def millimetres(value: float) -> dict[str, Any]:
    return {"value": value, "system": "http://unitsofmeasure.org", "code": "mm"}


class Record:
    """A record that a test changes, and reads."""

    def __init__(self, lists: CodeLists, code_map: CodeMap, contradictions: Contradictions) -> None:
        self.lists = lists
        self.contradictions = contradictions
        self.code_map = code_map
        self.patient: dict[str, Any] = {"resourceType": "Patient", "id": "p"}
        self.lesion: dict[str, Any] = {
            "resourceType": "Condition",
            "id": "one",
            "code": concept("lesion-kind|stalked_tag"),
            "subject": {"reference": "Patient/p"},
        }
        self.held: dict[str, list[dict[str, Any]]] = {key: [] for key in KINDS_OF if key != "patient"}
        self.held["conditions"] = [self.lesion]
        self.missing: set[str] = set()
        self.orders: list[dict[str, Any]] | None = None
        self.charted: list[dict[str, Any]] | None = None

    def find(self, name: str, **more: Any) -> dict[str, Any]:
        """Add an Observation of a finding to the record, of today and about the lesion."""
        made = self.finding(name, **more)
        self.held["observations"].append(made)
        return made

    def finding(self, name: str, **more: Any) -> dict[str, Any]:
        return {
            "resourceType": "Observation",
            "id": f"o{len(self.held['observations'])}",
            "status": "final",
            "code": concept(f"finding|{name}"),
            "subject": {"reference": "Patient/p"},
            "focus": [{"reference": "Condition/one"}],
            "effectiveDateTime": AS_OF.isoformat(),
            **more,
        }

    def read(self) -> Chart:
        bundles: dict[str, Any] = {
            key: {"resourceType": "Bundle", "entry": [{"resource": one} for one in found]}
            for key, found in self.held.items()
            if key not in self.missing
        }
        prefetch = Element({"patient": self.patient, **bundles}, ("prefetch",))
        supply = {key: supplied(prefetch, key, kind) for key, kind in KINDS_OF.items()}
        sent = Sent(AS_OF, "Patient/p", supply, _resources(self.orders), _resources(self.charted))
        return read_chart(sent, self.lists, self.code_map, self.contradictions)

    def stated(self) -> dict[str, Any]:
        """What is stated of the one lesion."""
        (lesion,) = self.read().lesions
        return {name: value for name, value in lesion.stated.items() if name != "lesion_id"}

    def noted(self) -> list[str]:
        """The codes of the notes."""
        return [one["code"] for one in self.read().notes]


def _resources(listed: list[dict[str, Any]] | None) -> list[Resource] | None:
    if listed is None:
        return None
    elements = [Element(one, ("context", "x", i)) for i, one in enumerate(listed)]
    return [Resource(one, keys_of(one, "")) for one in elements]


@pytest.fixture
def record(lists: CodeLists, code_map: CodeMap, contradictions: Contradictions) -> Record:
    return Record(lists, code_map, contradictions)


@pytest.fixture
def of() -> Callable[..., dict[str, Any]]:
    """Makes a CodeableConcept."""
    return concept


@pytest.fixture
def mm() -> Callable[[float], dict[str, Any]]:
    """Makes a Quantity in millimetres."""
    return millimetres
