"""The progress file: whole lines, whatever happens; refused and left alone where it is not ours."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.practice import progress as module
from harmonykit.practice.progress import Progress, read_progress
from harmonykit.practice.question import LEVELS
from harmonykit.practice.sitting import Answered, Owner, Standing


def answer(number: int, score: float = 1.0, level: int = 1, written: str = "A♭ „so“") -> Answered:
    at = f"2031-05-04T17:{number // 60 % 60:02d}:{number % 60:02d}"
    return Answered(at, "quay", number, "scale", "words", level, score, 0, written)


def filled(path: Path, count: int) -> Progress:
    progress = Progress(path)
    for number in range(1, count + 1):
        progress.add(answer(number))
    return progress


def test_what_was_added_is_found_again_with_its_standing(tmp_path: Path) -> None:
    path = tmp_path / "mine.jsonl"
    filled(path, 4)
    again = Progress(path)
    assert again.answers == [answer(number) for number in range(1, 5)]
    assert (
        again.trouble == ""
        and again.standings() == {"scale": Standing(1, 4)}
        or (again.standings()["scale"] == Standing(1, 1))
    )
    again.add(answer(5))
    assert len(read_progress(path).answers) == 5


def test_the_file_says_its_format_and_is_readable_text(tmp_path: Path) -> None:
    path = tmp_path / "mine.jsonl"
    assert not path.exists()
    filled(path, 1)
    head, line = path.read_text(encoding="utf-8").splitlines()
    assert json.loads(head)["format"] == 2 and "A♭ „so“" in line


def test_nothing_is_written_before_there_is_an_answer(tmp_path: Path) -> None:
    Progress(tmp_path / "mine.jsonl")
    assert list(tmp_path.iterdir()) == []


def test_torn_at_any_byte_it_loses_the_torn_line_alone_and_goes_on(tmp_path: Path) -> None:
    path = tmp_path / "mine.jsonl"
    filled(path, 3)
    data = path.read_bytes()
    ends = [n + 1 for n, byte in enumerate(data) if byte == 10]
    for size in range(len(data)):
        path.write_bytes(data[:size])
        # A line of which the line feed alone is missing is whole.
        whole = sum(end - 1 <= size for end in ends)
        again = Progress(path)
        assert len(again.answers) == max(0, whole - 1)
        assert bool(again.trouble) == (size > 0 and not {size, size + 1} & {*ends})
        again.add(answer(9))
        after = read_progress(path)
        assert len(after.answers) == max(0, whole - 1) + 1 and after.trouble == ""


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b'{"format": 3, "made_by": "harmonykit", "kind": "exercises"}\n', "format 3"),
        (b'{"format": 1, "made_by": "harmonykit", "kind": "keep"}\n', "not an exercise file"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "damaged, or not an exercise file"),
        (b"my shopping list\n", "damaged, or not an exercise file"),
        (b"[1, 2]\n", "damaged, or not an exercise file"),
        (b'{"format": 1}\n', "not an exercise file"),
        (b"[" * 100_000 + b"\n", "damaged"),
    ],
)  # fmt: skip
def test_a_later_or_a_foreign_file_is_refused_and_left_alone(
    tmp_path: Path, data: bytes, said: str
) -> None:
    path = tmp_path / "mine.jsonl"
    path.write_bytes(data)
    with pytest.raises(HarmonyError, match=said):
        Progress(path)
    assert path.read_bytes() == data


@pytest.mark.parametrize(
    "change",
    [
        lambda line: line[:-20],
        lambda line: line.replace(b'"scale"', b'"songs"'),
        lambda line: line.replace(b"1.0", b"7.5"),
        lambda line: line.replace(b'"level": 1', b'"level": true'),
        lambda line: line.replace(b'"hints": 0', b'"hints": -1'),
        lambda line: b"{}",
        lambda line: b"\xff\xfe",
    ],
)
def test_a_file_broken_within_is_refused_with_its_line(tmp_path: Path, change: object) -> None:
    path = tmp_path / "mine.jsonl"
    filled(path, 3)
    lines = path.read_bytes().split(b"\n")
    lines[2] = change(lines[2])  # type: ignore[operator]
    data = b"\n".join(lines)
    path.write_bytes(data)
    with pytest.raises(HarmonyError, match="line 3"):
        Progress(path)
    assert path.read_bytes() == data


def test_another_persons_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "mine.jsonl"
    Progress(path, Owner("desk 3", "spring set")).add(answer(1))
    assert Progress(path, Owner("desk 3", "spring set")).answers
    with pytest.raises(HarmonyError, match="has the answers of desk 3"):
        Progress(path, Owner("desk 4", "spring set"))


def test_two_that_write_into_one_file_lose_nothing_of_one_another(tmp_path: Path) -> None:
    path = tmp_path / "mine.jsonl"
    one, other = Progress(path), Progress(path)
    for number in range(1, 11):
        (one if number % 2 else other).add(answer(number))
    assert [each.number for each in read_progress(path).answers] == list(range(1, 11))


def test_a_file_that_cannot_be_written_is_said_and_nothing_counts(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "nowhere" / "mine.jsonl")
    with pytest.raises(HarmonyError, match="cannot be written"):
        progress.add(answer(1))
    assert progress.answers == []


def test_it_stays_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_ANSWERS", 20)
    path = tmp_path / "mine.jsonl"
    filled(path, 65)
    found = read_progress(path).answers
    assert len(found) <= 20 and found[-1].number == 65
    assert [each.number for each in found] == list(range(65 - len(found) + 1, 66))
    # The longest line there can be is read again.
    Progress(path).add(answer(66, written="𝄫" * 300))
    assert Progress(path).answers[-1].number == 66


def test_standings_follow_the_answers() -> None:
    progress = Progress()
    for number, (level, score) in enumerate([(1, 1.0)] * 3 + [(2, 1.0), (2, 0.0)], 1):
        progress.add(answer(number, score, level))
    assert progress.standings() == {"scale": Standing(2, 0, 1)}


WRITER = """
import sys
from harmonykit.practice.sitting import Answered
from harmonykit.practice.progress import Progress
progress = Progress(sys.argv[1])
number = len(progress.answers)
print("ready", flush=True)
while True:
    number += 1
    progress.add(Answered("2031-05-04", "quay", number, "scale", "words", 1, 1.0, 0, "x" * 200))
    print(number, flush=True)
