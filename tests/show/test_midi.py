"""MIDI: the file's own bytes, and the same times as the performance."""

from __future__ import annotations

import io
from collections.abc import Callable

import mido
import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.show.events import play
from harmonykit.show.midi import TICKS, write_midi

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
