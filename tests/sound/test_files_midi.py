"""MIDI: the file's own bytes, and the same times as the performance."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import mido
import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.sound.events import play
from harmonykit.sound.files import TICKS, write_midi
from harmonykit.theory.note import Note
from harmonykit.tune.bar import BarNote
from harmonykit.tune.tune import Section

Arranged = Callable[..., Arrangement]


def read(data: bytes) -> mido.MidiFile:
    return mido.MidiFile(file=io.BytesIO(data))


def metas(file: mido.MidiFile, kind: str) -> list[mido.MetaMessage]:
    return [message for message in file.tracks[0] if message.type == kind]


def test_the_header_is_that_of_the_standard(arranged: Arranged) -> None:
    # RP-001: MThd, length 6, format 1, tracks, ticks a quarter.
    data = write_midi(play(arranged("C=0003")))
    assert data[:14] == b"MThd\x00\x00\x00\x06\x00\x01\x00\x03" + TICKS.to_bytes(2, "big")


def test_a_tempo_of_120_is_half_a_second_a_quarter(arranged: Arranged) -> None:
    # RP-001: FF 51 03 07 A1 20.
    assert bytes.fromhex("FF510307A120") in write_midi(play(arranged("C=0003", tempo=120)))


def test_metre_and_key_are_written(arranged: Arranged) -> None:
    # FF 58 04 nn dd: the denominator as a power of two.
    data = write_midi(play(arranged("C=0003", (6, 8), key="Bb")))
    assert bytes.fromhex("FF58040603") in data
    (key,) = metas(read(data), "key_signature")
    assert key.key == "Bb"
    (key,) = metas(read(write_midi(play(arranged("C=0003", key="F#m")))), "key_signature")
    assert key.key == "F#m"


@pytest.mark.parametrize("tempo", [57, 96.5, 133, 211])
def test_every_event_has_its_time(arranged: Arranged, tempo: float) -> None:
    performance = play(arranged("C=0003 F:5/2=2010 | C=0003", tempo=tempo))
    file = read(write_midi(performance))
    tempos = metas(file, "set_tempo")
    assert tempos[0].tempo == round(60_000_000 / tempo)
    found = []
    for track in file.tracks[1:]:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on":
                seconds = mido.tick2second(now, TICKS, tempos[0].tempo)
                found.append((message.note, message.velocity, seconds))
    meant = [(e.midi, e.velocity, e.onset) for e in performance.events]
    assert len(found) == len(meant)
    tick = tempos[0].tempo / 1_000_000 / TICKS
    for one, other in zip(sorted(found, key=last), sorted(meant, key=last), strict=True):
        assert one[2] == pytest.approx(other[2], abs=tick / 2 + 1e-9)
    assert sorted(f[:2] for f in found) == sorted(m[:2] for m in meant)


def last(item: tuple[int, int, float]) -> float:
    return item[2]


def test_every_note_that_starts_ends_and_none_twice(arranged: Arranged) -> None:
    # A4 open and A4 on the g string: two strings, one pitch.
    file = read(write_midi(play(arranged("Am=2000 | Am=2000 | Am=2000"))))
    sounding: set[tuple[int, int]] = set()
    for track in file.tracks:
        for message in track:
            if message.type in ("note_on", "note_off"):
                key = (message.channel, message.note)
                assert (key in sounding) == (message.type == "note_off")
                (sounding.add if message.type == "note_on" else sounding.remove)(key)
    assert not sounding


def test_clicks_are_percussion_and_the_file_is_as_long_as_the_sound(arranged: Arranged) -> None:
    performance = play(arranged("C=0003", tempo=60))
    file = read(write_midi(performance))
    assert {m.channel for m in file.tracks[2] if m.type == "note_on"} == {9}
    assert file.length == pytest.approx(performance.seconds, abs=1e-3)


def test_the_same_performance_gives_the_same_bytes(arranged: Arranged) -> None:
    one, other = (write_midi(play(arranged("C=0003 | F=2010"))) for _ in range(2))
    assert one == other


def test_each_part_has_a_track_and_channels_of_its_own(arranged: Arranged) -> None:
    """Programs of General MIDI (RP-003): 25 nylon guitar, 33 acoustic bass, counted from 1."""
    arrangement = arranged("C=0003 | F=2010")
    sung = BarNote(Note.parse("E5"), Fraction(1), Fraction(2))
    bar = replace(arrangement.tune.bars[0], melody=(sung,))
    sections = (Section("A", (bar, arrangement.tune.bars[1])),)
    arrangement = replace(arrangement, tune=replace(arrangement.tune, sections=sections))
    file = read(write_midi(play(arrangement, melody=True, bass=True)))
    channels = {
        track.name: sorted({m.channel + 1 for m in track if m.type == "note_on"})
        for track in file.tracks[1:]
    }
    assert list(channels) == ["strings", "melody", "bass", "click"]
    assert channels["strings"] == [1, 2, 3, 4] and channels["click"] == [10]
    alone = channels["melody"] + channels["bass"]
    assert len({*alone, 1, 2, 3, 4, 10}) == 7
    programs = {
        (track.name, m.program + 1) for track in file.tracks for m in track
        if m.type == "program_change"
    }  # fmt: skip
    # Nylon guitar, flute, acoustic bass of General MIDI (RP-003).
    assert programs == {("strings", 25), ("melody", 74), ("bass", 33)}
    # Each part's notes are its own: C3 (48) and F2 (41) below, E5 (76) above.
    notes = {t.name: {m.note for m in t if m.type == "note_on"} for t in file.tracks[1:]}
    assert notes["bass"] == {48, 41} and notes["melody"] == {76}


@pytest.mark.parametrize("strings", range(10))
def test_no_string_is_on_the_channel_of_the_click_or_the_bass(
    strings: int, arranged: Arranged
) -> None:
    performance = play(arranged("C=0003"), count_in=False, bass=True)
    tones = tuple(replace(e, string=strings) for e in performance.strummed[:1])
    file = read(write_midi(replace(performance, events=tones + performance.bass)))
    used = {m.channel for track in file.tracks for m in track if m.type == "note_on"}
    assert len(used) == 2 and 9 not in used


@pytest.mark.parametrize(
    ("instrument", "shape", "program"),
    [("guitar", "x32010", 25), ("mandolin", "5230", 26), ("five-string banjo", "02012", 106)],
)
def test_strings_have_the_program_of_their_instrument(
    instrument: str, shape: str, program: int, arranged: Arranged
) -> None:
    """General MIDI (RP-003): 25 nylon guitar, 26 steel guitar, 106 banjo."""
    file = read(write_midi(play(arranged(f"C={shape}", instrument=instrument))))
    found = {m.program + 1 for t in file.tracks for m in t if m.type == "program_change"}
    assert found == {program}
