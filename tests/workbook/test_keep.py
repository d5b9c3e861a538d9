"""What was typed is kept, and nothing that was found is lost."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.workbook import keep
from harmonykit.workbook.keep import Keep


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


TYPING = """
import sys
from harmonykit.workbook.keep import Keep
kept = Keep(sys.argv[1], "trial")
for n in range(1_000_000):
    kept.put(number=str(n), text="x" * 5_000)
    print(n, flush=True)
"""


@pytest.mark.parametrize("seconds", [0.02, 0.05, 0.11])
def test_a_kernel_that_dies_while_writing_loses_no_more_than_the_last_key(tmp_path, seconds):
    path = tmp_path / "kept.json"
    with subprocess.Popen(
        [sys.executable, "-c", TYPING, str(path)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    ) as typing:
        assert typing.stdout is not None
        first = typing.stdout.readline()
        time.sleep(seconds)
        typing.send_signal(signal.SIGKILL)
        said = [first, *typing.stdout.read().splitlines()]
    numbers = [int(line) for line in said if line.strip()]
    assert int(Keep(path, "trial")["number"]) in (numbers[-1], numbers[-1] + 1)
    assert json.loads(path.read_text(encoding="utf-8"))["format"] == 1
