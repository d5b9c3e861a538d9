"""The play-along files of a small lesson, read again by libraries that others wrote."""

from __future__ import annotations

import io
import wave
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import mido
import numpy as np
import pytest
import soundfile
from heard import cents, measured_pitch

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import Played
from harmonykit.lesson.plan.takes import FILES, PlayAlong
from harmonykit.lesson.playfiles import (
    PlayFile,
    part_files,
    practice_files,
    practice_stem,
    take_files,
    tuning_files,
)
from harmonykit.lesson.script import write_script
from harmonykit.sound.events import play
from harmonykit.sound.loudness import loudness
from harmonykit.sound.noise import Samples
from harmonykit.sound.pluck import RATE
from harmonykit.sound.rehearsal import Rehearsal
from harmonykit.tune.groove.shelf import grooves
from harmonykit.tune.tune import Section

STEM = "level-1-leading"
# Four bars of 4/4 at 120: two bars are counted in (one lasts less than 2.5 s), four of 2 s each,
# and the last chord rings 1.5 s.  At 84 one bar of 2.857 s is counted in.
SECONDS = {"": 4 + 8 + 1.5, "-slow": 5 * 4 * 60 / 84 + 1.5}


@pytest.fixture(scope="module")
def played(
    tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]
) -> Played:
    (found,) = load_lesson(write_lesson(tmp_path_factory.mktemp("fog"))).played
    return found


def playalong(played: Played, wanted: PlayAlong) -> Iterator[PlayFile]:
    for take in wanted.takes:
        yield from take_files(played, wanted, take)


@pytest.fixture(scope="module")
def made(played: Played) -> dict[str, PlayFile]:
    return {file.name: file for file in playalong(played, PlayAlong(FILES))}


def sounds(made: dict[str, PlayFile]) -> dict[str, Samples]:
    """Return the samples of every file that has any, as libsndfile reads them: left and right."""
    return {
        name: soundfile.read(io.BytesIO(file.data))[0]
        for name, file in made.items()
        if not name.endswith(".mid")
    }


def middle(file: PlayFile) -> Samples:
    """Return both channels of a file as one."""
    samples: Samples = soundfile.read(io.BytesIO(file.data))[0]
    assert samples.shape[1:] == (2,)
    return samples.mean(axis=1)


def test_every_file_that_is_wanted_is_made(made: dict[str, PlayFile]) -> None:
    # Parts and open strings are a lesson's, not a level's.
    fronts = ("", "-slow", "-bass", "-slow-bass")
    ends = (".mid", ".wav", ".mp3", "-loop-a.wav")
    assert set(made) == {STEM + front + end for front in fronts for end in ends}
    assert {file.made_by for file in made.values()} == {
        "sound.files",
        "sound.rendering",
    }


def test_a_lesson_that_says_nothing_gets_the_usual_files(played: Played) -> None:
    names = [file.name for file in playalong(played, PlayAlong())]
    assert names == [STEM + end for end in (".mid", ".mp3")]


def test_all_files_are_equally_loud_and_none_clips(made: dict[str, PlayFile]) -> None:
    from scipy.signal import resample_poly

    found = {name: loudness(samples, RATE) for name, samples in sounds(made).items()}
    assert max(found.values()) - min(found.values()) < 1, found
    for name, samples in sounds(made).items():
        # BS.1770 annex 2: true peak, -1 dBTP is .891.
        assert np.abs(resample_poly(samples, 4, 1, axis=0)).max() < 0.891, name


@pytest.mark.parametrize("bass", ["", "-bass"])
@pytest.mark.parametrize("slow", ["", "-slow"])
def test_files_with_the_same_words_have_the_same_length(
    slow: str, bass: str, made: dict[str, PlayFile]
) -> None:
    stem = STEM + slow + bass
    with wave.open(io.BytesIO(made[f"{stem}.wav"].data)) as file:
        frames = file.getnframes()
    assert frames / RATE == pytest.approx(SECONDS[slow], abs=1e-4)
    assert len(soundfile.read(io.BytesIO(made[f"{stem}.mp3"].data))[0]) == frames
    midi = mido.MidiFile(file=io.BytesIO(made[f"{stem}.mid"].data))
    assert midi.length == pytest.approx(SECONDS[slow], abs=1e-3)


