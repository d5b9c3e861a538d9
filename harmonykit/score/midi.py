"""A melody read from a MIDI file with music21; runs in the child process only.

music21 reads the events; what they mean is put together here.  Times are counted in ticks, exactly;
where a file was played by hand and not written, they are rounded to sixteenths and triplets.  The
melody is the track that is called so, else the first with notes that are not drums; of notes that
sound together the highest is kept.  A MIDI file holds no chord symbols.  Its words are syllables
at the times of notes; a blank or a hyphen at the end says whether the word ends or goes on (common
practice, no source).
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import Any

from harmonykit.score.signs import Json
from harmonykit.theory.note import Note
from harmonykit.tune.analysis.key_finding import keys_of_melody, said_keys
from harmonykit.tune.bar import MOST_BARS, TuneError
from harmonykit.values import dataclass, field

_NOTE_ON, _NOTE_OFF = 0x90, 0x80
_NAME, _LYRIC, _TEMPO, _METER, _KEY = 0x03, 0x05, 0x51, 0x58, 0x59
_DRUMS = 10
# Times with no finer parts than these of a quarter were written, others were played.
_WRITTEN = 24
_PLAYED = (4, 3)
MOST_QUARTERS = 40_000
MOST_NOTES = 50_000


@dataclass(slots=True)
class _Track:
    name: str = ""
    # Start, end, pitch.
    notes: list[tuple[Fraction, Fraction, int]] = field(default_factory=list)
    # A syllable and its time.
    words: list[tuple[Fraction, str]] = field(default_factory=list)


def read_midi(data: bytes) -> Json:
    """Return the score of a MIDI file, as plain data.

    Raises
    ------
    TuneError
        If it has no notes, or counts time in seconds.
    """
    from music21.midi import MidiFile

    if not data.startswith(b"MThd"):
        raise TuneError("this is not a MIDI file", rule="a MIDI file starts with MThd")
    file = MidiFile()
    file.readstr(data)
    ticks = file.ticksPerQuarterNote
    if file.ticksPerSecond or not 0 < ticks < 0x8000:
        raise TuneError(
            "the file counts time in seconds", rule="times are in ticks per quarter note"
        )
    signs: list[tuple[Fraction, int, bytes]] = []
    tracks = [_read(track.events, ticks, signs) for track in file.tracks]
    sung = [track for track in tracks if track.notes]
    if not sung:
        raise TuneError("the file has no notes")
    chosen = next((track for track in sung if track.name.lower() == "melody"), sung[0])
    doubts: list[tuple[int | None, str]] = [
        (None, "a MIDI file holds no chord symbols: melody only")
    ]
    if len(sung) > 1:
        named = f"track {chosen.name!r}" if chosen.name else "a track without a name"
        doubts.append((None, f"the melody is read from {named}, one of {len(sung)} with notes"))
    # Where the notes have no words of their own, another track may hold them.
    chosen.words = next((track.words for track in (chosen, *tracks) if track.words), [])
    return _score(chosen, tracks[0].name, sorted(signs, key=lambda s: s[0]), doubts)


def _read(events: list[Any], ticks: int, signs: list[tuple[Fraction, int, bytes]]) -> _Track:
    """Return a track's notes and name; add its signs."""
    track, now = _Track(), 0
    open_notes: dict[tuple[int, int], Fraction] = {}
    for event in events:
        if type(event).__name__ == "DeltaTime":
            now += event.time
            continue
        at, kind = Fraction(now, ticks), int(event.type)
        if at > MOST_QUARTERS or len(track.notes) > MOST_NOTES:
            raise TuneError("the file is too long", rule=f"{MOST_QUARTERS} quarter notes at most")
        if kind == _NAME and not track.name:
            track.name = bytes(event.data).decode("latin-1").strip()
        elif kind == _LYRIC:
            track.words.append((at, _text(bytes(event.data))))
        elif kind in (_TEMPO, _METER, _KEY):
            signs.append((at, kind, bytes(event.data)))
        elif kind in (_NOTE_ON, _NOTE_OFF) and event.channel != _DRUMS:
            place = (event.channel, event.pitch)
            start = open_notes.pop(place, None)
            if start is not None and at > start:
                track.notes.append((start, at, event.pitch))
            if kind == _NOTE_ON and event.velocity:
                open_notes[place] = at
    return track


def _score(
    track: _Track,
    title: str,
    signs: list[tuple[Fraction, int, bytes]],
    doubts: list[tuple[int | None, str]],
) -> Json:
    tempos = [data for _, kind, data in signs if kind == _TEMPO and len(data) == 3]
    keys = [data for _, kind, data in signs if kind == _KEY and len(data) == 2]
    if len(set(tempos)) > 1:
        doubts.append((None, "the tempo changes: the first is kept"))
    micro = int.from_bytes(tempos[0], "big") if tempos else 0
    notes = _rounded(track.notes, doubts)
    line = _top_line(notes, doubts)
    fifths, mode = _key(keys[0]) if keys else _key_heard(line, doubts)
    rounded = notes is not track.notes
    words = {_nearest(at) if rounded else at: text for at, text in track.words}
    starts = {start for start, _, _ in line}
    if left := [text.strip() for at, text in sorted(words.items()) if at not in starts]:
        doubts.append((None, f"words without a note are left out: {' '.join(left)[:40]!r}"))
    end = max(stop for _, stop, _ in line)
    return {
        "title": title, "composer": "", "rights": "", "shift": [0, 0], "form": "",
        "tempo": str(round(Fraction(60_000_000, micro), 3)) if micro else "",
        "key": {"fifths": fifths, "mode": mode},
        "bars": list(_bars(line, end, signs, flats=fifths < 0, words=_syllables(words))),
        "doubts": doubts,
        "melody only": True,
    }  # fmt: skip


