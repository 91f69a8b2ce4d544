"""What the lock files, the wheel and the checks promise."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
LOCK_FILES = sorted((ROOT / ".ci").glob("*.lock"))
PARTS = ("LICENSE", "README.md", "api", "decision", "pyproject.toml", "rules")
RULE_FILE = r"rules/(.*\.yaml|released/.*\.json)$"
FIND_RULES = "import decision, pathlib; print(pathlib.Path(decision.__file__).parents[1] / 'rules')"


def run(*command: str | Path, folder: Path, python_path: Path | None = None) -> str:
    """Run a command in a folder and give what it printed; a failure shows what it said."""
    swaying = ("PIP_", "PYTHONPATH")
    surroundings = {n: value for n, value in os.environ.items() if not n.startswith(swaying)}
    if python_path is not None:
        surroundings["PYTHONPATH"] = str(python_path)
    done = subprocess.run(command, cwd=folder, env=surroundings, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout.strip()


def project_files() -> list[str]:
    """Name every file that the wheel is made from: those of git, or all where there is no clone."""
    if not (ROOT / ".git").exists():
        found = [path for part in PARTS for path in [ROOT / part, *(ROOT / part).rglob("*")]]
        names = [path.relative_to(ROOT).as_posix() for path in found if path.is_file()]
        return [name for name in names if "__pycache__" not in name]
    listed = run("git", "ls-files", "-co", "--exclude-standard", "-z", *PARTS, folder=ROOT)
    return [name for name in listed.split("\0") if name and (ROOT / name).is_file()]


def requirements(lock: Path) -> list[str]:
    """Split a lock file into its requirements, each with the hashes under it."""
    lines = [line for line in lock.read_text().splitlines() if not line.startswith("#")]
    return re.split(r"\n(?=\S)", "\n".join(lines))


def pinned(lock: Path) -> dict[str, str]:
    """Map each package of a lock file to its version."""
    return dict(re.match(r"(\S+)==(\S+)", entry).groups() for entry in requirements(lock))


@pytest.fixture(scope="session")
def wheel(tmp_path_factory):
    """The wheel of the project's files as they are now, built in a folder of its own."""
    folder = tmp_path_factory.mktemp("wheel")
    for name in project_files():
        (folder / "tree" / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / name, folder / "tree" / name)
    build = "import setuptools.build_meta as backend; print(backend.build_wheel('..'))"
    name = run(sys.executable, "-c", build, folder=folder / "tree").splitlines()[-1]
    return folder / name


@pytest.fixture(scope="session")
def installed_wheel(wheel, tmp_path_factory):
    """The folder that the wheel was installed into, beside no other package."""
    folder = tmp_path_factory.mktemp("installed")
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--no-index", "--no-deps"]
    run(*pip, "--target", folder, wheel, folder=folder)
    return folder


@pytest.fixture
def folder_of_a_namesake(tmp_path):
    """A working directory that holds a `rules` and an `api` folder of somebody else."""
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "vocabulary.yaml").write_text("not: ours\n")
    (tmp_path / "api").mkdir()
    (tmp_path / "api" / "command.py").write_text("raise ImportError('not ours')\n")
    return tmp_path


@pytest.mark.parametrize("lock", LOCK_FILES, ids=lambda lock: lock.name)
def test_every_locked_requirement_has_a_hash(lock):
    entries = requirements(lock)

    assert [entry for entry in entries if not re.search(r"^\s+--hash=sha256:", entry, re.M)] == []


@pytest.mark.parametrize("lock", LOCK_FILES, ids=lambda lock: lock.name)
def test_a_lock_file_names_no_host(lock):
    text = lock.read_text()

    assert re.search(r"://|-url|find-links|@|\.(org|com|net|io|dev)\b", text) is None


@pytest.mark.parametrize("folder", ["browser", "openapi"])
def test_every_locked_script_package_has_a_digest_and_no_address(folder):
    locked = json.loads((ROOT / "tests" / folder / "package-lock.json").read_text())["packages"]
    fetched = {name: one for name, one in locked.items() if name}

    assert fetched
    assert {name for name, one in fetched.items() if "integrity" not in one or "resolved" in one} == set()


def test_the_lock_files_agree_on_every_version():
    versions = {}

    for lock in LOCK_FILES:
        for package, version in pinned(lock).items():
            versions.setdefault(package, set()).add(version)

    assert {package for package, found in versions.items() if len(found) > 1} == set()


def test_every_named_dependency_is_locked():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    named = [*project["build-system"]["requires"], *project["project"]["dependencies"]]
    for extra in ("lint", "table", "tests"):
        named += project["project"]["optional-dependencies"][extra]

    locked = set().union(*(pinned(lock) for lock in LOCK_FILES))

    assert {re.sub(r"[._]+", "-", re.match(r"[\w.-]+", name)[0]).lower() for name in named} <= locked


def test_the_wheel_holds_the_rule_files_and_released_rule_books_that_git_has(wheel):
    expected = [name for name in project_files() if re.match(RULE_FILE, name)]

    with zipfile.ZipFile(wheel) as archive:
        packed = [name for name in archive.namelist() if re.match(RULE_FILE, name)]
        differing = [n for n in packed if archive.read(n) != (ROOT / n).read_bytes()]

    assert (sorted(packed), differing) == (sorted(expected), [])


def test_the_wheel_holds_every_module(wheel):
    modules = [name for name in project_files() if re.match(r"(api|decision)/.*\.py$", name)]

    with zipfile.ZipFile(wheel) as archive:
        assert set(modules) - set(archive.namelist()) == set()


@pytest.mark.parametrize("folder", ["api/papers/templates", "api/web/templates", "api/web/files"])
def test_the_wheel_holds_all_that_papers_and_pages_are_made_of(wheel, folder):
    filled_in_or_sent = {name for name in project_files() if name.startswith(f"{folder}/")}

    with zipfile.ZipFile(wheel) as archive:
        assert filled_in_or_sent
        assert filled_in_or_sent - set(archive.namelist()) == set()


def test_no_rule_file_is_kept_from_git():
    if not (ROOT / ".git").exists():
        pytest.skip("not a clone")

    ignored = run("git", "ls-files", "-o", "-i", "--exclude-standard", "rules/*.yaml", folder=ROOT)

    assert ignored == ""


def test_an_installed_wheel_finds_its_own_rules(installed_wheel, folder_of_a_namesake):
    found = run(sys.executable, "-c", FIND_RULES, folder=folder_of_a_namesake, python_path=installed_wheel)

    assert Path(found) == installed_wheel / "rules"


def test_an_installed_wheel_checks_its_rules(installed_wheel, folder_of_a_namesake):
    thawline = installed_wheel / "bin" / "thawline"

    run(thawline, "check", folder=folder_of_a_namesake, python_path=installed_wheel)


def test_an_editable_install_finds_the_rules_of_the_clone(folder_of_a_namesake):
    found = run(sys.executable, "-c", FIND_RULES, folder=folder_of_a_namesake)

    assert Path(found) == ROOT / "rules"


def test_a_folder_called_api_does_not_hide_the_command(folder_of_a_namesake):
    found = run(sys.executable, "-c", "import api; print(api.__file__)", folder=folder_of_a_namesake)

    assert Path(found) == ROOT / "api" / "__init__.py"


def test_the_developers_page_lists_the_checks_that_run():
    stages = re.findall(r"^stage +\S+ +(.+)$", (ROOT / ".ci" / "run").read_text(), re.M)

    page = (ROOT / "DEVELOPERS.md").read_text()

    assert "\n".join(["bash .ci/install tests", *stages]) in page
