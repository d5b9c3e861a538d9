"""What is too large, or cannot be printed, is refused before work begins; the rest fits a GiB."""

from __future__ import annotations

import random
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson import build, course
from harmonykit.lesson.build import build_lesson, load_lesson
from harmonykit.lesson.plan import sizes
from harmonykit.lesson.plan.sizes import MOST_CHORDS, MOST_SOUND_HOURS, check_sound
from harmonykit.sound.rendering import MOST_SECONDS

GIB = 2**30
CHORDS = "Gm6 Bb7 Eb6 D7 Cm7 F7 Gm Dm7".split()
# Three levels of so many bars have close to as many chords as a sheet may.
LARGEST = 248
# Moves that add a chord, so that a level has more chords than the tune.
MOVES = (
    '["leading-tone diminished", "rootless dominant", "descending passing diminished", '
    '"common-tone diminished", "ascending walk"]'
)
# For what is measured in seconds alone: few bars last long.
SLOW = 20
FEW = '["leading-tone diminished"]'
# Peak of a process and of the greatest one that it started, in bytes.  Linux hands the peak of a
# process that starts another one on to it, so its own is asked of the memory that it has now.
BUILD = """
import re, resource, sys
from pathlib import Path
from harmonykit.lesson.build import build_loaded, load_class, play_level
levels = []
def play(front, index):
    levels.append(play_level(front, index))
    return levels[-1]
build_loaded(lambda: load_class(Path(sys.argv[1]), play=play), sys.argv[2])
unit = 1 if sys.platform == "darwin" else 1024
own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit
if (status := Path("/proc/self/status")).exists():
    own = int(re.search(r"VmHWM:\\s+(\\d+)", status.read_text())[1]) * 1024
print(own + resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * unit)
print(sum(len(each.arrangement.steps) for each in levels))
"""


def write_large(
    folder: Path, bars: int, tempos: tuple[int, ...], extra: str = "", moves: str = MOVES
) -> Path:
    """Write a lesson on a made tune, a chord a bar, with one level for each tempo."""
    chance = random.Random(bars)
    named = [chance.choice(CHORDS) for _ in range(bars)]
    lines = (f"| {' | '.join(named[i : i + 4])} |" for i in range(0, bars, 4))
    changes = "\n".join(lines)
    (folder / "made.toml").write_text(
        f'format = 1\ntitle = "Made"\nkey = "G minor"\nmeter = "4/4"\ntempo = 96\n'
        f'[[sections]]\nname = "A"\nchanges = """\n{changes}\n"""\n',
        encoding="utf-8",
    )
    levels = "".join(
        f'[[levels]]\nname = "Level {number}"\nmoves = {moves}\nhand = 3\nleast_seconds = 0.2\n'
        f"max_fret = 12\ntempo = {tempo}\n"
        for number, tempo in enumerate(tempos, 1)
    )
    charts = "".join(f"\n{{{{ chart({number}) }}}}\n" for number in range(1, len(tempos) + 1))
    path = folder / "large.md"
    path.write_text(
        '+++\nformat = 1\ntitle = "Large"\ntune = "made.toml"\ninstrument = "ukulele"\n'
        f'chord = "Ddim7"\nscale = "G minor"\n{extra}\n{levels}+++\n\n## The tune\n{charts}',
        encoding="utf-8",
    )
    return path


def built(path: Path) -> tuple[int, int]:
    """Build a lesson in a process of its own; return its peak, and the chords of its levels."""
    command = [sys.executable, "-c", BUILD, str(path), str(path.parent / "out")]
    found = subprocess.run(command, capture_output=True, check=True, text=True)
    peak, chords = map(int, found.stdout.split())
    return peak, chords


def longest(tempo: int) -> int:
    """Return how many bars of 4/4 a play-along may have.

    One bar is counted in if it lasts 2.5 s, else two; the last chord rings for 1.5 s.
    """
    counted = 1 if 240 / tempo >= 2.5 else 2
    return int((MOST_SECONDS - 1.5) * tempo / 240) - counted


def chords_of(path: Path) -> int:
    return sum(len(played.arrangement.steps) for played in load_lesson(path).played)


SLOWEST = next(tempo for tempo in range(20, 400) if longest(tempo) >= LARGEST)


