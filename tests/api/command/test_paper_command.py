"""The command `thawline papers`."""

import json

import pytest
import yaml

from api.command.main import main
from tests.api.papers.conftest import a_case, a_cycle
from tests.small_folder import write
from tests.visit_folder import visit_files


@pytest.fixture(scope="module")
def rules(tmp_path_factory):
    return str(write(tmp_path_factory.mktemp("rules") / "rules", visit_files()))


@pytest.fixture
def run(capfdbinary, rules, tmp_path):
    """Write a paper from a file with the data given; the exit code, standard output and standard error."""

    def ran(kind, data, *words):
        path = tmp_path / "asked.yaml"
        path.write_text(yaml.safe_dump(data))
        code = main(["--rules", rules, "papers", kind, str(path), *words])
        said = capfdbinary.readouterr()
        return code, said.out, said.err.decode()

    return ran


def test_a_case_alone_gives_a_paper_in_markdown(run):
    code, out, err = run("owner-sheet", a_case())

    assert (code, err) == (0, "")
    assert out.startswith(b"# After the freeze\n")


def test_a_case_file_with_a_title_is_read_too(run):
    code, out, _ = run("consent", {"title": "A dog", "about": "It is one.", "case": a_case(), "expect": []})

    assert (code, out.startswith(b"# Points of consent")) == (0, True)


def test_what_was_done_is_read_from_the_same_file(run):
    _, out, _ = run("chart-note", {"case": a_case(), "cycles": [a_cycle()], "chart": {"side": "left"}})

    assert b"- Side: **left**" in out
    assert b"- Observed thaw: **36 s**" in out


@pytest.mark.parametrize(("name", "begins"), [("a.pdf", b"%PDF"), ("a.html", b"<!doctype"), ("a.md", b"# After")])
def test_the_name_of_the_file_says_how_it_is_laid_out(run, tmp_path, name, begins):
    code, out, _ = run("owner-sheet", a_case(), "-o", str(tmp_path / name))

    assert (code, out) == (0, b"")
    assert (tmp_path / name).read_bytes().startswith(begins)


def test_the_format_that_is_stated_goes_before_the_name(run):
    _, out, _ = run("owner-sheet", a_case(), "--format", "html")

    assert out.startswith(b"<!doctype html>")


def test_one_of_several_lesions_must_be_named(run):
    case = a_case()
    case["lesions"].append({"lesion_id": "ear"})

    code, out, err = run("owner-sheet", case)
    named, _, _ = run("owner-sheet", case, "--lesion", "flank")

    assert (code, out, named) == (3, b"", 0)
    assert err.startswith("#/lesion_id: say by lesion_id which lesion the paper is about; 2 of 2 fit.")


def test_a_case_that_cannot_be_used_is_told_by_pointer(run):
    code, out, err = run("owner-sheet", a_case(base_width_mm=999))

    assert (code, out) == (3, b"")
    assert err.splitlines()[0].startswith("#/case/lesions/0/base_width_mm: base_width_mm must be a number")


def test_a_file_that_cannot_be_written_is_told(run, tmp_path):
    code, _, err = run("owner-sheet", a_case(), "-o", str(tmp_path / "nowhere" / "a.pdf"))

    assert code == 2
    assert "cannot be written" in err


def test_a_paper_that_is_not_there_is_a_usage_fault(run):
    code, _, err = run("certificate", a_case())

    assert code == 2
    assert "owner-sheet" in err


def test_the_command_and_the_service_write_the_same_bytes(run, ask_visit):
    _, out, _ = run("owner-sheet", a_case(), "--format", "pdf")
    body = json.dumps({"case": a_case(), "format": "pdf"})

    sent = ask_visit("POST", "/v1/papers/owner-sheet", content=body, headers={"Content-Type": "application/json"})

    # the rule books are two copies of the same folder
    assert out == sent.content
