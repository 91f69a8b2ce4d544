"""The HTTP door holds no clinical word: what it says of a case comes from the rule book."""

import re
from pathlib import Path

import pytest

import api
from decision.folder_reading import read_rule_folder, shipped_rules

FOLDER = Path(api.__file__).parent
HTTP = [
    "acceptance", "access", "app", "batches", "body", "docs_page", "document/openapi", "document/schemas", "door",
    "frame", "identity", "json_faults", "keys", "operations/examples", "operations/messages", "operations/parts",
    "operations/service_operations", "problem_kinds", "problems", "reference", "resource", "routes",
    "running/connection", "running/editions", "running/log_lines", "running/serving", "running/snapshot",
    "running/state_folder", "running/supervisor", "running/trial", "service", "settings", "strict_json",
    "worker/board", "worker/crowd", "worker/house", "worker/memory", "worker/metrics", "worker/readiness",
    "worker/spans", "worker/watch",
]  # fmt: skip


@pytest.fixture(scope="module")
def clinical_words():
    """The names of inputs, codes, answers and decisions that are no ordinary English words."""
    folder = read_rule_folder(shipped_rules())
    codes = [code for one in folder.vocabulary.inputs.values() for code in one.allowed]
    answers = [answer for node in folder.decisions for answer in node.answers]
    names = [*folder.vocabulary.inputs, *codes, *answers]
    return {name for name in names if "_" in name} | {"suitability", "cautions", "precautions", "verdict"}


@pytest.mark.parametrize("module", HTTP)
def test_a_module_of_the_http_door_holds_no_clinical_word(module, clinical_words):
    words = set(re.findall(r"[a-z0-9_]+", (FOLDER / f"{module}.py").read_text(encoding="utf-8").lower()))

    assert words & clinical_words == set()
