"""A recording against a level: students whose playing is known, made in ``students``.

They play on the tool's own strings and on loops of noise as Karplus and Strong first described
them, written for these tests; with wrong, late, early and missing chords; in rooms, over
telephones, in noise.  A verdict is right where it says what was played, whatever the level asks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache, partial
from pathlib import Path

import numpy as np
import pytest
import soundfile
import students
from students import (
    RATE,
    Playing,
    Samples,
    counted_in,
    hummed,
    noisy,
    perform,
    phoned,
    plucked_line,
    roomy,
    spoken,
    sung,
)

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.cli import main
from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.listening import hear_playing
from harmonykit.lesson.verdicts import Heard
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet

Effect = Callable[[Samples], Samples]


def plain(sound: Samples) -> Samples:
    return sound


def far(sound: Samples) -> Samples:
    return phoned(noisy(roomy(sound, 1.2), 20))


# Each with how the student plays, and what happens to the sound on its way.
CONDITIONS: dict[str, tuple[Playing, Effect]] = {
    "clean": (Playing(), plain),
    "noise 20 dB below": (Playing(), partial(noisy, decibels=20)),
    "noise 10 dB below": (Playing(), partial(noisy, decibels=10)),
    "noise 5 dB below": (Playing(), partial(noisy, decibels=5)),
    "40 cents flat": (Playing(cents=-40), plain),
    "10 cents sharp": (Playing(cents=10), plain),
    "40 cents sharp": (Playing(cents=40), plain),
    "strings 8 cents astray": (Playing(astray=8), plain),
    "new strings slip": (Playing(slips=30), plain),
    "a long room": (Playing(), partial(roomy, seconds=2.0)),
    "a telephone": (Playing(), phoned),
    "a telephone in a room": (Playing(), far),
    "half the tempo": (Playing(pace=0.5), plain),
    "a third faster": (Playing(pace=1.33), plain),
    "uneven bars": (Playing(wobble=0.08, pace=0.8), plain),
    "slower and slower": (Playing(drift=0.25), plain),
    "one stroke a bar": (Playing(strums=1, pace=0.85), plain),
    "string by string": (Playing(apart=0.07), plain),
    "after a count-in": (Playing(lead=0.2), counted_in),
    "a beat late": (Playing(late={3: 1.0, 7: 1.0}), plain),
    "half a beat early": (Playing(late={3: -0.5, 6: -0.5}), plain),
    "pauses": (Playing(pauses={4: 2.0, 7: 3.5}), plain),
    "missed bars": (Playing(wrong={3: None, 6: None}), plain),
    "a bar left out": (Playing(skipped=frozenset({5})), plain),
    "someone hums": (Playing(), sung),
}
LEVELS = (
    ("stiff_dominant", 5),
    ("four_dominants", 2),
    ("one_voice_moves", 3),
    ("heron_landing", 0),
)
WRONG = {
    "ukulele": ("2010", "0003", "2000", "0232", "2220", "0212", "1202", "2100", "0100", "3211"),
    "baritone ukulele": ("0003", "2010", "0232", "2220", "0212", "2000", "0100", "0001"),
    "guitar": ("x32010", "320003", "xx0232", "022100", "x02210", "133211", "xx0212", "x02020"),
}


@cache
def level_of(name: str, level: int) -> Arrangement:
    if level == 0:
        return reharmonise(name, "guitar", (), k=1)[0]
    return load_lesson(name).played[level - 1].arrangement


def with_slips(way: Arrangement, how: Playing, seed: int) -> Playing:
    """Return a playing with another chord in one bar of five."""
    chance = np.random.default_rng(seed)
    count = len(way.tune.playing)
    shapes = WRONG[way.instrument.name]
    bars = sorted(int(bar) for bar in chance.choice(count, count // 5, replace=False))
    wrong = {bar: shapes[chance.integers(len(shapes))] for bar in bars}
    return replace(how, wrong=wrong | how.wrong, seed=seed)


def heard(
    way: Arrangement, how: Playing, effect: Effect, folder: Path
) -> Iterator[tuple[Heard, str]]:
    """Yield each verdict with what it is: right, wrong, or that it cannot tell."""
    sound, truth = perform(way, how)
    file = folder / "student.wav"
    soundfile.write(file, effect(sound), RATE)
    hearing = hear_playing(way, file)
    steps = [step for step in way.steps if step.voicing is not None]
    for one, (_, _, _, shape), step in zip(hearing.heard, truth, steps, strict=True):
        assert step.voicing is not None
        yield one, judged(one, None if shape is None else shape.pcs, step.voicing.pcs)


def judged(one: Heard, played: PcSet | None, asked: PcSet) -> str:
    if one.verdict == "unclear":
        return "cannot tell"
    if one.verdict == "as written":
        right = played == asked
    elif one.verdict == "another chord":
        right = named(one.names[0]) == played
    else:
        right = played not in (None, asked) if one.verdict == "not as written" else played is None
    return "right" if right else "wrong"


def named(name: str) -> PcSet:
    """Return the notes of a chord's name, or of the notes that were named."""
    if not name.startswith("the notes"):
        return Chord.parse(name).pcs
    words = name.removeprefix("the notes ").replace(" and ", ", ").split(", ")
    return PcSet.of(*(Note.parse(word).pitch_class for word in words))


