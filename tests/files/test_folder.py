"""The folder appears whole or not at all, and nothing of the user's in it is lost."""

from __future__ import annotations

import errno
import json
import os
import shlex
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.files import folder as folders
from harmonykit.files.folder import check_kind, replaced_whole
from harmonykit.files.lock import Busy, locked
from harmonykit.files.manifest import MANIFEST, Carried, read_manifest, write_manifest


def fill(folder: Path, word: str, kind: str = "lesson") -> None:
    (folder / "word.md").write_text(word)
    (folder / "figures").mkdir()
    (folder / "figures" / "one.svg").write_text(word * 2)
    made = {"word.md": "test", "figures/one.svg": "test"}
    write_manifest(folder, kind, {"lesson": "x"}, made)


def make(out: Path, word: str, kind: str = "lesson") -> list[Carried]:
    with replaced_whole(out, kind) as new:
        fill(new.path, word, kind)
    return new.carried


def names(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))


OURS = ["figures", "figures/one.svg", MANIFEST, "word.md"]


@pytest.fixture(params=["exchange", "two steps"])
def swap(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Run with the system's exchange of names, and without it."""
    if request.param == "two steps":
        monkeypatch.setattr(folders, "exchange", lambda one, other: False)
    return str(request.param)


def test_a_new_folder_and_its_successor(tmp_path: Path, swap: str) -> None:
    out = tmp_path / "deep" / "lesson"
    assert make(out, "old") == make(out, "new") == []
    assert (out / "word.md").read_text() == "new"
    assert names(tmp_path / "deep") == ["lesson", *(f"lesson/{name}" for name in OURS)]


def test_a_failure_leaves_the_old_one(tmp_path: Path) -> None:
    out = tmp_path / "lesson"
    make(out, "old")
    with pytest.raises(RuntimeError), replaced_whole(out, "lesson") as new:
        fill(new.path, "half")
        raise RuntimeError
    assert (out / "word.md").read_text() == "old"
    with pytest.raises(RuntimeError), replaced_whole(tmp_path / "a" / "b", "lesson"):
        raise RuntimeError
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]


def test_what_is_the_users_is_carried_over(tmp_path: Path, swap: str) -> None:
    out = tmp_path / "lesson"
    make(out, "old")
    (out / "word.md").write_text("mine")
    (out / "notes.txt").write_text("notes")
    (out / "figures" / "photo.jpg").write_text("photo")
    (out / "empty" / "deeper").mkdir(parents=True)
    (out / "link").symlink_to("nowhere")
    carried = make(out, "new")
    assert [str(each) for each in carried] == [
        "your figures/photo.jpg is kept",
        "your link is kept",
        "your notes.txt is kept",
        "your changed word.md is kept as word (yours).md",
    ]
    assert (out / "word.md").read_text() == "new"
    assert (out / "word (yours).md").read_text() == "mine"
    (out / "word.md").write_text("mine again")
    assert str(make(out, "newer")[-1]).endswith("kept as word (yours, 2).md")
    kept = ["word (yours).md", "word (yours, 2).md", "notes.txt", "figures/photo.jpg"]
    texts = [(out / name).read_text() for name in kept]
    assert texts == ["mine", "mine again", "notes", "photo"]
    assert os.readlink(out / "link") == "nowhere"
    assert {"empty", "empty/deeper"} <= set(names(out))
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]


def test_a_name_that_is_new_here_takes_nothing_from_the_user(tmp_path: Path, swap: str) -> None:
    # The user's file has a name that we come to use; the user's file stands where we make a folder.
    out = tmp_path / "lesson"
    with replaced_whole(out, "lesson") as new:
        write_manifest(new.path, "lesson", {}, {})
    (out / "word.md").write_text("mine")
    (out / "figures").write_text("mine")
    make(out, "new")
    assert (out / "word.md").read_text() == "new"
    assert (out / "word (yours).md").read_text() == (out / "figures (yours)").read_text() == "mine"


def test_a_folder_of_the_users_where_we_write_a_file(tmp_path: Path, swap: str) -> None:
    out = tmp_path / "lesson"
    make(out, "old")
    (out / "word.md").unlink()
    (out / "word.md").mkdir()
    (out / "word.md" / "inside").write_text("mine")
    make(out, "new")
    assert (out / "word.md").read_text() == "new"
    assert (out / "word (yours).md" / "inside").read_text() == "mine"