def test_a_slow_midi_file_has_the_slow_tempo(made: dict[str, PlayFile]) -> None:
    tempi = []
    for name in (f"{STEM}.mid", f"{STEM}-slow.mid"):
        midi = mido.MidiFile(file=io.BytesIO(made[name].data))
        tempi += [m.tempo for m in midi.tracks[0] if m.type == "set_tempo"]
    # Microseconds a quarter: 60 000 000 over 120 and over 84.
    assert tempi == [500_000, round(60_000_000 / 84)]


def test_a_loop_is_as_long_as_its_bars(made: dict[str, PlayFile]) -> None:
    for slow, seconds in (("", 8.0), ("-slow", 16 * 60 / 84)):
        with wave.open(io.BytesIO(made[f"{STEM}{slow}-loop-a.wav"].data)) as file:
            assert file.getnframes() == round(seconds * RATE)


def test_a_bass_is_heard_only_where_it_is_wanted(made: dict[str, PlayFile]) -> None:
    """Below 150 Hz (D3) a ukulele has nothing: C4 has 262 Hz (by arithmetic)."""

    def low(name: str) -> float:
        samples = middle(made[name])
        spectrum = np.abs(np.fft.rfft(samples)) ** 2
        return float(spectrum[: int(150 * len(samples) / RATE)].sum() / spectrum.sum())

    assert low(f"{STEM}.wav") < 0.01 < 0.1 < low(f"{STEM}-bass.wav")
    assert low(f"{STEM}.mp3") < 0.01 < 0.1 < low(f"{STEM}-bass.mp3")


@pytest.mark.parametrize("take", ["", "-slow", "-bass", "-slow-bass"])
@pytest.mark.parametrize("kind", ["wav", "mp3"])
def test_the_last_chord_is_in_tune_within_a_cent_or_two_where_encoded(
    take: str, kind: str, made: dict[str, PlayFile], played: Played
) -> None:
    """A4 = 440 Hz (ISO 16:1975) and equal temperament from there."""
    name = f"{STEM}{take}.{kind}"
    samples = middle(made[name])
    # By hand: the tune ends on Gm6, and after its last bar nothing else sounds.
    last = played.arrangement.steps[-1]
    assert last.chord is not None and last.voicing is not None and last.chord.symbol == "Gm6"
    ring = samples[-int(1.5 * RATE) : -int(0.1 * RATE)]
    pitches = set(last.voicing.sounding)
    if "bass" in take:
        # The bass ends on the root.  The third partial of its G is a D, two cents above the
        # tempered one: that is not measured.
        ends = play(played.arrangement, bass=True).bass[-1].midi
        assert ends % 12 == 7
        pitches = (pitches | {ends}) - {ends + 19}
    for midi in pitches:
        hertz = 440 * 2 ** ((midi - 69) / 12)
        # Encoding with losses moves what is measured by as much again.
        most = 1 if kind == "wav" else 2
        assert abs(cents(measured_pitch(ring, hertz), hertz)) < most, midi


def test_tuning_notes_come_first_in_every_file_where_they_are_wanted(played: Played) -> None:
    wanted = PlayAlong(("mid", "wav"), tuning=True)
    mid, wav = playalong(played, wanted)
    samples = middle(wav)
    # At 120 each of the four strings rings 5 beats of half a second: 20 beats, five whole bars.
    midi = mido.MidiFile(file=io.BytesIO(mid.data))
    now, opened = 0.0, []
    for message in midi:
        now += message.time
        if message.type == "note_on" and message.velocity > 0 and now < 10 - 1e-6:
            opened.append((round(now, 3), message.note))
    assert opened == [(0, 67), (2.5, 60), (5, 64), (7.5, 69)]
    for start, note in opened:
        part = samples[int((start + 0.1) * RATE) : int((start + 2.1) * RATE)]
        spectrum = np.abs(np.fft.rfft(part * np.hanning(len(part))))
        # The loudest is one of the first partials of that string alone.
        partial = int(spectrum.argmax()) * RATE / len(part) / (440 * 2 ** ((note - 69) / 12))
        assert round(partial) in (1, 2, 3) and partial == pytest.approx(round(partial), abs=0.01)
    assert len(samples) / RATE == pytest.approx(10 + SECONDS[""], abs=1e-4)


