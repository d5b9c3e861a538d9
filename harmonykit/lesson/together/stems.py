"""The parts of a tune as sound: a stem each, all with the same timing, none with percussion."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import pairwise

from harmonykit.arrange.arrangement import Arrangement, Step, Tune
from harmonykit.files.file import slug
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.lesson.together.parts import BASS, SING, USUAL, Part, parts_of
from harmonykit.sound.events import play
from harmonykit.sound.performance import BASS as LOW
from harmonykit.sound.performance import DRUM, TONE, Event, Performance
from harmonykit.theory.chord import Chord
from harmonykit.tune.class_file import ClassFile

_VELOCITY, _SILENT = 84, -1


def stems_of(
    tune: Tune, instrument: Instrument, knows: ClassFile | None = None
) -> Iterator[tuple[str, Performance]]:
    """Yield for each part of a tune the stem of its file's name, and what it sounds.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    knows : ClassFile, optional
    """
    parts = parts_of(tune, instrument, knows)
    usual = next(part for part in parts if part.name == USUAL)
    for number, part in enumerate(parts, 1):
        yield f"part-{number}-{slug(part.name)}", _stem(tune, part, usual)


def _stem(tune: Tune, part: Part, usual: Part) -> Performance:
    """Return what one part sounds, with the count-in and the soft click that all have.

    The time of all goes by the usual grips.
    """
    if part.name not in (BASS, SING):
        way = _arranged(tune, part.instrument, part.shapes, part.name)
        return play(way).without(DRUM)
    way = _arranged(tune, usual.instrument, usual.shapes, part.name)
    whole = play(way, melody=part.name == SING)
    if part.name == BASS:
        own = tuple(_bass(tune, whole, part))
    else:
        own = tuple(_line(way, whole, part)) if part.line else whole.melody
    events = sorted((*whole.clicks, *own), key=lambda event: (event.onset, event.midi))
    return replace(whole, events=tuple(events))


def _arranged(
    tune: Tune, instrument: Instrument, shapes: Mapping[Chord, Voicing], name: str
) -> Arrangement:
    """Return a tune played with one shape for each of its chords, bar by bar."""
    return Arrangement(tune, instrument, tuple(_steps(tune, shapes)), 0, tune.tempo, name=name)


def _steps(tune: Tune, shapes: Mapping[Chord, Voicing]) -> Iterator[Step]:
    for bar, place in enumerate(tune.playing):
        start, stop = place.onset, place.onset + place.bar.length
        for change in tune.changes:
            onset, end = max(start, change.onset), min(stop, change.onset + change.beats)
            if onset < end:
                shape = shapes.get(change.chord) if change.chord else None
                yield Step(change.chord, shape, onset, end - onset, bar, written=change.chord)


def _bass(tune: Tune, whole: Performance, part: Part) -> Iterator[Event]:
    """Yield what stands on the page of a bass, each note held until the next."""
    row: list[tuple[float, int]] = []
    for place, (_, start) in zip(tune.playing, whole.bars, strict=True):
        for change in place.bar.changes:
            struck = [(at, min(shape.sounding)) for at, shape in part.struck(place.bar, change)]
            row += [(whole.later(start, at), midi) for at, midi in struck or [(change.at, _SILENT)]]
    for (start, midi), (end, _) in pairwise([*row, (whole.seconds, _SILENT)]):
        if midi != _SILENT:
            yield Event(start, end - start, midi, None, LOW, _VELOCITY)


def _line(way: Arrangement, whole: Performance, part: Part) -> Iterator[Event]:
    """Yield the notes of a line of chord tones, held until the next step."""
    starts = [*(start for _, start in whole.steps), whole.seconds]
    for index, start in whole.steps:
        chord = way.steps[index].chord
        later = min(other for other in starts if other > start)
        if chord is not None:
            midi = part.line[chord].midi
            yield Event(start, later - start, midi, None, TONE, _VELOCITY)