@pytest.mark.parametrize(
    ("part", "bars", "tempi"),
    [
        (4, LARGEST // 4, (300, 300, 300)),
        pytest.param(1, LARGEST - 5, (300, 300, 300), marks=pytest.mark.long),
        pytest.param(1, LARGEST, (SLOWEST, 160, 320), marks=pytest.mark.long),
    ],
)
def test_the_largest_lesson_that_is_accepted_is_built_in_a_gibibyte(
    tmp_path: Path, part: int, bars: int, tempi: tuple[int, ...]
) -> None:
    peak, chords = built(write_large(tmp_path, bars, tempi))
    # Within a tenth of what is accepted, or of a part of it, with as much less to hold.
    assert 0.9 < part * chords / MOST_CHORDS <= 1
    # What is loaded before the first chord takes a fifth of it.
    assert peak < GIB * (1 + 4 / part) / 5
    assert {"handout.pdf", "level-1-level-1.mp3"} <= {
        file.name for file in (tmp_path / "out").iterdir()
    }


@pytest.mark.long
def test_so_is_one_with_all_files_for_a_mixed_class(tmp_path: Path) -> None:
    extra = (
        'also = ["guitar", "mandolin"]\n'
        'variants = ["large print", "left-handed", "one ink"]\n'
        '[sound]\nfiles = ["wav", "mp3", "slow bass wav", "slow bass mp3", "loops"]'
    )
    path = write_large(tmp_path, LARGEST * 9 // 20, (40, 60, 80, 120, 160, 240), extra)
    assert 0.8 < chords_of(path) / MOST_CHORDS <= 1
    assert built(path)[0] < GIB


class TestTooLarge:
    """Refused before anything is arranged or rendered, with what would make it smaller."""

    @pytest.fixture(autouse=True)
    def nothing_is_rendered(self, monkeypatch: pytest.MonkeyPatch) -> None:
        def rendered(*_: object) -> None:
            raise AssertionError("work began")

        monkeypatch.setattr(build, "run", rendered)
        monkeypatch.setattr(course, "run", rendered)

    def test_a_sheet(self, tmp_path: Path) -> None:
        path = write_large(tmp_path, MOST_CHORDS // 3 + 4, (96, 96, 96))
        with pytest.raises(HarmonyError, match="504 in 'Made' as played, at 3 levels") as caught:
            build_lesson(path, tmp_path / "out")
        said = str(caught.value)
        assert said.startswith("1,512 chords") and "1,500" in said and "fewer levels" in said

    def test_a_sheet_by_what_its_levels_put_in(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        path = write_large(tmp_path, 8, (96, 96))
        chords = chords_of(path)
        assert chords > 16
        monkeypatch.setattr(sizes, "MOST_CHORDS", chords - 1)
        with pytest.raises(
            HarmonyError, match=f"{chords} chords: the added chords of all levels of 'Large'"
        ):
            build_lesson(path, tmp_path / "out")

    def test_a_play_along_that_lasts_too_long(self, tmp_path: Path) -> None:
        bars = longest(SLOW)
        path = write_large(tmp_path, bars + 1, (SLOW,), moves=FEW)
        with pytest.raises(HarmonyError, match="'Level 1' lasts 30 minutes"):
            build_lesson(path, tmp_path / "out")
        check_sound([load_lesson(write_large(tmp_path, bars, (SLOW,), moves=FEW))])

    def test_a_slow_take_of_it(self, tmp_path: Path) -> None:
        extra = '[sound]\nfiles = ["wav", "slow mp3"]\nslow = 0.3'
        path = write_large(tmp_path, 83, (SLOW,), extra, FEW)
        with pytest.raises(HarmonyError, match=r"'Level 1' \(slow\) lasts 56 minutes"):
            build_lesson(path, tmp_path / "out")

    def test_all_play_alongs_together(self, tmp_path: Path) -> None:
        lesson = load_lesson(write_large(tmp_path, 126, (SLOW, SLOW), moves=FEW))
        # Two levels of 25 minutes and 26 s: within 12 hours 14 times, not 15 times.
        check_sound([lesson] * 14)
        with pytest.raises(HarmonyError, match=f"rule: {MOST_SOUND_HOURS:g} hours"):
            check_sound([lesson] * 15)

    def test_nothing_is_too_long_where_no_sound_is_made(self, tmp_path: Path) -> None:
        path = write_large(tmp_path, longest(SLOW) + 1, (SLOW,), 'outputs = ["script"]', FEW)
        check_sound([load_lesson(path)])

    def test_a_book(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        chords = chords_of(write_large(tmp_path, 8, (96,)))
        (tmp_path / "course.toml").write_text(
            'format = 1\ntitle = "Course"\nlessons = ["large.md", "large.md"]\n',
            encoding="utf-8",
        )
        monkeypatch.setattr(sizes, "MOST_CHORDS", 2 * chords - 1)
        with pytest.raises(HarmonyError, match=f"{2 * chords} chords: all levels of 2") as caught:
            course.build_course(tmp_path / "course.toml", tmp_path / "out")
        assert "two courses" in str(caught.value)


Change = Callable[[str], str]


def replaced(old: str, new: str) -> Change:
    return lambda text: text.replace(old, new, 1)


# The file, what happens to it, the key or text that is named, the sign, line and column.
UNPRINTABLE: dict[str, tuple[str, Change, str, str, str]] = {
    "Japanese title": (
        "small.md", replaced("A small", "A 潮 small"), "title", "潮", "line 3, column 12",
    ),
    "emoji in the group": (
        "small.md", replaced('"Quay"', '"Quay 🌊"'), "group", "🌊", "line 4, column 15",
    ),
    "Arabic to be watched": (
        "small.md", replaced("tempo = 120", 'tempo = 120\nwatch = "see موج"'), "watch", "م",
        "line 17, column 14",
    ),
    "emoji in a level's name": (
        "small.md", replaced('name = "Leading"', 'name = "\\U0001F30A"'), "name", "🌊",
        "line 13, column 9",
    ),
    "Japanese in the text": (
        "small.md", replaced("## The tune", "## The tune 汐"), "the text", "汐", "column 13",
    ),
    "Hebrew title of the tune": (
        "fog.toml", replaced("Four Bars", "גל"), "the tune's title", "ג", 'tune = "fog.toml"',
    ),
    "emoji for a section": (
        "fog.toml", replaced('name = "A"', 'name = "🌊"'), "section", "🌊", 'tune = "fog.toml"',
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", UNPRINTABLE)
def test_what_cannot_be_printed_is_said_with_its_place(lesson_path: Path, case: str) -> None:
    name, change, what, sign, where = UNPRINTABLE[case]
    path = lesson_path.parent / name
    path.write_text(change(path.read_text(encoding="utf-8")), encoding="utf-8")
    with pytest.raises(HarmonyError) as caught:
        build_lesson(lesson_path, lesson_path.parent / "out")
    said = str(caught.value)
    assert f"{what} has {sign!r}" in said or f"{what} {sign!r} has" in said
    assert f"U+{ord(sign):04X}" in said and where in said
    assert "write it in letters that they have" in said
    assert not (lesson_path.parent / "out").exists()


def test_letters_of_europe_and_signs_of_music_pass(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    text = text.replace("A small lesson", "Łódź – “Ebb”, naïve Ωмега, B♭°7 𝄪 → e\u0301")
    lesson_path.write_text(text, encoding="utf-8")
    assert load_lesson(lesson_path).front.title.startswith("Łódź")


def test_as_many_chords_as_are_allowed_are_allowed(
    lesson_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lesson = load_lesson(lesson_path)
    count = sum(len(played.arrangement.steps) for played in lesson.played)
    monkeypatch.setattr(sizes, "MOST_CHORDS", 2 * count)
    sizes.check_book([lesson, lesson])
    monkeypatch.setattr(sizes, "MOST_CHORDS", 2 * count - 1)
    with pytest.raises(HarmonyError, match=f"{2 * count} chords: all levels of 2 lessons"):
        sizes.check_book([lesson, lesson])


@pytest.mark.parametrize(
    ("choruses", "said"),
    [((0, 0), "at 2 levels"), ((0, 3), "at 2 levels with 4 choruses"), ((2, 3),
     "at 2 levels with 5 choruses"), ((1, 0), "at 2 levels")],
)  # fmt: skip
def test_choruses_are_told_where_a_tune_is_played_more_often_than_it_has_levels(
    lesson_path: Path, monkeypatch: pytest.MonkeyPatch, choruses: tuple[int, int], said: str
) -> None:
    front = load_lesson(lesson_path).front
    levels = tuple(replace(front.levels[0], choruses=("plain",) * n) for n in choruses)
    monkeypatch.setattr(sizes, "MOST_CHORDS", 1)
    with pytest.raises(HarmonyError) as caught:
        sizes.check_sheet(replace(front, levels=levels))
    count = len(front.tune.changes)
    assert said == caught.value.what.partition(" as played, ")[2]
    rounds = sum(n or 1 for n in choruses)
    assert caught.value.what.startswith(f"{count * rounds} chords")
