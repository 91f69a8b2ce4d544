"""Past cases answered by two rule books: every case once, the same counts wherever they are counted."""

import itertools
import json
import os
import signal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decision.reviewer.case_file import cases_between, ranges_of
from decision.reviewer.released import write_release
from decision.reviewer.replay import replay, score_range
from decision.reviewer.replay_report import replay_html, replay_markdown
from decision.reviewer.replay_tally import DIRECTIONS, added
from tests.decision.reviewer.conftest import message
from tests.small_folder import small_files, write

WIDTHS = [6, 9.9, 10, 12, 30]


@pytest.fixture(scope="module")
def folders(tmp_path_factory):
    """The small folder as it is, and one that samples from 12 mm only and says nothing of pregnancy."""
    root = tmp_path_factory.mktemp("replay")
    files = small_files()
    before = write(root / "before", files)
    wide = files["suitability/sample_a_wide_one.yaml"]
    wide["when"] = {"base_width_mm": ">= 12"}
    for example in wide["examples"]:
        example["case"]["base_width_mm"] = 12
    files["suitability/freeze_a_small_one.yaml"]["when"]["base_width_mm"] = "< 12"
    for example in files["suitability/freeze_a_small_one.yaml"]["examples"]:
        example["case"]["base_width_mm"] = {9.9: 11.9, 10: 12}[example["case"]["base_width_mm"]]
    del files["cautions/say_that_it_is_pregnant.yaml"]
    return str(before), str(write(root / "after", files))


@pytest.fixture
def cases(tmp_path):
    """Cases of five widths, one of a pregnant patient, one line that is no case and one empty line."""
    lines = [json.dumps(message(base_width_mm=width)) for width in WIDTHS]
    lines += [json.dumps({"case": message(pregnant=True)}), '{"patient": 7}', ""]
    path = tmp_path / "cases.jsonl"
    path.write_text("\n".join(lines) + "\n")
    return path


def test_cases_are_counted_by_what_becomes_of_their_verdict(cases, folders):
    tally = replay(cases, *folders, workers=1)

    assert (tally["cases"], tally["unusable"], tally["lesions"]) == (7, 1, 6)
    assert tally["verdicts"] == {"sample_first -> suitable": 1}
    assert tally["directions"] == {"less cautious": 1}


def test_a_change_is_told_by_the_rules_it_rests_on(cases, folders):
    tally = replay(cases, *folders, workers=1)

    assert tally["rules"] == {
        "suitability/freeze_a_small_one": {"less cautious": 1},
        "suitability/sample_a_wide_one": {"less cautious": 1},
    }


def test_other_statements_are_counted_apart_from_verdicts(cases, folders):
    tally = replay(cases, *folders, workers=1)

    assert tally["other_statements_only"] == 1
    assert tally["statements"] == {"cautions/say_that_it_is_pregnant": 1}


def test_an_example_holds_its_case_and_its_place_in_the_file(cases, folders):
    example = replay(cases, *folders, workers=1)["examples"]["sample_first -> suitable"][0]

    text = cases.read_bytes()[example["place"] :].split(b"\n")[0]
    assert json.loads(text) == example["case"] == message(base_width_mm=10)


def test_the_same_rules_change_nothing(cases, folders):
    tally = replay(cases, folders[0], folders[0], workers=1)

    assert tally["same"] == tally["lesions"]


def test_a_released_rule_book_replays_as_its_folder(cases, folders, small_book, tmp_path):
    released = write_release(small_book, tmp_path / "released")

    assert replay(cases, str(released), folders[1], workers=1) == replay(cases, *folders, workers=1)


def test_two_processes_count_what_one_does(tmp_path, folders):
    path = tmp_path / "many.jsonl"
    path.write_text("".join(json.dumps(message(base_width_mm=5 + i % 90 / 10)) + "\n" for i in range(2000)))

    done = []
    tally = replay(path, *folders, workers=2, done=lambda count, whole: done.append((count, whole)))

    assert tally == replay(path, *folders, workers=1)
    assert done[-1][0] == done[-1][1] > 1


