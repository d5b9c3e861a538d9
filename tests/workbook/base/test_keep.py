"""What was typed is kept, and nothing that was found is lost; what is set, as a line of text."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base import keep
from harmonykit.workbook.base.keep import Keep, read_state, write_state
from harmonykit.workbook.panels.catalogue_filter import CatalogueState
from harmonykit.workbook.panels.clock import ClockState
from harmonykit.workbook.panels.cube import CubeState
from harmonykit.workbook.panels.distance_scene import DistanceState
from harmonykit.workbook.panels.neck import NeckState
from harmonykit.workbook.panels.one_note_move import OneNoteState


def test_what_was_typed_is_found_by_the_next_kernel(tmp_path):
    path = tmp_path / "kept.json"
    Keep(path, "trial").put(tune="| C♯°7 |\n", bars="4")
    Keep(path, "trial").put(bars="8")
    found = Keep(path, "trial")
    assert dict(zip(found, map(found.get, found), strict=True)) == {
        "tune": "| C♯°7 |\n",
        "bars": "8",
    }
    assert "other" not in found and found.get("other", "-") == "-"
    assert found.trouble == ""


def test_nothing_is_written_before_something_is_typed(tmp_path):
    kept = Keep(tmp_path / "kept.json", "trial")
    kept.put()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "found",
    [
        b"",
        b"{",
        b"\xff\xfe",
        b"[1]",
        b"[" * 100_000,
        b'{"format": 2, "made_by": "harmonykit", "kind": "trial", "typed": {}}',
        b'{"format": 1, "made_by": "harmonykit", "kind": "other", "typed": {}}',
        b'{"format": 1, "made_by": "harmonykit", "kind": "trial", "typed": {"a": 1}}',
        b'{"format": 1, "made_by": "harmonykit", "kind": "trial"}',
    ],
)
def test_a_file_that_cannot_be_read_is_moved_aside(tmp_path, found):
    path = tmp_path / "kept.json"
    (tmp_path / "kept.unread-1.json").write_bytes(b"older")
    path.write_bytes(found)
    kept = Keep(path, "trial")
    assert "kept.unread-2.json" in kept.trouble
    kept.put(tune="new")
    assert (tmp_path / "kept.unread-1.json").read_bytes() == b"older"
    assert (tmp_path / "kept.unread-2.json").read_bytes() == found
    assert Keep(path, "trial")["tune"] == "new"


def test_what_would_not_be_read_again_is_not_written(tmp_path, monkeypatch):
    monkeypatch.setattr(keep, "MOST_BYTES", 300)
    kept = Keep(tmp_path / "kept.json", "trial")
    kept.put(tune="short")
    with pytest.raises(HarmonyError, match="too large"):
        kept.put(tune="x" * 300)
    assert Keep(kept.path, "trial")["tune"] == "short"


def test_cleared_is_gone(tmp_path):
    kept = Keep(tmp_path / "kept.json", "trial")
    kept.put(tune="x")
    kept.clear()
    assert list(tmp_path.iterdir()) == [] and list(kept) == []


def test_a_second_page_erases_nothing(tmp_path):
    path = tmp_path / "kept.json"
    one = Keep(path, "trial")
    one.put(tune="older", settings="1")
    other = Keep(path, "trial")
    assert one.put(tune="a new tune") == ""
    said = other.put(tune="older", settings="2")
    assert "another page wrote to kept.json" in said and "kept-2.json" in said
    assert other.put(settings="3") == "" and one.put(settings="4") == ""
    assert Keep(path, "trial")["tune"] == "a new tune"
    found = Keep(tmp_path / "kept-2.json", "trial")
    assert (found["tune"], found["settings"]) == ("older", "3")
    assert Keep(path, "trial").trouble == "kept-2.json holds the text of another page"
    third = Keep(path, "trial")
    third.clear()
    assert sorted(each.name for each in tmp_path.iterdir()) == ["kept-2.json"]


def test_a_page_that_is_run_again_goes_on_in_the_same_file(tmp_path):
    path = tmp_path / "kept.json"
    for number in range(3):
        assert Keep(path, "trial").put(tune=f"tune {number}") == ""
    assert [each.name for each in tmp_path.iterdir()] == ["kept.json"]


def test_what_another_wrote_is_not_cleared(tmp_path):
    one, other = (Keep(tmp_path / "kept.json", "trial") for _ in range(2))
    one.put(tune="x")
    other.clear()
    assert Keep(one.path, "trial")["tune"] == "x"


PAGES = """
import sys
from harmonykit.workbook.base.keep import Keep
kept = Keep(sys.argv[1], "trial")
for n in range(60):
    kept.put(tune=f"{sys.argv[2]} {n}", text="x" * 5_000)