def test_what_we_no_longer_make_goes_unless_it_was_edited(tmp_path: Path) -> None:
    out = tmp_path / "lesson"
    with replaced_whole(out, "lesson") as new:
        (new.path / "a").write_text("a")
        (new.path / "b").write_text("b")
        write_manifest(new.path, "lesson", {}, {"a": "test", "b": "test"})
    (out / "b").write_text("edited")
    make(out, "new")
    assert names(out) == sorted(["b (yours)", *OURS])


def test_what_was_saved_while_we_built_is_kept(tmp_path: Path, swap: str) -> None:
    out = tmp_path / "lesson"
    make(out, "old")
    with replaced_whole(out, "lesson") as new:
        fill(new.path, "new")
        (out / "late.txt").write_text("late")
        (out / "word.md").write_text("late")
    assert (out / "late.txt").read_text() == (out / "word (yours).md").read_text() == "late"


def test_what_was_saved_at_the_last_moment_is_kept(
    tmp_path: Path, swap: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Between the first look for what is the user's and the exchange.
    out = tmp_path / "lesson"
    make(out, "old")
    carry = folders.carry

    def saved_after(old: Path, new: Path, ours: dict[str, str]) -> list[Carried]:
        found = carry(old, new, ours)
        if old == out:
            (out / "late.txt").write_text("late")
        return found

    monkeypatch.setattr(folders, "carry", saved_after)
    assert [each.name for each in make(out, "new")] == ["late.txt"]
    assert (out / "late.txt").read_text() == "late"
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]


@pytest.mark.parametrize(
    ("there", "said"),
    [("survey", "a survey"), ("course", "a course"), ("parts", "parts of a tune")],
)
def test_another_kind_is_refused(tmp_path: Path, there: str, said: str) -> None:
    out = tmp_path / "term"
    make(out, "old", there)
    with pytest.raises(HarmonyError, match=f"term holds {said}") as caught:
        make(out, "new")
    assert caught.value.mend == "another folder: --out term-lesson"
    assert (out / "word.md").read_text() == "old"


def test_an_older_manifest_has_no_kind_and_perhaps_no_hash(tmp_path: Path) -> None:
    out = tmp_path / "x"
    out.mkdir()
    old = {"made_by": "harmonykit", "course": "Spring", "lessons": ["01-a"], "files": {"i": {}}}
    (out / MANIFEST).write_text(json.dumps(old))
    (out / "i").write_text("whatever")
    (out / "01-a").mkdir()
    inner = {"made_by": "harmonykit", "lesson": "A", "files": {"p": {"sha256": "0" * 64}}}
    (out / "01-a" / MANIFEST).write_text(json.dumps(inner))
    (out / "01-a" / "p").write_text("edited")
    (out / "01-a" / "notes").write_text("mine")
    assert read_manifest(out)["kind"] == "course"
    assert read_manifest(out / "01-a")["kind"] == "lesson"
    with pytest.raises(HarmonyError, match="x holds a course"):
        make(out, "new")
    make(out, "new", "course")
    assert names(out) == sorted(["01-a", "01-a/notes", "01-a/p (yours)", *OURS])


def test_what_is_not_ours_is_never_replaced(tmp_path: Path) -> None:
    out = tmp_path / "photos"
    out.mkdir()
    (out / "a.jpg").write_text("x")
    for text in (None, '{"made_by": "another"}', "[1]", "{", "[" * 100_000, "\0"):
        if text is not None:
            (out / MANIFEST).write_text(text)
        with pytest.raises(HarmonyError, match="photos holds something other than a"):
            make(out, "new")
    assert names(out) == ["a.jpg", MANIFEST]


def test_a_folder_without_a_file_is_as_good_as_none(tmp_path: Path) -> None:
    # As a full disk leaves it, before the manifest could be written.
    out = tmp_path / "keys"
    (out / "parts" / "inner").mkdir(parents=True)
    check_kind(out, "survey")
    (out / "parts" / "inner" / "link").symlink_to(tmp_path)
    with pytest.raises(HarmonyError, match="keys holds something other than a"):
        check_kind(out, "survey")