@pytest.mark.parametrize("name", ["ukulele", "guitar"])
def test_a_lesson_has_one_file_of_open_strings(name: str) -> None:
    instrument = Instrument.named(name)
    (file,) = tuning_files(instrument, PlayAlong(("wav", "tuning")))
    samples = soundfile.read(io.BytesIO(file.data))[0]
    assert file.name == "tuning.mp3"
    assert len(samples) / RATE == pytest.approx(2 * 2.5 * len(instrument.strings), abs=1e-3)
    assert loudness(samples, RATE) == pytest.approx(-17, abs=0.5)
    assert not list(tuning_files(instrument, PlayAlong(("wav",))))


def test_sections_whose_names_are_alike_have_files_of_their_own(played: Played) -> None:
    tune = played.arrangement.tune
    bars = tune.bars
    tune = replace(tune, sections=(Section("A", bars[:2]), Section("a", bars[2:])), order=())
    two = replace(played, arrangement=replace(played.arrangement, tune=tune))
    names = [file.name for file in playalong(two, PlayAlong(("loops",)))]
    assert names == [f"{STEM}-loop-a.wav", f"{STEM}-loop-a-2.wav"]


def test_a_phone_shows_what_is_played(made: dict[str, PlayFile]) -> None:
    with soundfile.SoundFile(io.BytesIO(made[f"{STEM}-slow-bass.mp3"].data)) as file:
        assert file.title == "Four Bars of Fog: Leading (slow, with bass)"


@pytest.mark.parametrize(
    "wanted",
    [("mid", "wav", "bass mp3"), pytest.param(FILES, marks=pytest.mark.long)],
    ids=["some", "all"],
)
def test_the_same_level_gives_the_same_bytes(
    played: Played, made: dict[str, PlayFile], wanted: tuple[str, ...]
) -> None:
    again = list(playalong(played, PlayAlong(wanted)))
    assert len(again) >= 3
    for file in again:
        assert file.data == made[file.name].data


def test_names_of_practice_files_sort_and_the_script_says_them(played: Played) -> None:
    lines = tuple(Rehearsal.parse(f"bars 1-2, times {number}") for number in range(1, 13))
    many = replace(played, level=replace(played.level, practice=lines))
    names = [practice_stem(many, number) for number in range(1, 13)]
    assert names == sorted(names) and len(set(names)) == 12
    assert names[0] == f"{STEM}-practice-01-bars-1-2-times-1"
    few = replace(played, level=replace(played.level, practice=lines[:1]))
    assert practice_stem(few, 1) == f"{STEM}-practice-1-bars-1-2-times-1"


def test_script_and_folder_name_the_same_practice_files(
    tmp_path: Path, write_lesson: Callable[[Path], Path]
) -> None:
    lesson = load_lesson(write_lesson(tmp_path))
    (played,) = lesson.played
    how = Rehearsal.parse("bars 1-2, tempo 80, times 1")
    played = replace(played, level=replace(played.level, practice=(how,)))
    files = [file.name for file in practice_files(played, 1, lesson.front.playalong)]
    said = write_script(replace(lesson, played=(played,)))
    (line,) = (line for line in said.splitlines() if f"`{files[-1]}`" in line)
    assert line.startswith("- Bars 1 and 2, once at 80 per cent of the tempo: ")
    assert files[-1].endswith(".mp3")


def test_parts_are_sounds_where_that_is_asked_for(
    tmp_path: Path, write_lesson: Callable[[Path], Path]
) -> None:
    lesson = load_lesson(write_lesson(tmp_path))
    assert not list(part_files(lesson))
    wanted = replace(lesson.front, playalong=PlayAlong(("mid", "parts wav")))
    file = next(part_files(replace(lesson, front=wanted), "ukulele-"))
    sound, rate = soundfile.read(io.BytesIO(file.data))
    assert file.name.startswith("ukulele-part-1-") and file.name.endswith(".wav")
    assert rate == RATE and np.abs(sound).max() > 0.1


def test_percussion_is_left_out_where_that_is_asked_for(played: Played) -> None:
    """General MIDI, RP-003: percussion on channel 10, its sounds by their numbers."""
    shaken = replace(played.arrangement, groove=grooves()["calypso"])
    struck = {}
    for wanted in (PlayAlong(("mid",)), PlayAlong(("mid",), percussion=False)):
        (file,) = playalong(replace(played, arrangement=shaken), wanted)
        midi = mido.MidiFile(file=io.BytesIO(file.data))
        notes = [one for one in midi if one.type == "note_on" and one.channel == 9]
        struck[wanted.percussion] = {one.note for one in notes}
    assert struck == {True: {76, 77, 82}, False: {76, 77}}
