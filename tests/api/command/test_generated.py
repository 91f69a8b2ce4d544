"""Generated files: written, compared, and cleared of what is generated no longer."""

from __future__ import annotations

from api.command.generated import SHOWN, differences, write

FILES = {"a.schema.json": "one\n", "b.schema.json": "two\n"}


def test_written_files_do_not_differ(tmp_path):
    write(tmp_path / "schema", FILES)

    assert differences(tmp_path / "schema", FILES) == []


def test_a_folder_that_is_not_there_differs(tmp_path):
    assert "+one" in differences(tmp_path / "schema", FILES)


def test_a_changed_line_is_shown_as_written_and_as_generated(tmp_path):
    write(tmp_path / "schema", {**FILES, "b.schema.json": "too\n"})

    lines = differences(tmp_path / "schema", FILES)

    assert [line for line in lines if line in ("-too", "+two")] == ["-too", "+two"]


def test_a_file_that_is_generated_no_longer_is_a_difference_and_goes(tmp_path):
    folder = tmp_path / "schema"
    write(folder, {**FILES, "c.schema.json": "three\n"})

    before = differences(folder, FILES)
    write(folder, FILES)

    assert "-three" in before
    assert sorted(path.name for path in folder.iterdir()) == sorted(FILES)


def test_a_file_of_another_kind_is_left_alone(tmp_path):
    (tmp_path / "README.md").write_text("by hand\n")

    write(tmp_path, FILES)

    assert (differences(tmp_path, FILES), (tmp_path / "README.md").read_text()) == ([], "by hand\n")


def test_a_long_difference_is_cut_and_says_so(tmp_path):
    long = {"a.schema.json": "line\n" * 1000}

    lines = differences(tmp_path, long)

    assert len(lines) == SHOWN + 1
    assert lines[-1] == "... and 803 lines more"  # 1000 lines and 3 of heading, 200 of them shown