def test_what_to_type_is_quoted_for_a_shell(tmp_path: Path) -> None:
    out = tmp_path / "my [x]"
    make(out, "old", "course")
    with pytest.raises(HarmonyError) as caught:
        check_kind(out, "lesson")
    assert shlex.split(caught.value.mend)[-2:] == ["--out", "my [x]-lesson"]


def test_a_file_or_a_link_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(HarmonyError, match="file is not a folder"):
        make(tmp_path / "file", "new")
    with pytest.raises(
        HarmonyError, match="cannot be written: part of the path is a file, not a folder"
    ):
        make(tmp_path / "file" / "inside", "new")
    make(tmp_path / "real", "old")
    (tmp_path / "link").symlink_to(tmp_path / "real")
    with pytest.raises(HarmonyError, match="link is a link") as caught:
        make(tmp_path / "link", "new")
    assert caught.value.mend == f"--out {tmp_path / 'real'}"
    (tmp_path / "round").symlink_to("round")
    with pytest.raises(HarmonyError, match="round is a link"):
        make(tmp_path / "round", "new")
    assert (tmp_path / "real" / "word.md").read_text() == "old"


@pytest.mark.parametrize(
    ("out", "said"),
    [
        ("/", "the root of the disk"),
        (".", "the folder in which you are working"),
        ("", "the folder in which you are working"),
        ("..", "the folder in which you are working"),
        ("../work/../..", "your home folder, or a folder that contains it"),
        ("~", "your home folder"),
        ("a\0b", "is not a path"),
        ("x" * 300, "the name is too long"),
    ],
)
def test_places_that_no_folder_can_take(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, out: str, said: str
) -> None:
    home, work = tmp_path / "home", tmp_path / "home" / "lessons" / "work"
    work.mkdir(parents=True)
    (work / "mine.txt").write_text("mine")
    monkeypatch.chdir(work)
    monkeypatch.setenv("HOME", str(home))
    before = names(tmp_path)
    with pytest.raises(HarmonyError, match=said):
        make(home if out == "~" else Path(out), "new")
    assert names(tmp_path) == before


def test_an_empty_folder_may_be_used(tmp_path: Path, swap: str) -> None:
    (tmp_path / "lesson").mkdir(mode=0o700)
    make(tmp_path / "lesson", "new")
    assert (tmp_path / "lesson" / "word.md").read_text() == "new"
    assert (tmp_path / "lesson").stat().st_mode & 0o777 == 0o700


ODD = ["[a]*?", "two\nlines", "caf\udce9", "-rf", "  ", "a'b\"c$(d)", "ⅳ ♭9", "x" * 200]


@pytest.mark.parametrize("name", ODD)
def test_odd_names(tmp_path: Path, name: str, swap: str) -> None:
    # Beside a folder that a pattern would take for it.
    out, beside = tmp_path / name, tmp_path / ".a.building-mine"
    beside.mkdir()
    (beside / "x").write_text("mine")
    make(out, "old")
    (out / name).write_text("mine")
    make(out, "new")
    assert (out / name).read_text() == "mine"
    assert sorted(os.listdir(tmp_path)) == sorted([".a.building-mine", name])
    (out / "word.md").write_text("mine")
    assert "\n" not in str(make(out, "newer")[0])
    with pytest.raises(HarmonyError) as caught:
        make(out, "new", "course")
    # Printable as UTF-8, on a line of its own.
    assert caught.value.what.encode().endswith(b"holds a lesson") and "\n" not in caught.value.what


def test_a_folder_of_that_name_which_is_the_users_is_left_alone(tmp_path: Path, swap: str) -> None:
    out, backup = tmp_path / "lesson", tmp_path / "lesson.previous"
    make(out, "old")
    make(backup, "backup")
    make(out, "new")
    assert (backup / "word.md").read_text() == "backup"


def test_a_crash_between_the_two_renames_is_put_right(tmp_path: Path) -> None:
    out = tmp_path / "lesson"
    make(out, "old")
    (out / folders._MOVED).touch()
    out.rename(tmp_path / "lesson.previous")
    with pytest.raises(RuntimeError), replaced_whole(out, "lesson"):
        raise RuntimeError
    assert names(tmp_path) == ["lesson", *(f"lesson/{name}" for name in OURS)]


