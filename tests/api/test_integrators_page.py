"""Every call on the page for integrators is made as it stands there, and prints what stands below it."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from api.keys import hash_of

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "openapi" / "README.md").read_text(encoding="utf-8")
SNIPPETS = re.findall(r"^```(bash|bash key|javascript|python)\n(.*?)^```\n\n^```text\n(.*?)^```", PAGE, re.M | re.S)
WRITTEN_ADDRESS = "http://127.0.0.1:8000"
KEY = "the-key-of-a-practice"


@pytest.fixture(scope="module")
def guarded_server(serving, tmp_path_factory):
    """The address of a service that asks for keys."""
    folder = tmp_path_factory.mktemp("guarded")
    keys = folder / "keys.yaml"
    keys.write_text(f"keys:\n  - {{name: west, sha256: {hash_of(KEY)}}}\n")
    with serving(ROOT / "tests" / "toy_rules", folder / "log.txt", THAWLINE_API_KEYS=str(keys)) as url:
        yield url


@pytest.fixture(scope="module")
def node():
    """A Node.js that fits: the machine's, or the one that the set-up installs."""
    found = subprocess.run(["bash", ".ci/node"], cwd=ROOT, capture_output=True, text=True)
    assert found.returncode == 0, found.stderr
    return Path(found.stdout.strip()) / "node"


@pytest.fixture
def folder(tmp_path):
    """A working directory with the examples that the page names."""
    shutil.copytree(ROOT / "openapi" / "examples", tmp_path / "openapi" / "examples")
    return tmp_path


def command_of(language, code, request):
    """How a snippet is run."""
    if language == "python":
        return [sys.executable, "-c", code]
    if language == "javascript":
        return [request.getfixturevalue("node"), "--input-type=module", "--eval", code]
    return ["bash", "-euo", "pipefail", "-c", code]


@pytest.mark.parametrize(("language", "code", "printed"), SNIPPETS, ids=lambda text: text.split("\n")[0][:30])
def test_a_call_prints_what_stands_below_it(language, code, printed, folder, request):
    server = request.getfixturevalue("guarded_server" if language.endswith("key") else "shipped_server")
    code = code.replace(WRITTEN_ADDRESS, server)

    ran = subprocess.run(
        command_of(language, code, request),
        cwd=folder,
        env={**os.environ, "THAWLINE_KEY": KEY},
        capture_output=True,
        text=True,
        timeout=120,
    )

    assert (ran.returncode, ran.stderr) == (0, "")
    assert ran.stdout.replace("\r", "") == printed


def test_no_call_is_left_untried():
    fences = re.findall(r"^```(\S.*)$", PAGE, re.M)

    assert len(SNIPPETS) == len([one for one in fences if one != "text"]) >= 6
    assert {language.split()[0] for language, _, _ in SNIPPETS} == {"bash", "javascript", "python"}


def test_every_link_of_the_page_leads_somewhere():
    leading = re.findall(r"\]\(([^)#]+)\)", PAGE)

    assert len(leading) > 5
    for one in leading:
        assert one.startswith("https://") or (ROOT / "openapi" / one).exists(), one


def test_every_setting_on_the_page_is_one_that_operators_are_told_of():
    told = (ROOT / "api" / "RUNNING.md").read_text(encoding="utf-8")
    names = set(re.findall(r"`(THAWLINE_[A-Z_]+)`", PAGE))

    assert len(names) >= 10
    assert {one for one in names if f"| `{one}` |" not in told} == set()