"""


def killed(path: Path, root: Path, lines: int) -> int:
    """Let a process write so many answers, kill it; return how many it said were kept."""
    environment = {**os.environ, "PYTHONPATH": str(root)}
    command = [sys.executable, "-c", WRITER, str(path)]
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
        begun = [writer.stdout.readline() for _ in range(lines)]
        writer.send_signal(signal.SIGKILL)
        said = [*begun, *writer.stdout.read().splitlines()]
    whole = [line for line in said if line.strip().isdigit()]
    return int(whole[-1]) if whole else 0


@pytest.mark.parametrize("turns", [3, pytest.param(60, marks=pytest.mark.long)])
def test_killed_at_random_moments_it_loses_at_most_the_line_being_written(
    tmp_path: Path, root: Path, turns: int
) -> None:
    draw, path = random.Random(9), tmp_path / "mine.jsonl"
    kept = 0
    for _ in range(turns):
        said = max(kept, killed(path, root, draw.randrange(12)))
        found = read_progress(path).answers if path.exists() else []
        assert [each.number for each in found] == list(range(1, len(found) + 1))
        # What was said to be kept is there; one more may have been written and not yet said.
        assert said <= len(found) <= said + 1 or not said
        kept = len(found)
    assert kept > 0


MANY = """
import sys
from harmonykit.practice.sitting import Answered
from harmonykit.practice.progress import Progress
progress = Progress(sys.argv[1])
for number in range(1, 401):
    progress.add(Answered("2031-05-04", sys.argv[2], number, "scale", "words", 1, 1.0, 0, "x" * 90))
"""


def test_two_programs_that_write_at_once_keep_all_800_answers(tmp_path: Path, root: Path) -> None:
    path = tmp_path / "mine.jsonl"
    environment = {**os.environ, "PYTHONPATH": str(root)}
    writers = [
        subprocess.Popen([sys.executable, "-c", MANY, str(path), seed], env=environment)
        for seed in ("quay", "reef")
    ]
    assert [writer.wait() for writer in writers] == [0, 0]
    found = read_progress(path)
    assert found.trouble == "" and len(found.answers) == 800
    for seed in ("quay", "reef"):
        numbers = [each.number for each in found.answers if each.seed == seed]
        assert numbers == list(range(1, 401))
    assert [each.name for each in tmp_path.iterdir()] == ["mine.jsonl"]


@pytest.mark.parametrize("size", [1, 500, 9_000, 70_000, 200_000])
def test_a_torn_tail_of_any_length_costs_the_torn_line_alone(tmp_path: Path, size: int) -> None:
    path = tmp_path / "mine.jsonl"
    progress = filled(path, 50)
    with path.open("ab") as file:
        file.write(b'{"at": "' + b"\0" * size)
    progress.add(answer(51))
    assert progress.trouble == "the last line was incomplete and is left out"
    assert [each.number for each in read_progress(path).answers] == list(range(1, 52))


def test_what_another_put_in_its_place_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "mine.jsonl"
    progress = filled(path, 3)
    path.write_bytes(b"my shopping list")
    with pytest.raises(HarmonyError, match="is a file of another kind"):
        progress.add(answer(4))
    assert path.read_bytes() == b"my shopping list"


def test_a_file_whose_last_line_an_editor_did_not_end(tmp_path: Path) -> None:
    path = tmp_path / "mine.jsonl"
    filled(path, 3)
    path.write_bytes(path.read_bytes().rstrip(b"\n"))
    again = Progress(path)
    assert len(again.answers) == 3 and again.trouble == ""
    again.add(answer(4))
    assert [each.number for each in read_progress(path).answers] == [1, 2, 3, 4]


def test_the_older_half_is_handed_on_and_nothing_is_lost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "MOST_ANSWERS", 20)
    filled(tmp_path / "mine.jsonl", 65)
    found = [n.number for path in tmp_path.iterdir() for n in read_progress(path).answers]
    assert sorted(found) == list(range(1, 66))


FULL = """
import resource, sys
from harmonykit.errors import HarmonyError
from harmonykit.practice.sitting import Answered
from harmonykit.practice.progress import Progress
resource.setrlimit(resource.RLIMIT_FSIZE, (5_000, 5_000))
progress = Progress(sys.argv[1])
try:
    for number in range(1, 401):
        progress.add(Answered("2031", "quay", number, "scale", "words", 1, 1.0, 0, "x" * 90))