print(kept.path.name)
"""


def test_four_pages_that_type_at_once_keep_what_each_typed(tmp_path):
    path = tmp_path / "kept.json"
    pages = [
        subprocess.Popen(
            [sys.executable, "-c", PAGES, str(path), name],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        )
        for name in ("one", "two", "three", "four")
    ]
    files = [page.communicate()[0].strip() for page in pages]
    # A page that began when another had ended goes on in its file; each last text is there.
    kept = {each.name: Keep(each, "trial")["tune"] for each in tmp_path.iterdir()}
    assert set(files) == set(kept) and all(text.endswith(" 59") for text in kept.values())


TYPING = """
import sys
from harmonykit.workbook.base.keep import Keep
kept = Keep(sys.argv[1], "trial")
for n in range(1_000_000):
    kept.put(number=str(n), text="x" * 5_000)
    print(n, flush=True)
"""


@pytest.mark.parametrize("lines", [1, 5, 40])
def test_a_kernel_that_dies_while_writing_loses_no_more_than_the_last_key(tmp_path, lines):
    path = tmp_path / "kept.json"
    with subprocess.Popen(
        [sys.executable, "-c", TYPING, str(path)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    ) as typing:
        assert typing.stdout is not None
        first = [typing.stdout.readline() for _ in range(lines)]
        typing.send_signal(signal.SIGKILL)
        said = [*first, *typing.stdout.read().splitlines()]
    numbers = [int(line) for line in said if line.strip()]
    assert int(Keep(path, "trial")["number"]) in (numbers[-1], numbers[-1] + 1)
    assert json.loads(path.read_text(encoding="utf-8"))["format"] == 1
    # Nothing is left of what was being written, nor of the lock.
    Keep(path, "trial").put(number="last")
    assert [each.name for each in tmp_path.iterdir()] == ["kept.json"]


def test_what_a_killed_kernel_left_half_written_is_swept_away(tmp_path):
    path = tmp_path / "kept.json"
    Keep(path, "trial").put(tune="| C6 |")
    left, other = tmp_path / ".kept.json.abc.part", tmp_path / ".other.json.abc.part"
    left.write_text('{"format": 1, "ki')
    other.write_text("")
    assert Keep(path, "trial")["tune"] == "| C6 |"
    assert not left.exists() and other.exists()


STATES = [
    ("clock", ClockState(PcSet.of(0, 3, 6, 9), axes=True, mirror=7)),
    ("neck", NeckState(PcSet.of(0, 4, 7, 9), "C6", "baritone ukulele", 2)),
    ("one-note", OneNoteState("C#dim7", "raise", 4, True, "guitar")),
    ("distance", DistanceState(("C6/E", "F#m7b5", "Bb"), "inf", True, 3, 1)),
    ("cube", CubeState("Ddim7", ("0000", "0100", "0110"))),
    (
        "catalogue",
        CatalogueState("7-Z18", "7", ". . 4 . . .", "turns or mirrors", "0 3 6", "C7b9", 11),
    ),
]


@pytest.mark.parametrize(("kind", "state"), STATES)
def test_a_line_says_all(kind: str, state: object) -> None:
    line = write_state(kind, state)
    assert "\n" not in line and line.startswith(f"{kind} 1;")
    assert read_state(kind, type(state)(), line) == state
    assert read_state(kind, type(state)(), f"  {line.replace('; ', ' ;')}\n") == state


@given(st.integers(0, 4095), st.booleans(), st.integers(0, 11))
def test_there_and_back(mask: int, axes: bool, mirror: int) -> None:
    state = ClockState(PcSet(mask), axes=axes, mirror=mirror)
    assert read_state("clock", ClockState(), write_state("clock", state)) == state


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("", "not a saved line of a clock panel"),
        ("neck 1; notes=047", "not a saved line of a clock panel"),
        ("clock 2; notes=047", "not a saved line of a clock panel"),
        ("clock 1; colour=red", "unknown setting 'colour'"),
        ("clock 1; axes=maybe", "axes='maybe' cannot be read"),
        ("clock 1; mirror=seven", "mirror='seven' cannot be read"),
        ("clock 1; mirror=12", "T12I"),
        ("clock 1; notes=0H", "not a pitch-class set"),
        ("clock 1; chord=C7; notes=0", "not those of C7"),
    ],
)
def test_what_is_no_state_is_refused(line: str, said: str) -> None:
    with pytest.raises(HarmonyError, match=said):
        read_state("clock", ClockState(), line)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    for line in (text, f"clock 1; {text}", f"clock 1; notes={text}"):
        try:
            assert isinstance(read_state("clock", ClockState(), line), ClockState)
        except HarmonyError:
            continue
