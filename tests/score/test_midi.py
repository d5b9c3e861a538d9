"""Melodies out of MIDI files that were made with another library; values by hand."""

from __future__ import annotations

import io
import random
from fractions import Fraction as Q

import mido
import pytest

from harmonykit.errors import HarmonyError
from harmonykit.score import midi as read_in
from harmonykit.score.child import answer
from harmonykit.score.tune import build_tune
from harmonykit.tune.analysis.key_finding import find_keys
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


@pytest.mark.parametrize("files", [35, pytest.param(100, marks=pytest.mark.long)])
def test_mutated_files_give_tunes_or_our_errors(files):
    chance = random.Random(5)
    good = midi([(0, 480, 60), (480, 960, 64), (960, 2880, 67)])
    outcomes = set()
    for _ in range(files):
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
    with pytest.raises(HarmonyError, match="2 quarter notes at most"):
        read_in.read_midi(midi([*notes, (960, 961, 60)]))


def raw(*events: tuple[int, object], ticks: int = 480) -> bytes:
    """Return a file of one track of messages at their times in ticks."""
    file = mido.MidiFile(type=1, ticks_per_beat=ticks)
    track, now = mido.MidiTrack(), 0
    for at, message in events:
        track.append(message.copy(time=at - now))
        now = at
    file.tracks.append(track)
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def on(pitch: int, channel: int = 0, velocity: int = 64) -> mido.Message:
    return mido.Message("note_on", note=pitch, channel=channel, velocity=velocity)


def off(pitch: int, channel: int = 0) -> mido.Message:
    return mido.Message("note_off", note=pitch, channel=channel)


def test_a_single_line_has_no_doubt_about_notes_together():
    tune = read(midi([(0, 480, 60), (480, 960, 62)]))
    assert not any("top note" in doubt for doubt in tune.doubts)
    assert not any("rounded" in doubt for doubt in tune.doubts)


def test_drums_are_no_melody_and_a_note_on_without_velocity_ends_one():
    """General MIDI: channel 10 is percussion; RP-001: note on with velocity 0 is note off."""
    drums = raw((0, on(40, 9)), (0, on(60)), (480, on(60, velocity=0)), (960, off(40, 9)))
    assert sung(read(drums)) == [("C4", 0, 1)]
    only = answer(raw((0, on(40, 9)), (480, off(40, 9))), ".mid", None)
    assert "no notes" in only["error"]["what"]


def test_a_note_that_is_struck_again_ends_where_it_is_struck():
    again = raw((0, on(60)), (480, on(60)), (1440, off(60)))
    assert sung(read(again)) == [("C4", 0, 1), ("C4", 1, 2)]
    # On another channel it is another note.
    two = raw((0, on(60)), (480, on(60, 1)), (960, off(60)), (960, off(60, 1)))
    assert sung(read(two)) == [("C4", 0, 1), ("C4", 1, 1)]


@pytest.mark.parametrize(
    ("ticks", "rounded"), [(20, False), (160, False), (60, False), (96, True), (30, True)]
)
def test_up_to_a_24th_of_a_quarter_is_written(ticks: int, rounded: bool) -> None:
    """480 ticks a quarter: 20 are a 24th, 60 an eighth of one; 96 and 30 are no 24ths."""
    tune = read(midi([(0, ticks, 60), (480, 960, 62)]))
    assert any("rounded" in doubt for doubt in tune.doubts) is rounded


def test_what_was_played_is_rounded_to_the_nearer_of_sixteenths_and_thirds() -> None:
    """By hand, in ticks of 480: 161 is a third, 118 a sixteenth, 7 is nothing and made one."""
    tune = read(
        midi([(0, 161, 60), (161, 318, 62), (318, 481, 64), (481, 599, 65), (599, 606, 67)])
    )
    assert sung(tune) == [
        ("C4", 0, Q(1, 3)), ("D4", Q(1, 3), Q(1, 3)), ("E4", Q(2, 3), Q(1, 3)),
        ("F4", 1, Q(1, 4)), ("G4", Q(5, 4), Q(1, 4)),
    ]  # fmt: skip


@pytest.mark.parametrize("meter", [(2, 4), (3, 4), (32, 8), (1, 2), (7, 16), (4, 32)])
def test_metres_up_to_32_of_any_value_are_read(meter: tuple[int, int]) -> None:
    head = (mido.MetaMessage("time_signature", numerator=meter[0], denominator=meter[1]),)
    tune = read(midi([(0, 480, 60)], head=head))
    assert tune.meter == meter and tune.bars[0].length == Q(4 * meter[0], meter[1])


def test_a_metre_that_no_tune_has_is_passed_over() -> None:
    for upper, lower in ((33, 4), (4, 64)):
        head = (mido.MetaMessage("time_signature", numerator=upper, denominator=lower),)
        assert read(midi([(0, 480, 60)], head=head)).meter == (4, 4)