def test_parts_of_other_rule_books_are_never_added(cases, folders):
    size = cases.stat().st_size
    parts = [score_range(str(cases), 0, size, *rules) for rules in (folders, folders[::-1])]

    with pytest.raises(ValueError, match="answered by other rule books"):
        added(parts)


def test_an_empty_file_has_no_case(tmp_path, folders):
    path = tmp_path / "none.jsonl"
    path.write_text("")

    assert replay(path, *folders, workers=1)["cases"] == 0


@given(
    lines=st.lists(st.binary(max_size=9).map(lambda line: line.replace(b"\n", b"")), max_size=9),
    cuts=st.lists(st.integers(0, 60), max_size=5),
)
def test_every_line_lies_in_one_range_wherever_the_file_is_cut(tmp_path_factory, lines, cuts):
    path = tmp_path_factory.mktemp("cut") / "lines.jsonl"
    path.write_bytes(b"\n".join(lines))
    size = path.stat().st_size
    ends = [0, *sorted(min(cut, size) for cut in cuts), size]

    found = [one for start, stop in itertools.pairwise(ends) for one in cases_between(path, start, stop)]

    assert [text.rstrip(b"\n") for _, text in found] == [line for line in lines if line.strip()]


def test_ranges_cover_a_file_without_overlap(tmp_path):
    path = tmp_path / "big.jsonl"
    path.write_bytes(b"x" * 1_000_000)

    ranges = ranges_of(path, 3)

    assert [start for start, _ in ranges[1:]] == [stop for _, stop in ranges[:-1]]
    assert (ranges[0][0], ranges[-1][1]) == (0, 1_000_000)


def test_parquet_replays_as_json_lines(cases, folders, tmp_path):
    pyarrow = pytest.importorskip("pyarrow")
    from pyarrow import parquet

    lines = [line for line in cases.read_text().splitlines() if line]
    path = tmp_path / "cases.parquet"
    parquet.write_table(pyarrow.table({"case": lines}), path)

    tally, wanted = replay(path, *folders, workers=1), replay(cases, *folders, workers=1)
    for one in (tally, wanted):
        one["unusable_places"] = one["examples"] = None  # places are rows here and bytes there
    assert tally == wanted


def test_a_cluster_counts_what_one_process_does_though_a_worker_is_killed(tmp_path, folders):
    distributed = pytest.importorskip("distributed")
    from decision.reviewer.replay_dask import replay_on

    path = tmp_path / "many.jsonl"
    path.write_text("".join(json.dumps(message(base_width_mm=5 + i % 90 / 10)) + "\n" for i in range(6000)))
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        victim = next(iter(client.run(os.getpid).values()))
        client.submit(score_range, str(path), 0, 1000, *folders, pure=False)
        os.kill(victim, signal.SIGKILL)

        tally = replay_on(client, path, *folders)

    assert tally == replay(path, *folders, workers=1)


def test_the_reports_hold_the_same_figures(cases, folders):
    tally = replay(cases, *folders, workers=1)
    markdown, page = replay_markdown(tally), replay_html(tally)

    assert "| sample_first -> suitable | 1 |" in markdown.replace(r"\>", ">")
    assert '<th scope="row">sample_first -&gt; suitable</th><td>1</td>' in page
    assert page.count("<svg") == sum(1 for name in ("directions", "verdicts", "rules", "statements") if tally[name])


def test_the_chart_of_rules_tells_directions_apart_by_pattern_and_by_figure(cases, folders):
    page = replay_html(replay(cases, *folders, workers=1))

    assert "suitability/sample_a_wide_one: 1 (1 less cautious)" in page
    assert all(f">{direction}</text>" in page for direction in DIRECTIONS)


def test_every_direction_that_is_counted_has_a_place_in_the_chart(cases, folders):
    tally = replay(cases, *folders, workers=1)

    assert tally["directions"].keys() <= set(DIRECTIONS)