except HarmonyError as error:
    print(len(progress.answers), error.what.rpartition(": ")[2])
"""


def test_a_disk_that_takes_no_more_leaves_whole_lines(tmp_path: Path, root: Path) -> None:
    # A limit on the size of files breaks a write off in its middle, as a full disk does.
    path = tmp_path / "mine.jsonl"
    environment = {**os.environ, "PYTHONPATH": str(root)}
    run = [sys.executable, "-c", FULL, str(path)]
    done = subprocess.run(run, env=environment, capture_output=True, text=True, check=True)
    count, said = done.stdout.strip().split(" ", 1)
    assert said == "the system allows no file of that size"
    found = read_progress(path)
    assert found.trouble == "" and len(found.answers) == int(count) > 10


def after(answers: str) -> int:
    """Return the level after a row: r right, w wrong, h right with a hint, n nearly."""
    standing = Standing()
    scores = {"r": (1.0, 0), "w": (0.0, 0), "h": (1.0, 1), "n": (0.5, 0)}
    for answer in answers:
        standing = standing.after(*scores[answer])
    return standing.level


@pytest.mark.parametrize(
    ("answers", "level"),
    [
        ("", 1), ("rr", 1), ("rrr", 2), ("rrrr", 2), ("rrrrrr", 3), ("rrrrrrrrr", 4),
        ("r" * 30, 4), ("rrwr", 1), ("rrwrrr", 2), ("rrhr", 2), ("hhh", 1), ("rrnr", 2),
        ("rrrww", 1), ("rrrwrw", 2), ("rrrwnw", 2), ("rrrwhw", 2), ("ww", 1), ("rrrrrrwwww", 1),
    ],
)  # fmt: skip
def test_rows(answers: str, level: int) -> None:
    assert after(answers) == level


@given(st.lists(st.tuples(st.sampled_from([0.0, 0.5, 1.0]), st.integers(0, 3))))
def test_levels_stay_within_bounds_move_by_one_and_are_written_and_read(
    answers: list[tuple[float, int]],
) -> None:
    standing = Standing()
    for answer in answers:
        before, standing = standing, standing.after(*answer)
        assert 1 <= standing.level <= LEVELS and abs(standing.level - before.level) <= 1
        assert Standing.parse(str(standing)) == standing


@pytest.mark.parametrize("text", ["", "1", "1.2", "a.b.c", "0.0.0", "9.0.0", "1.-1.0", "1.2.3.4"])
def test_what_is_no_standing(text: str) -> None:
    with pytest.raises(HarmonyError):
        Standing.parse(text)


def test_a_file_of_the_first_format_is_read_and_goes_on_in_this_one(
    root: Path, tmp_path: Path
) -> None:
    old = (root / "tests/data/0.1.0/progress.jsonl").read_bytes()
    path = tmp_path / "mine.jsonl"
    path.write_bytes(old)
    one, other = Progress(path), Progress(path)
    before = list(one.answers)
    assert before and path.read_bytes() == old  # reading changes nothing
    new = Answered("2031-05-04", "q", 1, "scale", "words", 1, 0.75, 0, "A", "scale: C major: words")
    one.add(new)
    other.add(answer(2))
    found = read_progress(path).answers
    assert found == [*before, new, answer(2)]
    head, *lines = path.read_bytes().splitlines()
    assert json.loads(head)["format"] == 2 and len(lines) == len(found)
