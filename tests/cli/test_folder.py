"""Results replace earlier results of ours, whole; nothing of anybody else's is ever replaced."""

import contextlib

import pytest

from wirebloom.cli.folder import LIST, claim, fresh
from wirebloom.errors import FileError


def write(folder, names):
    with fresh(claim(folder, names), names) as written:
        for name in names:
            (folder / name).write_text("ours")
            written.append(name)


def test_a_second_run_leaves_no_file_of_the_first(tmp_path):
    folder = tmp_path / "deep" / "first_note"
    write(folder, ["take.h5", "motion.png"])
    write(folder, ["take.h5"])
    assert {path.name for path in folder.iterdir()} == {"take.h5", LIST}


def test_a_file_of_somebody_else_is_not_replaced_but_may_stay_beside(tmp_path):
    (tmp_path / "notes.txt").write_text("gap was 1.2 mm")
    write(tmp_path, ["take.h5"])
    (tmp_path / "motion.png").write_text("a photograph")
    with pytest.raises(FileError, match=r"--out must be .*instead received .*motion\.png"):
        claim(tmp_path, ["take.h5", "motion.png"])
    assert (tmp_path / "notes.txt").read_text() == "gap was 1.2 mm"
    assert (tmp_path / "motion.png").read_text() == "a photograph"


def test_a_file_where_the_folder_should_be_is_one_sentence(tmp_path):
    (tmp_path / "out").write_text("")
    for folder in (tmp_path / "out", tmp_path / "out" / "inside"):
        with pytest.raises(FileError, match=r"^--out must be a folder.*instead received"):
            claim(folder, ["take.h5"])


def test_a_list_that_points_elsewhere_removes_nothing_there(tmp_path):
    outside = tmp_path / "precious.txt"
    outside.write_text("mine")
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / LIST).write_text("../precious.txt\n\n.\n..\n" + str(outside) + "\n")
    write(folder, ["take.h5"])
    assert outside.read_text() == "mine"


def test_writing_cut_short_still_knows_what_is_ours(tmp_path):
    with contextlib.suppress(KeyboardInterrupt), fresh(claim(tmp_path, ["take.h5", "motion.png"]), ["take.h5", "motion.png"]):
        (tmp_path / "motion.png").write_text("half")
        raise KeyboardInterrupt
    write(tmp_path, ["take.h5", "motion.png"])
    assert (tmp_path / "motion.png").read_text() == "ours"


def test_a_full_disk_is_one_sentence(tmp_path):
    with pytest.raises(FileError, match=r"No space left"), fresh(claim(tmp_path, []), []):
        raise OSError(28, "No space left on device")
