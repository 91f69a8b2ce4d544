"""The running service is held to its own OpenAPI document, with valid and with faulty requests.

The same command with more examples is tests/contract/full.sh; it runs here with few.
"""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).parents[1] / "contract" / "full.sh"
FEW = ["--max-examples", "25", "--max-response-time", "20", "--request-timeout", "30"]  # a busy machine is no fault


@pytest.fixture(scope="module", params=["toy", "shipped"])
def run(request, serving, tmp_path_factory):
    """What the contract test printed, its exit code, and the log of the service."""
    log = tmp_path_factory.mktemp("contract") / "log.txt"
    folder = Path(__file__).parents[1] / "toy_rules" if request.param == "toy" else None
    with serving(folder, log) as url:
        ran = subprocess.run(
            ["bash", str(SCRIPT), url, *FEW],
            env={**os.environ, "PYTHON": sys.executable},
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )
    return ran.stdout + ran.stderr, ran.returncode, log.read_text()


def test_no_request_breaks_the_contract(run):
    printed, code, _ = run

    assert code == 0, printed
    found = re.search(r"(\d+) generated, (\d+) passed", printed)
    assert found, printed
    assert found[1] == found[2]
    assert int(found[1]) > 500


def test_every_phase_ran_and_every_link_was_followed(run):
    printed, _, _ = run

    for phase in ("Examples", "Coverage", "Fuzzing", "Stateful"):
        assert f"✅ {phase}" in printed
    assert re.search(r"API Links:\s+(\d+) covered / \1 selected / \1 total", printed), printed


def test_nothing_failed_inside_the_service(run):
    _, _, log = run

    assert "failed with" not in log
    assert "Traceback" not in log
