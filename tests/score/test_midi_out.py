"""A tune as MIDI: bytes of the standard, exact times, and the melody that comes in again."""

from __future__ import annotations

import io
from fractions import Fraction as Q

import mido
import music21

from harmonykit.score.files import read_tune, tune_from, write_tune
from harmonykit.score.midi_out import TICKS, midi_score, write_midi_file
from harmonykit.tune.tune import Tune

TEXT = """
format = 1
title = "Ebb"
key = "Bb"
meter = "3/4"
tempo = 120
[[sections]]
name = "A"
changes = "| {1 quarter} F7 |: Bb6 | {4/4} Eb F7@3 :| N.C. |"
melody = "| F4 | Bb4:1/3 C5:1/3 D5:1/3 r:1 Bb4:1~ | Bb4:3 F5:1 | r |"
"""


def midi_of(tune: Tune) -> bytes:
    return write_midi_file(midi_score(tune))


def messages(data: bytes, track: int) -> list[tuple[Q, mido.Message]]:
    file = mido.MidiFile(file=io.BytesIO(data))
    now, found = 0, []
    for message in file.tracks[track]:
        now += message.time
        found.append((Q(now, TICKS), message))
    return found


def test_the_header_and_the_tempo_are_those_of_the_standard():
    data = midi_of(Tune.parse(TEXT))
    # RP-001: MThd, length 6, format 1, three tracks, 960 ticks; 120 a minute is 07 A1 20.
    assert data[:14] == b"MThd" + bytes([0, 0, 0, 6, 0, 1, 0, 3, 3, 192])
    assert b"\xff\x51\x03\x07\xa1\x20" in data
    # Two flats, major; 3/4 as 3 and 2 (the power of two).
    assert b"\xff\x59\x02\xfe\x00" in data
    assert b"\xff\x58\x04\x03\x02" in data


def test_metres_stand_where_they_change_in_playing_order():
    marks = [(at, (m.numerator, m.denominator))
             for at, m in messages(midi_of(Tune.parse(TEXT)), 0)
             if m.type == "time_signature"]  # fmt: skip
    # The pick-up; then 3 + 4, twice; then 4.
    assert marks == [(0, (1, 4)), (1, (3, 4)), (4, (4, 4)), (8, (3, 4)), (11, (4, 4))]


UPBEAT = """
format = 1
title = "Upbeat"
key = "C"
meter = "4/4"
[[sections]]
name = "A"
changes = "| {1 quarter} - | C | {3 quarters} F |: G7 | {3 quarters} C :| {1 quarter} G | {3 quarters} C |"
melody = "| G4 | C5:4 | A4:3 | E4:4 | G4:3 | D4 | C4:3 |"
"""  # noqa: E501


def test_bar_lines_stand_where_they_are_written_for_music21_and_for_us():
    tune = Tune.parse(UPBEAT)
    score = music21.converter.parse(midi_of(tune), format="midi")
    found = [Q(m.offset) for m in score.parts[0].getElementsByClass("Measure")]
    # 1, 4, 3, 4 + 3; then 4 + 3 with what completes it; then 3.
    starts = [0, 1, 5, 8, 12, 15, 19, 23]
    assert found == starts
    again = tune_from("upbeat.mid", midi_of(tune))
    assert again.bars[0].number == 0 and again.meter == (4, 4)
    assert [s.onset for s in again.melody] == [s.onset for s in tune.melody]
    assert [each.onset for each in again.playing] == starts


def test_every_chord_and_note_has_its_time():
    tune = Tune.parse(TEXT)
    data = midi_of(tune)
    sung = [(at, m.note) for at, m in messages(data, 1) if m.type == "note_on"]
    assert sung == [(s.onset, s.note.midi) for s in tune.melody]
    named = [(at, m.text) for at, m in messages(data, 2) if m.type == "text"]
    assert named == [(c.onset, c.chord.symbol) for c in tune.changes if c.chord]
    lowest: dict[Q, int] = {}
    for at, message in messages(data, 2):
        if message.type == "note_on":
            lowest[at] = min(lowest.get(at, 127), message.note)
    assert [pitch % 12 for pitch in lowest.values()] == [5, 10, 3, 5, 10, 3, 5]


def test_the_melody_comes_in_again(tmp_path):
    tune = Tune.parse(TEXT)
    write_tune(tune, tmp_path / "ebb.mid")
    found = read_tune(tmp_path / "ebb.mid")
    assert found.melody == tune.melody
    assert (str(found.key), found.tempo, found.title) == ("Bb major", 120, "Ebb")
    assert [c.chord for c in found.changes] == [None]
    assert "a MIDI file holds no chord symbols: melody only" in found.doubts
    meters = [p.bar.meter for p in found.playing]
    assert meters == [(3, 4), (3, 4), (4, 4), (3, 4), (4, 4)]


def test_syllables_stand_at_their_notes_as_lyrics():
    # RP-001, FF 05: a lyric to be sung, a syllable at a time.
    text = TEXT + 'words = "| the | ri- ver runs _ | by | |"\n'
    found = [(at, m.text) for at, m in messages(midi_of(Tune.parse(text)), 1) if m.type == "lyrics"]
    assert found[:4] == [(0, "the "), (1, "ri-"), (Q(4, 3), "ver "), (Q(5, 3), "runs ")]