# Several difficulties at once, on each kind of string: how many in ten verdicts are right at least.
STUDENTS: dict[str, tuple[str, Playing, Effect]] = {
    "wrong chords, flat, in noise": (
        "bright", Playing(cents=-25, pace=0.9), partial(noisy, decibels=10),
    ),
    "slow, by telephone in a room": ("ours", Playing(pace=0.6, wobble=0.06), far),
    "pauses and missed bars in a long room": (
        "dull", Playing(pauses={4: 2.5}, wrong={7: None}), partial(roomy, seconds=2.0),
    ),
    "fast, out of tune, after a count-in": ("short", Playing(pace=1.25, astray=8), counted_in),
}  # fmt: skip


# The slowest takes the longest to hear.
@pytest.mark.parametrize(
    "student",
    [
        pytest.param(each, marks=pytest.mark.long) if each.startswith("slow") else each
        for each in STUDENTS
    ],
)
def test_what_a_student_plays_is_heard(student: str, tmp_path: Path) -> None:
    strings, how, effect = STUDENTS[student]
    way = level_of("stiff_dominant", 2)
    found = list(heard(way, with_slips(way, replace(how, strings=strings), 11), effect, tmp_path))
    assert sum(verdict == "right" for _, verdict in found) >= 0.9 * len(found)
    assert [one.told for one, verdict in found if one.sure and verdict == "wrong"] == []


@pytest.mark.long
def test_what_is_called_sure_is_right(tmp_path: Path) -> None:
    """Every condition on every kind of string; the table says what is right, wrong, unclear."""
    table: dict[str, Counter[str]] = {}
    sure: Counter[str] = Counter()
    likely: Counter[str] = Counter()
    for place, (condition, (how, effect)) in enumerate(CONDITIONS.items()):
        row = table[condition] = Counter()
        for name, level in LEVELS:
            way = level_of(name, level)
            for kind in ("ours", *students.KINDS):
                playing = with_slips(way, replace(how, strings=kind), place)
                for one, verdict in heard(way, playing, effect, tmp_path):
                    row[verdict] += 1
                    if one.verdict in ("as written", "another chord", "not as written"):
                        (sure if one.sure else likely)[verdict] += 1
        print(f"{condition}: {dict(row)}")
        assert row["right"] >= 0.85 * row.total()
    print(f"sure: {dict(sure)}, likely: {dict(likely)}")
    assert sure["right"] >= 0.97 * sure.total()
    assert likely["right"] >= 0.8 * likely.total()


def recorded(way: Arrangement, how: Playing, folder: Path, name: str = "mine.wav") -> Path:
    file = folder / name
    soundfile.write(file, perform(way, how)[0], RATE)
    return file


def test_shapes_on_a_larger_instrument_are_said_to_sound_lower(tmp_path: Path) -> None:
    # The baritone is strung a fourth lower than the ukulele (common practice, no source).
    way = level_of("stiff_dominant", 1)
    hearing = hear_playing(way, recorded(way, Playing(cents=-500), tmp_path))
    assert not hearing.fits
    assert "5 semitones lower than on the ukulele" in hearing.remarks[0]


def test_another_tune_is_said_not_to_fit(tmp_path: Path) -> None:
    other = reharmonise("| E | B7 | F#m | C#m | E | Abm | B | F#m7 | B7 | E |", "ukulele", (), k=1)
    hearing = hear_playing("stiff_dominant", recorded(other[0], Playing(), tmp_path))
    assert not hearing.fits
    assert hearing.remarks[0].startswith("The recording does not fit")


