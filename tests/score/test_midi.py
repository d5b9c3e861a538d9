"""Melodies out of MIDI files that were made with another library; values by hand."""

from __future__ import annotations

import io
import random

import mido
import pytest

from harmonykit.errors import HarmonyError
from harmonykit.score import midi as read_in
from harmonykit.score.child import answer
from harmonykit.score.tune import build_tune
from harmonykit.tune.tune import Tune


def midi(*tracks: list[tuple[int, int, int]], head: tuple = (), names: tuple = ()) -> bytes:
    """Return a file of tracks of start, end (in ticks of 480) and pitch."""
    file = mido.MidiFile(type=1, ticks_per_beat=480)
    file.tracks.append(mido.MidiTrack(head))
    for index, notes in enumerate(tracks):
        track = mido.MidiTrack()
        if index < len(names):
            track.append(mido.MetaMessage("track_name", name=names[index]))
        events = [(end, 0, pitch) for _, end, pitch in notes]
        events += [(start, 1, pitch) for start, _, pitch in notes]
        now = 0
        for at, on, pitch in sorted(events):
            kind = "note_on" if on else "note_off"
            track.append(mido.Message(kind, note=pitch, time=at - now))
            now = at
        file.tracks.append(track)
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def read(data: bytes) -> Tune:
    found = answer(data, ".mid", None)
    assert "error" not in found, found
    return build_tune(found["score"], "x.mid")


def sung(tune: Tune) -> list[tuple]:
    return [(str(s.note), s.onset, s.beats) for s in tune.melody]


def test_notes_rests_and_ties_over_bar_lines():
    tune = read(midi([(0, 480, 60), (960, 2400, 62)]))
    assert sung(tune) == [("C4", 0, 1), ("D4", 2, 3)]
    assert [len(bar.melody) for bar in tune.bars] == [2, 1]


def test_of_notes_together_the_top_is_kept_up_to_the_next():
    tune = read(midi([(0, 960, 60), (0, 960, 67), (480, 960, 64)]))
    assert sung(tune) == [("G4", 0, 1), ("E4", 1, 1)]
    assert any("top note" in doubt for doubt in tune.doubts)


@pytest.mark.parametrize(
    ("lyrics", "places"),
    [
        # A blank ends a word where any does; else a hyphen says that one goes on.
        (["ri", "ver ", "runs "], ["begin", "end", "single"]),
        (["ri-", "ver", "runs"], ["begin", "end", "single"]),
        (["é", "b", "c"], ["single"] * 3),
    ],
)
def test_lyric_events_are_the_words_of_notes(lyrics, places):
    # RP-001, FF 05: a lyric to be sung, a syllable at a time, at the time of its note.
    words = mido.MidiTrack()
    for text in lyrics:
        words.append(mido.MetaMessage("lyrics", text=text, time=480 if words else 0))
    words.append(mido.MetaMessage("lyrics", text="late", time=4800))
    notes = [(480 * n, 480 * n + 480, 60 + n) for n in range(3)]
    tune = read(midi(notes, head=tuple(words)))
    found = [word for note in tune.melody for word in note.words]
    assert [word.text for word in found] == [text.strip().rstrip("-") for text in lyrics]
    assert [word.place for word in found] == places
    assert "words without a note are left out: 'late'" in tune.doubts


def test_the_track_called_melody_is_read():
    bass, line = [(0, 1920, 40)], [(0, 480, 72)]
    assert sung(read(midi(bass, line, names=("bass", "Melody"))))[0][0] == "C5"
    assert sung(read(midi(bass, line)))[0][0] == "E2"


def test_what_was_played_by_hand_is_rounded_and_said():
    tune = read(midi([(3, 471, 60), (484, 700, 62), (725, 958, 64)]))
    assert sung(tune) == [("C4", 0, 1), ("D4", 1, 0.5), ("E4", 1.5, 0.5)]
    assert any("rounded" in doubt for doubt in tune.doubts)


def test_a_metre_and_a_key_are_read():
    head = (
        mido.MetaMessage("time_signature", numerator=6, denominator=8),
        mido.MetaMessage("key_signature", key="Cm"),
        mido.MetaMessage("set_tempo", tempo=1_000_000),
    )
    tune = read(midi([(0, 1440, 63), (1440, 1680, 70)], head=head))
    assert (tune.meter, str(tune.key), tune.tempo) == ((6, 8), "C minor", 60)
    assert sung(tune) == [("Eb4", 0, 3), ("Bb4", 3, 0.5)]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "not a MIDI file"),
        (b"RIFF....", "not a MIDI file"),
        (midi([]), "no notes"),
        (midi([(0, 480, 60)])[:20], "music21 cannot read it"),
    ],
)
def test_what_is_no_melody_is_refused(data, message):
    assert message in answer(data, ".mid", None)["error"]["what"]


def test_mutated_files_give_tunes_or_our_errors():
    chance = random.Random(5)
    good = midi([(0, 480, 60), (480, 960, 64), (960, 2880, 67)])
    outcomes = set()
    for _ in range(100):
        bad = bytearray(good)
        for _ in range(chance.randrange(1, 4)):
            bad[chance.randrange(14, len(bad))] = chance.randrange(256)
        found = answer(bytes(bad), ".mid", None)
        if "error" in found:
            outcomes.add("refused")
            continue
        try:
            tune = build_tune(found["score"], "x.mid")
        except HarmonyError:
            outcomes.add("no tune")
        else:
            assert tune.melody
            outcomes.add("read")
    assert {"read", "refused"} <= outcomes


def test_a_file_that_is_too_long_is_refused(monkeypatch):
    """Of two notes and of sixteen quarters, read as far as they may go."""
    notes = [(0, 480, 60), (480, 960, 62)]
    monkeypatch.setattr(read_in, "MOST_NOTES", 2)
    assert read_in.read_midi(midi(notes))["bars"]
    monkeypatch.setattr(read_in, "MOST_NOTES", 1)
    with pytest.raises(HarmonyError, match="too long"):
        read_in.read_midi(midi(notes))
    monkeypatch.setattr(read_in, "MOST_NOTES", 9)
    monkeypatch.setattr(read_in, "MOST_QUARTERS", 2)
    assert read_in.read_midi(midi(notes))["bars"]
    with pytest.raises(HarmonyError, match="2 quarters at most"):
        read_in.read_midi(midi([*notes, (960, 961, 60)]))
