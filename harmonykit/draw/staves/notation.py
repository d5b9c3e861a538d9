"""Scores out: MusicXML with chord symbols and frets.

Conventions.  A score is written out in playing order, repeats and endings unfolded, its bars
numbered from 1 (0 for a pick-up).  Notes and rests go through music21's writer; what that loses or
spoils is put right on the XML tree afterwards, in one function each.  The same arrangement gives
the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from importlib import import_module
from typing import Any
from xml.etree.ElementTree import Element, indent, tostring

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.draw.staves.harmony import harmony_element
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.note import Note
from harmonykit.tune.bar import beat_length
from harmonykit.tune.tune import Sung

_DOCTYPE = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
# Below this string a part is written an octave above its sound, as a guitar's is.
_LOWEST_PLAIN_MIDI = 52
_SOFTWARE = "harmonykit"

# Start and length in quarters from the start of the bar, and what sounds: nothing is a rest.
Entry = tuple[Fraction, Fraction, tuple[Note, ...], str]


def to_musicxml(
    arrangement: Arrangement, title: str | None = None, tempo: float | None = None
) -> str:
    """Return an arrangement as MusicXML 4.0.

    One part has the shapes as sounding notes, under chord symbols with fret frames; where the tune
    has a melody, another stands above it.

    Parameters
    ----------
    arrangement : Arrangement
    title : str, optional
        The tune's own unless given.
    tempo : float, optional
        Quarters a minute; the arrangement's own unless given.
    """
    if tempo is not None:
        arrangement = replace(arrangement, tempo=tempo)
    root = _written(arrangement, title or arrangement.tune.title)
    _name_parts(root)
    _state_software_without_date(root)
    _drop_invented_names(root, arrangement)
    _number_pickup_as_implicit(root)
    _add_harmonies(root.findall("part")[-1], arrangement)
    indent(root, " ")
    return _DOCTYPE + tostring(root, encoding="unicode") + "\n"


def _written(arrangement: Arrangement, title: str) -> Element:
    """Return the XML tree that music21 writes."""
    metadata, writer = _music21("metadata"), _music21("musicxml.m21ToXml")
    score = _music21("stream").Score()
    tune = arrangement.tune
    score.metadata = metadata.Metadata(title=title, composer=tune.composer or None)
    if tune.rights:
        score.metadata.copyright = tune.rights
    if tune.melody:
        score.insert(0, _part("Melody", _melody_bars(arrangement), arrangement, _clef(60)))
    clef = _clef(min(arrangement.instrument.midi))
    name = _part_name(arrangement.instrument)
    score.insert(0, _part(name, _shape_bars(arrangement), arrangement, clef))
    found: Element = writer.ScoreExporter(score, makeNotation=False).parse()
    return found


def _music21(name: str) -> Any:
    """Return a module of music21, which is slow to load and carries no types."""
    return import_module(f"music21.{name}")


def _part_name(instrument: Instrument) -> str:
    return instrument.name[:1].upper() + instrument.name[1:]


def _clef(lowest: int) -> Any:
    clef = _music21("clef")
    return clef.TrebleClef() if lowest >= _LOWEST_PLAIN_MIDI else clef.Treble8vbClef()


def _part(name: str, bars: Iterable[list[Entry]], arrangement: Arrangement, clef: Any) -> Any:
    part = _music21("stream").Part()
    part.partName = name
    part.append(list(_measures(bars, arrangement, clef)))
    part.makeAccidentals(inPlace=True, overrideStatus=True)
    return part


def _measures(bars: Iterable[list[Entry]], arrangement: Arrangement, clef: Any) -> Iterator[Any]:
    """Yield music21's measures; signs stand where they change."""
    barlines, expressions = _music21("bar"), _music21("expressions")
    meter, stream = _music21("meter"), _music21("stream")

    playing = arrangement.tune.playing
    start = 0 if playing[0].bar.number == 0 else 1
    signature, section = None, None
    for index, (played, entries) in enumerate(zip(playing, bars, strict=True)):
        measure = stream.Measure(number=start + index)
        if index == 0:
            measure.insert(0, clef)
            measure.insert(0, _key(arrangement))
            measure.insert(0, _tempo(arrangement))
        if played.bar.meter != signature:
            signature = played.bar.meter
            measure.insert(0, meter.TimeSignature(f"{signature[0]}/{signature[1]}"))
        if played.section != section:
            section = played.section
            measure.insert(0, expressions.RehearsalMark(section))
        for entry in entries:
            _insert(measure, entry)
        if index == len(playing) - 1:
            measure.rightBarline = barlines.Barline("final")
        yield measure


def _key(arrangement: Arrangement) -> Any:
    tonic = arrangement.tune.key.tonic
    return _music21("key").Key(tonic.letter + _alter(tonic), arrangement.tune.key.mode)


def _tempo(arrangement: Arrangement) -> Any:
    beat = beat_length(arrangement.tune.meter)
    # A metronome counts beats, ours counts quarters.
    beats = Fraction(arrangement.tempo).limit_denominator(1000) / beat
    number = int(beats) if beats.denominator == 1 else round(float(beats), 3)
    return _music21("tempo").MetronomeMark(number=number, referent=float(beat))