def test_what_is_not_chords_on_strings_is_not_judged(tmp_path: Path) -> None:
    """A voice that hums, a line of single notes, speech, noise."""
    way, file = level_of("four_dominants", 2), tmp_path / "other.wav"
    noise = 0.1 * np.random.default_rng(3).normal(size=8 * RATE)
    others = {
        "one note at a time": (hummed(way), plucked_line(way)),
        "no steady pitch": (spoken(20), noise),
    }
    for said, sounds in others.items():
        for sound in sounds:
            soundfile.write(file, sound, RATE)
            hearing = hear_playing(way, file)
            assert (hearing.fits, hearing.heard) == (False, ())
            assert said in hearing.remarks[0]


def test_beside_a_loud_voice_nothing_is_sure(tmp_path: Path) -> None:
    way, file = level_of("stiff_dominant", 1), tmp_path / "both.wav"
    playing, voice = perform(way, Playing())[0], hummed(way)
    louder = 1.6 * voice[: len(playing)] / np.abs(voice).max()
    soundfile.write(file, 0.4 * (playing[: len(louder)] + louder), RATE)
    hearing = hear_playing(way, file)
    assert not any(each.sure for each in hearing.heard)
    assert not hearing.fits or "Something else sounds" in hearing.remarks[-1]


def test_the_tempo_and_the_tuning_are_told(tmp_path: Path) -> None:
    way = level_of("stiff_dominant", 1)
    hearing = hear_playing(way, recorded(way, Playing(pace=0.75, cents=-30, wobble=0), tmp_path))
    assert hearing.tempo == pytest.approx(float(way.tempo) * 0.75, rel=0.04)
    # The partials of stiff strings are sharp, and draw it up by some cents.
    assert hearing.cents == pytest.approx(-30, abs=7)
    assert hearing.remarks == (
        f"The strings are about {-hearing.cents:.0f} cents flat: tune to A = 440 Hz.",
    )
    # From the end of the second before the first bar.
    assert hearing.heard[0].seconds == pytest.approx(1.0, abs=0.15)


def test_a_level_that_the_lesson_does_not_have_is_told_before_anything_is_heard(
    lesson_path: Path,
) -> None:
    """Of its levels it is the recording that is missing, beyond them the level."""
    text = lesson_path.read_text("utf-8").replace("[[levels]]", "[[levels]]\n\n[[levels]]", 1)
    lesson_path.write_text(text, "utf-8")
    sound = lesson_path.with_name("none.wav")
    for level in (-1, 0, 3):
        with pytest.raises(HarmonyError, match=f"unknown level {level}") as caught:
            hear_playing(lesson_path, sound, level)
        assert caught.value.rule == "1 to 2"
    for level in (1, 2):
        with pytest.raises(HarmonyError, match=r"none\.wav"):
            hear_playing(lesson_path, sound, level)


def one(verdict: str, names: tuple[str, ...], chance: float, *, octave: bool = True) -> Heard:
    return Heard(5, "D7", "2-2-2-3", verdict, names, chance, 72.5, octave)


def test_a_verdict_says_how_sure_it_is() -> None:
    assert one("as written", ("D7",), 0.98).told == "D7 heard (sure)"
    assert one("as written", ("D7",), 0.8).told == "D7 heard (likely)"
    assert one("as written", ("D7",), 0.8, octave=False).told == "D7 heard (likely), in some octave"
    assert one("another chord", ("D",), 0.995).told == "D heard, not D7 (sure)"
    assert one("another chord", ("D",), 0.98).told == "D heard, not D7 (likely)"
    assert one("not as written", ("D",), 0.9).told == "not D7 (likely); it resembles D"
    assert one("unclear", ("F7", "Cm6"), 0.9).told == "F7 or Cm6, cannot tell"
    assert one("nothing", (), 0.0).told == "nothing heard"
    assert one("left out", (), 0.0).told == "left out"
    assert one("nothing", (), 0.0).clock == "1:12"


def test_the_command_says_what_is_heard(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = recorded(level_of("stiff_dominant", 1), Playing(wrong={1: "2010"}), tmp_path)
    with pytest.raises(SystemExit, match="0"):
        main(["hear", "stiff_dominant", str(file)])
    lines = capsys.readouterr().out.splitlines()
    assert lines[1].endswith("bar 2  0-2-0-1  F heard, not Gm6 (sure)")
    assert lines[-2].startswith("As written: 12 of 13 changes heard as written, 1 not, 0 unclear;")
    assert lines[-1].startswith("What sounds alike cannot be told apart")
    with pytest.raises(SystemExit, match="0"):
        main(["hear", "ropewalk_blues", str(file)])
    assert capsys.readouterr().out
    with pytest.raises(SystemExit, match="2"):
        main(["hear", "stiff_dominant", str(file), "--level", "9"])
    assert "rule: 1 to 5" in capsys.readouterr().err
