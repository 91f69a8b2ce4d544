"""The commands that ask the freeze table and the pool."""

import asyncio
import json

import httpx
import pytest

from api.app import create_app
from api.command.main import main
from api.settings import Settings

FREEZE = ("estimate", "--applicator", "cone", "--diameter-mm", "5", "--seconds", "20", "--site", "trunk")
TILT = ("tilt", "--bore-mm", "8", "--fill-mm", "5", "--degrees", "15")


def run(capsys, *words):
    code = main(list(words))
    said = capsys.readouterr()
    return code, said.out, said.err


async def sent_by_the_service(book, path):
    transport = httpx.ASGITransport(app=create_app(book, Settings()))
    async with httpx.AsyncClient(transport=transport, base_url="http://service.invalid") as client:
        return (await client.get(path)).text


def test_an_estimate_is_printed_as_a_band_and_a_picture(capsys):
    code, out, _ = run(capsys, *FREEZE)

    assert code == 0
    assert "thaw                         24 to 50 s (middle 36)" in out
    assert "Computed, not" in out
    picture = [line for line in out.splitlines() if "*" in line and "@" in line and "mm" in line[:8]]
    assert picture
    assert "|                    |" in out  # the wall of a cone of 5 mm, 4 columns a mm


@pytest.mark.parametrize("columns", [60, 80, 120])
def test_no_line_of_a_picture_is_wider_than_the_terminal(capsys, monkeypatch, columns):
    monkeypatch.setenv("COLUMNS", str(columns))
    _, out, _ = run(capsys, *FREEZE[:3], "--diameter-mm", "15", *FREEZE[5:])

    assert max(len(line) for line in out.splitlines()) <= columns


def test_a_freeze_without_a_band_says_why_and_draws_nothing(capsys):
    code, out, _ = run(capsys, *FREEZE, "--cryogen", "carbon_dioxide")

    assert code == 0
    assert "No band: nothing was computed or compared for carbon dioxide." in out
    assert "CROSS-SECTION" not in out


def test_a_pool_is_printed_with_both_sides(capsys):
    code, out, _ = run(capsys, *TILT, "--net-weight-g", "50")

    assert code == 0
    assert "3.9 mm deep on the shallow side, 6.1 mm on the deep side" in out
    assert "One fill takes 0.25 ml." in out
    assert "Fills left in the canister:" in out


def test_each_side_of_a_tilted_pool_is_printed_with_its_band(capsys):
    _, out, _ = run(capsys, *TILT)

    said = " ".join(out.split())
    assert "shallow side 3.9 mm, wet 15.7 s: ice 1.2 to 2.1 mm" in said  # 20 s x (5 - 4 tan 15) / 5
    assert "deep side 6.1 mm, wet 24.3 s: ice 1.7 to 2.7 mm" in said  # 20 s x (5 + 4 tan 15) / 5


def test_an_estimate_prints_what_a_tilt_does_when_it_is_stated(capsys):
    _, out, _ = run(capsys, *FREEZE, "--fill-mm", "5", "--degrees", "15")

    assert "filled to 5 mm and tilted by 15 degrees" in out
    assert "shallow side 4.3 mm, wet 17.3 s" in " ".join(out.split())  # 20 s x (5 - 2.5 tan 15) / 5


def test_the_far_side_of_thin_tissue_is_printed_with_what_it_rests_on(capsys):
    _, out, _ = run(capsys, *FREEZE, "--thickness-mm", "1.5", "--backing", "bone")

    said = " ".join(out.split())
    assert "far side of 1.5 mm, on bone" in said
    assert "with firm contact ice after" in said
    assert "ice in one freeze of ten by" in said
    assert "are assumptions without a source" in said


def test_a_dry_side_is_said(capsys):
    _, out, _ = run(capsys, "tilt", "--bore-mm", "8", "--fill-mm", "2", "--degrees", "30")

    assert "One side is dry: at 30 degrees a fill of 2 mm" in " ".join(out.split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((*FREEZE[:3], "--diameter-mm", "50", *FREEZE[5:]), "say a number from 2 to 15."),
        ((*FREEZE, "--cycle", "1.5"), "say a whole number from 1 to 3."),
        ((*FREEZE, "--skin-mm", "thin"), "say a number from 0.3 to 10."),
        (FREEZE[:7], "the following arguments are required: --site"),
    ],
)
def test_what_cannot_be_asked_is_a_usage_fault_that_says_what_can(capsys, words, said):
    code, out, err = run(capsys, *words)

    assert (code, out, said in err) == (2, "", True)


def test_json_is_what_the_service_sends(capsys, toy_book):
    _, freeze, _ = run(capsys, *FREEZE, "--json")
    _, pool, _ = run(capsys, *TILT, "--json")

    path = "/v1/estimates?applicator=cone&diameter_mm=5&seconds=20&site=trunk"
    assert freeze == asyncio.run(sent_by_the_service(toy_book, path)) + "\n"
    assert json.loads(pool)["depths"] == {"shallow_mm": 3.93, "deep_mm": 6.07, "axis_mm": 5.0}
    assert pool == asyncio.run(sent_by_the_service(toy_book, "/v1/pools?bore_mm=8&fill_mm=5&degrees=15")) + "\n"