def test_a_new_metre_begins_a_bar_and_cuts_the_one_before() -> None:
    events = [
        (0, mido.MetaMessage("time_signature", numerator=4, denominator=4)),
        (0, on(60)),
        (960, off(60)),
        (960, mido.MetaMessage("time_signature", numerator=3, denominator=4)),
        (960, on(62)),
        (2400, off(62)),
        (2400, on(64)),
        (2880, off(64)),
    ]
    tune = read(raw(*events))
    assert [(b.meter, b.length) for b in tune.bars] == [((4, 4), 2), ((3, 4), 3), ((3, 4), 3)]
    assert sung(tune) == [("C4", 0, 2), ("D4", 2, 3), ("E4", 5, 1)]


def test_a_note_over_several_bars_is_tied_through_each() -> None:
    tune = read(midi([(960, 480 * 11, 60), (480 * 11, 480 * 12, 62)]))
    bars = [[(str(n.note), n.at, n.beats, n.tied) for n in bar.melody] for bar in tune.bars]
    assert bars == [
        [("C4", 2, 2, True)],
        [("C4", 0, 4, True)],
        [("C4", 0, 3, False), ("D4", 3, 1, False)],
    ]


@pytest.mark.parametrize(
    ("key", "name", "note"),
    [
        ("C", "C major", "D#4"),
        ("Bb", "Bb major", "Eb4"),
        ("F#m", "F# minor", "D#4"),
        ("Cm", "C minor", "Eb4"),
    ],
)
def test_flat_keys_spell_with_flats(key: str, name: str, note: str) -> None:
    tune = read(midi([(0, 480, 63)], head=(mido.MetaMessage("key_signature", key=key),)))
    assert str(tune.key) == name and sung(tune)[0][0] == note
    assert not any("no key" in doubt for doubt in tune.doubts)
    assert any("no key is given" in doubt for doubt in read(midi([(0, 480, 63)])).doubts)


# "Ah! vous dirai-je, maman" (traditional, 1761, from memory), in quarters above its tonic.
_FRENCH = "0 0 7 7 9 9 7 7 5 5 4 4 2 2 0 0"


@pytest.mark.parametrize(("low", "key"), [(60, "C major"), (67, "G major"), (63, "Eb major")])
def test_without_a_key_the_notes_tell_it_and_it_is_doubted(low: int, key: str) -> None:
    pitches = [low + int(step) for step in _FRENCH.split()]
    tune = read(midi([(480 * n, 480 * n + 480, pitch) for n, pitch in enumerate(pitches)]))
    assert str(tune.key) == key and str(find_keys(tune)[0][0]) == key
    (doubt,) = (each for each in tune.doubts if "no key is given" in each)
    assert f"the notes fit {tune.key.unicode} (" in doubt and "the first is used" in doubt
    assert {note.note.name for note in tune.melody} <= {note.name for note in tune.key.scale}


def test_tempi_are_read_in_quarters_a_minute_and_a_change_is_told() -> None:
    """RP-001, FF 51: microseconds a quarter; 545455 are 110 quarter notes a minute."""
    first, second = (mido.MetaMessage("set_tempo", tempo=n) for n in (545455, 500000))
    tune = read(raw((0, first), (0, on(60)), (480, second), (480, off(60))))
    assert tune.tempo == pytest.approx(110, abs=0.001)
    assert any("tempo changes" in doubt for doubt in tune.doubts)
    alike = read(raw((0, first), (0, on(60)), (480, first), (480, off(60))))
    assert not any("tempo changes" in doubt for doubt in alike.doubts)


def test_title_and_track_are_told() -> None:
    data = midi([(0, 480, 60)], [(0, 480, 72)], names=("Row ", "melody"))
    tune = read(data)
    assert sung(tune)[0][0] == "C5"
    assert "the melody is read from track 'melody', one of 2 with notes" in tune.doubts
    unnamed = read(midi([(0, 480, 60)], [(0, 480, 72)]))
    assert "the melody is read from a track without a name, one of 2 with notes" in unnamed.doubts
    assert not any("the melody is read from" in d for d in read(midi([(0, 480, 60)])).doubts)


def test_a_division_of_one_tick_is_read() -> None:
    assert sung(read(raw((0, on(60)), (2, off(60)), ticks=1))) == [("C4", 0, 2)]


def test_a_midi_file_has_no_signs_of_form() -> None:
    """RP-001 has no event for a repeat, an ending or a section: what is played is written out."""
    tune = read(midi([(0, 480 * 9, 60)]))
    assert not any(bar.opens or bar.closes or bar.ending or bar.signs for bar in tune.bars)
    assert len(tune.sections) == 1 and not any(change.chord for change in tune.changes)