@pytest.mark.parametrize("name", ["lesson.previous", ".lesson.building-abc"])
def test_a_crash_after_them_is_put_right(tmp_path: Path, name: str) -> None:
    out, left = tmp_path / "lesson", tmp_path / name
    make(out, "new")
    make(left, "old")
    (left / folders._MOVED).touch()
    (left / "late.txt").write_text("saved at the last moment")
    make(out, "newest")
    assert (out / "word.md").read_text() == "newest"
    assert names(out) == sorted([*OURS, "late.txt"])
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]


def test_a_crash_while_the_old_one_is_removed_is_put_right(tmp_path: Path) -> None:
    out = tmp_path / "lesson"
    make(out, "new")
    half = tmp_path / ".lesson.building-1-old"
    half.mkdir()
    (half / "word").write_text("old")
    make(out, "newest")
    assert (out / "word.md").read_text() == "newest"
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]


def test_two_at_once_one_is_told_to_wait(tmp_path: Path) -> None:
    out = tmp_path / "lesson"
    make(out, "old")
    said = []

    def second() -> None:
        try:
            make(out, "second")
        except Busy as error:
            said.append(str(error))

    with replaced_whole(out, "lesson") as new:
        thread = threading.Thread(target=second)
        thread.start()
        thread.join()
        fill(new.path, "first")
    assert "lesson is being written by another program" in said[0]
    assert (out / "word.md").read_text() == "first"
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]


def test_two_folders_side_by_side_do_not_wait(tmp_path: Path) -> None:
    with replaced_whole(tmp_path / "a", "lesson") as new:
        make(tmp_path / "b", "b")
        fill(new.path, "a")
    assert sorted(os.listdir(tmp_path)) == ["a", "b"]


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EFBIG])
def test_a_full_disk_is_one_message(tmp_path: Path, number: int) -> None:
    out = tmp_path / "lesson"
    make(out, "old")
    with pytest.raises(HarmonyError) as caught, replaced_whole(out, "lesson"):
        # As a write does, which knows no name.
        raise OSError(number, os.strerror(number))
    words = {
        errno.ENOSPC: "the disk is full",
        errno.EDQUOT: "your disk quota is used up",
        errno.EROFS: "the disk is read-only",
        errno.EFBIG: "the system allows no file of that size",
    }
    assert caught.value.what == f"{out} cannot be written: {words[number]}"
    assert caught.value.mend
    assert names(tmp_path) == ["lesson", *(f"lesson/{name}" for name in OURS)]


WRITER = """
import sys
from pathlib import Path
from harmonykit.files.folder import check_kind, replaced_whole
from harmonykit.files.manifest import write_manifest
print("ready", flush=True)
for round in range(10_000):
    with replaced_whole(Path(sys.argv[1]), "lesson") as new:
        for name in "abcdef":
            (new.path / name).write_text(str(round) * 2000)
        write_manifest(new.path, "lesson", {}, dict.fromkeys("abcdef", "test"))
    print(round, flush=True)
"""


@pytest.mark.parametrize("count", [5, pytest.param(100, marks=pytest.mark.long)])
def test_killed_at_any_moment_the_folder_is_whole(tmp_path: Path, count: int) -> None:
    """After each kill the folder is one whole round, and has what is the user's."""
    out = tmp_path / "lesson"
    with replaced_whole(out, "lesson") as new:
        write_manifest(new.path, "lesson", {}, {})
    mine = {"notes.txt": "notes", "deep/er/photo": "photo", "a (yours)": "edited"}
    for name, text in mine.items():
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        (out / name).write_text(text)
    for number in range(count):
        command = [sys.executable, "-c", WRITER, str(out)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as process:
            assert process.stdout is not None
            for _ in range(2 + number % 3):
                process.stdout.readline()
            # Somewhere in the next round: as many turns of a loop as chance has it.
            for _ in range(1_000 * (number % 23)):
                pass
            process.send_signal(signal.SIGKILL)
        assert {name: (out / name).read_text() for name in mine} == mine
        words = {path.read_text() for path in out.iterdir() if path.name in set("abcdef")}
        assert (out / MANIFEST).is_file() and len(words) == 1
    with locked(out):
        pass
    make(out, "last")
    assert [p.name for p in tmp_path.iterdir()] == ["lesson"]
    assert names(out) == sorted([*mine, "deep", "deep/er", *OURS])
