"""Files of the user's: bounded, decoded."""

from __future__ import annotations

import os

import pytest

from harmonykit import files
from harmonykit.errors import HarmonyError


def test_no_more_is_read_than_the_limit(tmp_path):
    path = tmp_path / "x"
    path.write_bytes(b"abcde")
    assert files.read_bytes(path, 5) == b"abcde"
    with pytest.raises(HarmonyError, match="too large") as caught:
        files.read_bytes(path, 4)
    assert caught.value.rule == "4 bytes at most"


@pytest.mark.skipif(not os.path.exists("/dev/zero"), reason="needs a file without an end")
def test_a_file_without_an_end_is_refused():
    from pathlib import Path

    with pytest.raises(HarmonyError, match="too large"):
        files.read_bytes(Path("/dev/zero"), 1_000)


def test_missing_folders_and_mangled_paths_are_said(tmp_path):
    with pytest.raises(HarmonyError, match="missing file"):
        files.read_bytes(tmp_path / "none", 5)
    with pytest.raises(HarmonyError, match="cannot be read"):
        files.read_bytes(tmp_path, 5)
    with pytest.raises(HarmonyError, match="not a path"):
        files.read_bytes(tmp_path / "a\0b", 5)


def test_text_has_one_kind_of_line_end_and_no_mark(tmp_path):
    path = tmp_path / "x.txt"
    path.write_bytes(b"\xef\xbb\xbfone\r\ntwo\rthree\n")
    assert files.read_text(path, 100) == "one\ntwo\nthree\n"


def test_bytes_that_are_no_text_have_a_place(tmp_path):
    path = tmp_path / "x.txt"
    path.write_bytes("one\ntwé".encode("latin-1"))
    with pytest.raises(HarmonyError, match="not UTF-8") as caught:
        files.read_text(path, 100)
    place = caught.value.place
    assert place is not None and (place.line, place.column) == (2, 3)