def _alter(note: Note) -> str:
    """Return an accidental as music21 writes it: a flat is a minus."""
    return "#" * note.accidental if note.accidental > 0 else "-" * -note.accidental


def _insert(measure: Any, entry: Entry) -> None:
    """Put one chord, note or rest into a measure, as tied values that can be written."""
    at, beats, notes, ties = entry
    names = [f"{n.letter}{_alter(n)}{n.octave}" for n in notes]
    if len(names) > 1:
        whole = _music21("chord").Chord(names)
    else:
        whole = _music21("note").Note(names[0]) if names else _music21("note").Rest()
    whole.quarterLength = beats
    if ties and names:
        whole.tie = _music21("tie").Tie(ties)
    for part in whole.splitAtDurations():
        measure.insert(at, part)
        at += Fraction(part.quarterLength)


def _shape_bars(arrangement: Arrangement) -> Iterator[list[Entry]]:
    """Yield for each bar its shapes, from the lowest note up; two strings at one pitch are one."""
    for played, steps in zip(arrangement.tune.playing, arrangement.bars(), strict=True):
        yield [(step.onset - played.onset, step.beats, _sounding(step), "") for step in steps]


def _sounding(step: Step) -> tuple[Note, ...]:
    if step.voicing is None:
        return ()
    named = step.voicing.spelled(step.chord) if step.chord else step.voicing.notes
    pitches = {note.midi: note for note in named if note is not None}
    return tuple(pitches[midi] for midi in sorted(pitches))


def _melody_bars(arrangement: Arrangement) -> Iterator[list[Entry]]:
    """Yield for each bar its melody, cut at the bar lines and tied, with the rests between."""
    melody = arrangement.tune.melody
    for played in arrangement.tune.playing:
        start, end = played.onset, played.onset + played.bar.length
        now, entries = start, list[Entry]()
        for sung in melody:
            if not (sung.onset < end and sung.onset + sung.beats > start):
                continue
            first, last = max(sung.onset, start), min(sung.onset + sung.beats, end)
            if first > now:
                entries.append((now - start, first - now, (), ""))
            entries.append((first - start, last - first, (sung.note,), _tied(sung, first, last)))
            now = last
        if now < end:
            entries.append((now - start, end - now, (), ""))
        yield entries


def _tied(sung: Sung, first: Fraction, last: Fraction) -> str:
    starts, ends = first == sung.onset, last == sung.onset + sung.beats
    if starts:
        return "" if ends else "start"
    return "stop" if ends else "continue"


def _name_parts(root: Element) -> None:
    """Give parts the ids P1, P2: music21's are new each time."""
    pairs = zip(root.findall("part-list/score-part"), root.findall("part"), strict=True)
    for number, (listed, part) in enumerate(pairs, start=1):
        for element in (listed, part):
            element.set("id", f"P{number}")


def _state_software_without_date(root: Element) -> None:
    """Leave the day out, so that the same arrangement gives the same file."""
    encoding = root.find("identification/encoding")
    if encoding is None:
        return
    for element in encoding.findall("encoding-date"):
        encoding.remove(element)
    for element in encoding.findall("software"):
        element.text = _SOFTWARE


def _drop_invented_names(root: Element, arrangement: Arrangement) -> None:
    """Take out the composer that music21 names where there is none."""
    identification = root.find("identification")
    if identification is None:
        return
    for creator in identification.findall("creator"):
        if creator.text != arrangement.tune.composer:
            identification.remove(creator)


def _number_pickup_as_implicit(root: Element) -> None:
    """A bar numbered 0 is not counted."""
    for measure in root.iterfind("part/measure"):
        measure.set("implicit", "yes" if measure.get("number") == "0" else "no")


def _add_harmonies(part: Element, arrangement: Arrangement) -> None:
    """Set each chord's symbol and frame before the note that starts with it."""
    before: tuple[object, ...] = ()
    divisions = Fraction(1)
    for measure, steps, played in zip(
        part.findall("measure"), arrangement.bars(), arrangement.tune.playing, strict=True
    ):
        divisions = Fraction(measure.findtext("attributes/divisions") or divisions)
        places = _places(measure, divisions)
        for step in steps:
            # A chord that only lasts on over a bar line is not written again in its section.
            now = (step.chord, step.voicing, played.section)
            if now != before:
                note = places[step.onset - played.onset]
                place = list(measure).index(note)
                measure.insert(place, harmony_element(step.chord, step.voicing))
            before = now


def _places(measure: Element, divisions: Fraction) -> dict[Fraction, Element]:
    """Return the first note at each place of a measure, in quarters."""
    now = Fraction(0)
    found: dict[Fraction, Element] = {}
    for note in measure.findall("note"):
        if note.find("chord") is None:
            found[now] = note
            now += Fraction(note.findtext("duration") or 0) / divisions
    return found
