"""Released rule books answer as they did, are never changed, and are refused when they are not what was released."""

import datetime
import json

import pytest
import rfc8785

from decision.errors import RuleBookError, UnknownVersion
from decision.freeze.table_file import TABLE, digest
from decision.reviewer.released import FREEZE_TABLES, newest_release, read_release, releases_in, write_release
from decision.reviewer.shelf import Shelf
from tests.decision.reviewer.conftest import message

TODAY = datetime.date(2026, 11, 24)


@pytest.fixture
def released(small_book, tmp_path):
    return write_release(small_book, tmp_path / "released")


def changed(path, change):
    data = json.loads(path.read_text())
    change(data)
    path.write_text(json.dumps(data))


def test_a_release_is_named_for_its_version(released):
    assert released.name == "2026.11.0.json"


def test_a_release_read_back_is_the_same_rule_book(released, small_book):
    release = read_release(released)

    assert release.folder.digest == small_book.digest
    assert release.freeze_table.digest == small_book.freeze_table["digest"]


def test_a_release_keeps_the_order_of_the_answers_of_a_ladder(released, small_book):
    nodes = {node.name: list(node.answers) for node in read_release(released).folder.decisions}

    assert nodes == {node.name: list(node.answers) for node in small_book.folder.decisions}


def test_every_shipped_case_is_answered_by_the_release_as_before(shipped_book, presentations, tmp_path):
    again = read_release(write_release(shipped_book, tmp_path)).book()
    inputs = shipped_book.vocabulary.inputs
    for facts in presentations.values():
        data = {"as_of": "2026-11-24", "patient": {}, "lesions": [{"lesion_id": "one"}]}
        for name, value in facts.items():
            if inputs[name].about in ("patient", "lesion"):
                (data["patient"] if inputs[name].about == "patient" else data["lesions"][0])[name] = value
        answers = [book.recommend(book.read(data, today=TODAY)) for book in (shipped_book, again)]

        assert answers[0] == answers[1]
    again.close()


def test_a_release_is_written_as_rfc_8785_bytes(released):
    assert released.read_bytes() == rfc8785.dumps(json.loads(released.read_bytes()))


def test_a_release_that_is_not_in_order_is_refused(released):
    changed(released, lambda data: data["written"].update({"plan/decision.yaml": {"quantities": {"in_order": ["a"]}}}))

    with pytest.raises(RuleBookError, match="no released rule book"):
        read_release(released)


def test_the_newest_release_is_the_latest_in_the_calendar(tmp_path):
    (tmp_path / "released").mkdir()
    for version in ("2026.11.9", "2026.11.10", "2026.02.30"):
        (tmp_path / "released" / f"{version}.json").touch()

    assert list(releases_in(tmp_path)) == ["2026.02.30", "2026.11.9", "2026.11.10"]
    assert newest_release(tmp_path).name == "2026.11.10.json"


def test_a_folder_without_releases_has_no_newest_one(tmp_path):
    assert newest_release(tmp_path) is None


def test_releasing_twice_changes_nothing(released, small_book):
    before = released.read_bytes()

    write_release(small_book, released.parent)

    assert released.read_bytes() == before


def test_another_rule_book_of_the_same_version_is_refused(released, book_with):
    other = book_with({"suitability/watch_the_ear.yaml": None})

    with pytest.raises(RuleBookError, match=r"2026\.11\.0 is released with other rules. Raise the version"):
        write_release(other, released.parent)


def test_a_changed_rule_in_a_release_is_noticed(released):
    changed(released, lambda data: data["written"]["suitability/watch_the_ear.yaml"].update(purpose="Another purpose."))

    with pytest.raises(RuleBookError, match="not what was released"):
        read_release(released)


def test_answers_put_in_another_order_are_noticed(released):
    def turn(data):
        answers = data["written"]["suitability/decision.yaml"]["answers"]["in_order"]
        answers[:] = [part for i in range(len(answers) - 2, -1, -2) for part in answers[i : i + 2]]

    changed(released, turn)

    with pytest.raises(RuleBookError, match="not what was released"):
        read_release(released)


@pytest.mark.parametrize("text", ["{}", "", '{"written": {"plan": 7}}'])
def test_a_file_that_is_no_release_is_refused(tmp_path, text):
    path = tmp_path / "2026.11.0.json"
    path.write_text(text)

    with pytest.raises(RuleBookError, match="no released rule book"):
        read_release(path)


def test_the_shelf_gives_a_released_book_by_its_version(released):
    shelf = Shelf(released.parents[1])

    assert shelf.of("2026.11.0").version == "2026.11.0"
    assert shelf.of("2026.11.0") is shelf.of("2026.11.0")
    shelf.close()


def test_the_shelf_refuses_a_version_that_is_not_at_hand(released):
    with pytest.raises(UnknownVersion, match=r"the released rule books are 2026\.11\.0\."):
        Shelf(released.parents[1]).of("2020.01.0")


def test_a_case_that_pins_a_release_is_answered_by_it(released):
    shelf = Shelf(released.parents[1])

    answer = shelf.of("2026.11.0").recommend({**message(), "rule_book_version": "2026.11.0"})

    assert answer["rule_book"]["version"] == "2026.11.0"
    shelf.close()


def by_another_table(path):
    """Have a release say that it was released with a table whose pools freeze one part in a hundred deeper."""
    table = json.loads(TABLE.read_bytes())
    for rows in table["bands"]["cone"]["trunk"]:
        for node in rows:
            node[:3] = [1.01 * depth_mm for depth_mm in node[:3]]  # p10, p50 and p90 of the depth of the ice
    table["digest"] = digest(table)
    kept = path.parent / FREEZE_TABLES / f"{table['digest'].removeprefix('sha-256:')}.json"
    kept.write_text(json.dumps(table))
    changed(path, lambda data: data["freeze_table"].update(digest=table["digest"]))
    return kept


def test_a_release_keeps_its_freeze_table(released, small_book):
    kept = released.parent / FREEZE_TABLES / f"{small_book.freeze_table['digest'].removeprefix('sha-256:')}.json"

    assert kept.read_bytes() == TABLE.read_bytes()


def test_a_release_answers_by_the_freeze_table_that_it_was_released_with(shipped_book, tmp_path):
    path = write_release(shipped_book, tmp_path)
    by_another_table(path)
    data = {
        "as_of": "2026-11-24",
        "patient": {"species": "dog"},
        "lesions": [{"lesion_id": "one", "site": "trunk"}],
        "equipment": {"cryogen": "dimethyl_ether_propane", "cone_bores_mm": [5]},
    }

    again = read_release(path).book()
    reach_mm = []
    for book in (shipped_book, again, shipped_book):
        case = book.read(data, today=TODAY)
        reach_mm.append(book.facts_of(case, case.lesions[0]).known["reach_mm"])
    again.close()

    assert again.freeze_table["digest"] != shipped_book.freeze_table["digest"]
    assert reach_mm[1] == pytest.approx(1.01 * reach_mm[0], abs=0.001)  # rounded to it
    assert reach_mm[2] == reach_mm[0]


def test_a_freeze_table_that_is_not_what_was_released_is_refused(released):
    kept = by_another_table(released)
    changed(kept, lambda table: table.update(seed=1))

    with pytest.raises(RuleBookError, match=f"{FREEZE_TABLES}/{kept.name}: the freeze table of this release"):
        read_release(released)


def test_a_freeze_table_that_is_missing_is_refused(released):
    by_another_table(released).unlink()

    with pytest.raises(RuleBookError, match="the freeze table of this release"):
        read_release(released)
