"""A result folder is there as a whole or not at all."""

import os
from pathlib import Path

import pytest

from farmsim.errors import CannotWrite
from farmsim.report.folder import as_json, put_texts, write

RESULT = {"run.json": as_json({"program": "farmsim"}), "screen.txt": "one\n"}


def test_folders_above_are_made(tmp_path: Path) -> None:
    write(tmp_path / "a" / "b", lambda part: put_texts(part, RESULT))
    assert sorted(path.name for path in (tmp_path / "a" / "b").iterdir()) == sorted(RESULT)
    assert [path.name for path in (tmp_path / "a").iterdir()] == ["b"]


def test_an_empty_folder_and_an_older_result_are_replaced(tmp_path: Path) -> None:
    folder = tmp_path / "here"
    folder.mkdir()
    write(folder, lambda part: put_texts(part, {**RESULT, "old.csv": ""}))
    write(folder, lambda part: put_texts(part, RESULT))
    assert not (folder / "old.csv").exists()


@pytest.mark.parametrize("fault", [KeyboardInterrupt(), OSError(28, "No space left on device")])
def test_what_breaks_off_leaves_the_older_result(tmp_path: Path, fault: BaseException) -> None:
    folder = tmp_path / "here"
    write(folder, lambda part: put_texts(part, RESULT))

    def half(part: Path) -> None:
        put_texts(part, {"screen.txt": "two\n"})
        raise fault

    with pytest.raises((KeyboardInterrupt, CannotWrite)):
        write(folder, half)
    assert (folder / "screen.txt").read_text(encoding="utf-8") == "one\n"
    assert [path.name for path in tmp_path.iterdir()] == ["here"]


def test_what_breaks_off_takes_the_folders_above_with_it(tmp_path: Path) -> None:
    def half(part: Path) -> None:
        raise OSError(28, "No space left on device")

    with pytest.raises(CannotWrite, match="No space left on device"):
        write(tmp_path / "a" / "b" / "c", half)
    assert list(tmp_path.iterdir()) == []


def test_what_a_killed_program_left_is_cleared_away_later(tmp_path: Path) -> None:
    killed, at_work = tmp_path / ".here-abc.part", tmp_path / ".here-xyz.part"
    put_texts(killed / "new", {"half.csv": ""})
    put_texts(killed / "old", RESULT)
    at_work.mkdir()
    os.utime(killed, (0, 0))
    write(tmp_path / "here", lambda part: put_texts(part, {**RESULT, "screen.txt": "two\n"}))
    assert (tmp_path / "here" / "screen.txt").read_text(encoding="utf-8") == "two\n"
    assert sorted(path.name for path in tmp_path.iterdir()) == [".here-xyz.part", "here"]


def test_a_result_put_aside_by_a_killed_program_comes_back(tmp_path: Path) -> None:
    killed = tmp_path / ".here-abc.part"
    put_texts(killed / "old", RESULT)
    os.utime(killed, (0, 0))

    def half(part: Path) -> None:
        raise OSError(28, "No space left on device")

    with pytest.raises(CannotWrite):
        write(tmp_path / "here", half)
    assert [path.name for path in tmp_path.iterdir()] == ["here"]


def test_a_file_of_that_name_is_refused(tmp_path: Path) -> None:
    (tmp_path / "here").write_text("mine", encoding="utf-8")
    with pytest.raises(CannotWrite, match="is no folder"):
        write(tmp_path / "here", lambda part: None)
