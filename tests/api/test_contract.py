"""The running service is held to its own OpenAPI document, with valid and with faulty requests.

The same command with more examples is tests/contract/full.sh; it runs here with few.
"""

import os
import re
import subprocess
import sys
from pathlib import Path

import httpx
import pytest

SCRIPT = Path(__file__).parents[1] / "contract" / "full.sh"
PATIENT = ["--max-response-time", "20", "--request-timeout", "30"]  # a busy machine is no fault
FEW = ["--max-examples", "25", *PATIENT]
LINKS = ["--phases", "stateful", "--max-examples", "100", *PATIENT]


def held_to_its_document(url, options):
    """Run the contract test; what it printed, and its exit code."""
    ran = subprocess.run(
        ["bash", str(SCRIPT), url, *options],
        env={**os.environ, "PYTHON": sys.executable},
        capture_output=True,
        text=True,
        timeout=1_200,  # a busy machine is no fault
        check=False,
    )
    return ran.stdout + ran.stderr, ran.returncode


def linked_operations(url):
    """The operations from which or to which a link leads, as options: with all of them in, some are never tried."""
    paths = httpx.get(f"{url}/openapi.json", timeout=60).json()["paths"].values()
    names = set()
    for operation in (one for methods in paths for one in methods.values()):
        links = operation["responses"]["200"].get("links", {}).values()
        names |= {one["operationId"] for one in links} | ({operation["operationId"]} if links else set())
    return [word for name in sorted(names) for word in ("--include-operation-id", name)]


@pytest.fixture(scope="module", params=["toy", "shipped"])
def run(request, serving, tmp_path_factory):
    """What the contract test printed over every phase, and over the links alone, and the log of the service."""
    log = tmp_path_factory.mktemp("contract") / "log.txt"
    folder = Path(__file__).parents[1] / "toy_rules" if request.param == "toy" else None
    with serving(folder, log) as url:
        every_phase = held_to_its_document(url, FEW)
        links = held_to_its_document(url, [*LINKS, *linked_operations(url)])
    return every_phase, links, log.read_text()


def test_no_request_breaks_the_contract(run):
    (printed, code), _, _ = run

    assert code == 0, printed
    found = re.search(r"(\d+) generated, (\d+) passed", printed)
    assert found, printed
    assert found[1] == found[2]
    assert int(found[1]) > 500


def test_every_phase_ran(run):
    (printed, _), _, _ = run

    for phase in ("Examples", "Coverage", "Fuzzing", "Stateful"):
        assert f"✅ {phase}" in printed


def test_every_link_was_followed(run):
    _, (printed, code), _ = run

    assert code == 0, printed
    assert re.search(r"API Links:\s+(\d+) covered / \1 selected / \1 total", printed), printed


def test_nothing_failed_inside_the_service(run):
    _, _, log = run

    assert "failed with" not in log
    assert "Traceback" not in log