def _key(data: bytes) -> tuple[int, str]:
    """Return the signature, in fifths, and the mode that a file gives."""
    return int.from_bytes(data[:1], "big", signed=True), "minor" if data[1] == 1 else "major"


def _key_heard(
    line: list[tuple[Fraction, Fraction, int]], doubts: list[tuple[int | None, str]]
) -> tuple[int, str]:
    """Return the signature and the mode that the notes make likely, and doubt them."""
    found = keys_of_melody([(Note.from_midi(pitch), end - at) for at, end, pitch in line])
    doubts.append((None, f"no key is given; the notes fit {said_keys(found)}; the first is used"))
    return found[0][0].signature, found[0][0].mode


def _rounded(
    notes: list[tuple[Fraction, Fraction, int]], doubts: list[tuple[int | None, str]]
) -> list[tuple[Fraction, Fraction, int]]:
    """Return notes as they were written, or rounded to what may have been meant."""
    times = [time for start, end, _ in notes for time in (start, end)]
    exact = sum((time * _WRITTEN).denominator == 1 for time in times)
    if exact == len(times):
        return notes
    doubts.append((None, "times are rounded to sixteenths and triplets"))
    found = []
    for start, end, pitch in notes:
        at, until = _nearest(start), _nearest(end)
        found.append((at, until if until > at else at + Fraction(1, 4), pitch))
    return found


def _nearest(time: Fraction) -> Fraction:
    return min((Fraction(round(time * n), n) for n in _PLAYED), key=lambda near: abs(near - time))


def _top_line(
    notes: list[tuple[Fraction, Fraction, int]], doubts: list[tuple[int | None, str]]
) -> list[tuple[Fraction, Fraction, int]]:
    """Return notes that do not overlap: the highest of each onset, up to the next."""
    highest: dict[Fraction, tuple[Fraction, Fraction, int]] = {}
    for note in notes:
        if note[0] not in highest or note[2] > highest[note[0]][2]:
            highest[note[0]] = note
    if len(highest) < len(notes):
        doubts.append((None, "notes sound together: the top note is kept"))
    line = [highest[start] for start in sorted(highest)]
    ends = [start for start, _, _ in line[1:]] + [line[-1][1]]
    return [(start, min(end, after), p) for (start, end, p), after in zip(line, ends, strict=True)]


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _syllables(words: dict[Fraction, str]) -> dict[Fraction, list[tuple[str, str, int]]]:
    """Return what is sung at each time, as a note's words."""
    # Where no syllable ends with a blank, none says where a word ends.
    told = any(text[-1:].isspace() for text in words.values())
    found = {}
    for at, text in words.items():
        bare = text.strip().strip("/\\")
        goes_on = bare.endswith("-") or (told and not text[-1:].isspace())
        printed = bare.removesuffix("-").strip()
        if printed:
            found[at] = [(printed, "begin" if goes_on else "single", 1)]
    return found


def _bars(
    line: list[tuple[Fraction, Fraction, int]],
    end: Fraction,
    signs: list[tuple[Fraction, int, bytes]],
    *,
    flats: bool,
    words: dict[Fraction, list[tuple[str, str, int]]],
) -> Iterator[Json]:
    """Yield bars up to the last note; notes are cut at bar lines and tied."""
    meters = {Fraction(0): (4, 4)}
    meters |= {
        at: (data[0], 2 ** data[1])
        for at, kind, data in signs
        if kind == _METER and len(data) >= 2 and data[1] <= 5 and 0 < data[0] <= 32
    }
    starts = _with_pickup(list(_bar_starts(meters, end)))
    first = 0
    for (start, meter), (stop, _) in pairwise(starts):
        while first < len(line) and line[first][1] <= start:
            first += 1
        found = []
        for onset, until, pitch in line[first:]:
            if onset >= stop:
                break
            at, last = max(onset, start), min(until, stop)
            name = str(Note.from_midi(pitch, flats=flats))
            found.append(
                {
                    "note": [name],
                    "at": str(at - start),
                    "beats": str(last - at),
                    "tied": until > stop,
                    "words": words.get(onset, []) if onset >= start else [],
                }
            )
        yield {
            "chords": [], "notes": found, "meter": list(meter), "length": str(stop - start),
            "opens": False, "closes": 0, "ending": [], "label": "",
        }  # fmt: skip


def _with_pickup(
    starts: list[tuple[Fraction, tuple[int, int]]],
) -> list[tuple[Fraction, tuple[int, int]]]:
    """Return bars of which the first is a pick-up where it is whole, and shorter than the next."""
    (start, first), *others = starts
    after, meter = others[0] if others else (start, first)
    own, whole = (Fraction(4 * upper, lower) for upper, lower in (first, meter))
    return [(start, meter), *others] if after - start == own < whole else starts


def _bar_starts(
    meters: dict[Fraction, tuple[int, int]], end: Fraction
) -> Iterator[tuple[Fraction, tuple[int, int]]]:
    """Yield where each bar starts and its metre, and at last where the last one ends."""
    now, meter = Fraction(0), meters[Fraction(0)]
    changes = sorted(meters)
    for _ in range(MOST_BARS + 1):
        meter = meters.get(now, meter)
        yield now, meter
        if now >= end:
            return
        whole = now + Fraction(4 * meter[0], meter[1])
        # A new metre cuts the bar before it short.
        now = min([whole, *(at for at in changes if now < at < whole)])
