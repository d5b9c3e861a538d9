"""Which shape is heard: what each shape of the instrument would sound like, beside what sounds.

Conventions.  A sound is a set of pitches, one for each string that is struck; two shapes with the
same pitches are one sound, and nothing tells them apart.  Likeness is the cosine of the strengths
of all pitches: 1 where they are alike.  Partials fall by ``_FALL`` each, and how a room, a
microphone or a telephone weakens high and low pitches is taken from the recording itself.

How sure a verdict is follows from likeness by one number, ``_SHARP``, fitted so that what is called
sure is right in 97 of 100 cases at least (``tests/lesson/test_listening.py`` has the table).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.sound.recording import HIGHEST, LOWEST, POWER, STEP, Numbers, Recording
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.values import dataclass

Sound = tuple[int, ...]

_PARTIALS, _FALL = 12, 0.92
# How much is left of a partial that lies a quarter of a semitone from the nearest pitch.
_OFF = 1.2
# Half the width, in semitones, over which high and low are compared; and the least that is wanted.
_SMOOTH, _EVEN = 6, 0.2
# One shape in this many bars is another than the one asked for; most of these are of the level.
_OTHER, _OF_LEVEL = 0.4, 0.5
_SHARP = 0.009
_ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_KINDS = ("", "m", "7", "m7", "maj7", "m6", "6", "dim7", "m7b5", "aug", "sus4")
_FRETS, _SHAPES = 5, 2
_FEWEST = 3
_FARTHEST, _TRIED = 7, 4
# Softer than this part of what is usual is silence; so is what is less like any chord than this
# part of what is usual: noise, clicks, speech.
_SILENT, _VAGUE = 0.12, 0.79
# A string is heard on for so long, in seconds, and what it was counts less and less.
_RING, _FADES = 1.2, 0.9
# What is less than this is not chords on strings; what is less than the second is so in part.
_CHORDS, _STEADY, _ALIKE = (0.5, 0.85), (0.3, 0.4), (0.7, 0.73)


@lru_cache(maxsize=8)
def usual_sounds(instrument: Instrument) -> dict[Sound, Chord]:
    """Return the usual shapes of the usual chords on an instrument, as sounds with their chords."""
    found: dict[Sound, Chord] = {}
    for symbol in product(_ROOTS, _KINDS):
        chord = Chord.parse("".join(symbol))
        for shape in find_voicings(chord, instrument, _FRETS)[:_SHAPES]:
            found.setdefault(sound_of(shape), chord)
    return found


def sound_of(shape: Voicing) -> Sound:
    """Return the pitches of a shape, sorted, each once.

    Examples
    --------
    >>> sound_of(Voicing.parse("2010", "ukulele"))
    (60, 65, 69)
    """
    return tuple(sorted(set(shape.sounding)))


def notes_of(sound: Sound) -> PcSet:
    """Return the notes of a sound, in whatever octave.

    Examples
    --------
    >>> notes_of((60, 64, 67, 72)) == notes_of((55, 60, 64, 67))
    True
    """
    return PcSet.of(*(pitch % 12 for pitch in sound))


def slips(shape: Voicing) -> Iterator[Sound]:
    """Yield what sounds where one finger slips: a string muffled, open, or a fret off.

    Examples
    --------
    >>> (60, 64, 69) in slips(Voicing.parse("2010", "ukulele"))
    True
    """
    instrument, frets = shape.instrument, shape.frets
    for string, fret in enumerate(frets):
        if fret is None:
            continue
        for other in (None, 0, fret - 1, fret + 1):
            changed = (*frets[:string], other, *frets[string + 1 :])
            enough = sum(each is not None for each in changed) >= min(_FEWEST, len(frets))
            if other != fret and enough and 0 <= (other or 0) <= instrument.frets:
                with suppress(HarmonyError):  # a short string lacks some frets
                    yield sound_of(Voicing(instrument, changed))


@dataclass(frozen=True, slots=True)
class Ear:
    """What is listened for in a recording.

    Parameters
    ----------
    sounds : tuple of Sound
        The level's own first.
    own : int
        How many of them are the level's own.
    templates : array, sounds by pitches
        How strong each pitch is in each of them, of length 1.
    """

    sounds: tuple[Sound, ...]
    own: int
    templates: Numbers

    @classmethod
    def for_shapes(cls, shapes: Iterable[Voicing], instrument: Instrument) -> Ear:
        """Return an ear for some shapes, slips in them, and the instrument's usual shapes."""
        shapes = tuple(shapes)
        own = dict.fromkeys(map(sound_of, shapes))
        others = dict.fromkeys(each for shape in shapes for each in slips(shape))
        sounds = tuple(own | others | dict.fromkeys(usual_sounds(instrument)))
        return cls(sounds, len(own), _unit(np.stack([_strengths(sound) for sound in sounds])))

    def fitted(self, heard: Numbers) -> Ear:
        """Return the ear for what is heard: high and low weakened as they are there.

        Parameters
        ----------
        heard : array, moments by pitches
            What sounds; the mean of its own sounds is what is expected.
        """
        mean = _smooth(heard.mean(axis=0))
        first = self._weakened(mean, self.templates[: self.own])
        nearest = first.likeness(heard).argmax(axis=1)
        return self._weakened(mean, self.templates[nearest])

    def _weakened(self, mean: Numbers, expected: Numbers) -> Ear:
        wanted = _smooth(expected.mean(axis=0))
        weights = (mean + 0.001 * np.max(mean)) / (wanted + _EVEN * wanted.mean())
        return Ear(self.sounds, self.own, _unit(self.templates * weights))

    @property
    def notes(self) -> list[PcSet]:
        """The notes of each sound, in whatever octave."""
        return [notes_of(sound) for sound in self.sounds]

    def likeness(self, heard: Numbers) -> Numbers:
        """Return how like each sound each moment is: moments by sounds, from 0 to 1."""
        return np.asarray(_unit(heard) @ self.templates.T)

    def chances(self, likeness: Numbers, asked: Sound | None = None) -> Numbers:
        """Return how probable each sound is: each row adds up to 1.

        Parameters
        ----------
        likeness : array, moments by sounds
        asked : tuple of int, optional
            What should be heard there: more probable than others before anything is heard.
        """
        before = np.full(len(self.sounds), 1 / len(self.sounds))
        if asked is not None:
            before *= _OTHER * (1 - _OF_LEVEL)
            before[: self.own] += _OTHER * _OF_LEVEL / self.own
            before[self.sounds.index(asked)] += 1 - _OTHER
        logs = likeness / _SHARP + np.log(before)
        chances = np.exp(logs - logs.max(axis=1, keepdims=True))
        return np.asarray(chances / chances.sum(axis=1, keepdims=True))

    def ranked(self, row: Numbers, asked: Sound) -> tuple[list[tuple[PcSet, float]], float, float]:
        """Return which notes are heard, and how probable they are, the most probable first.

        Then follow how probable the very sound is that is asked for, and the greatest likeness.

        Parameters
        ----------
        row : array
            How strong each pitch is.
        asked : tuple of int
        """
        likeness = self.likeness(row[None])
        (chances,) = self.chances(likeness, asked)
        groups: dict[PcSet, float] = {}
        for notes, chance in zip(self.notes, chances, strict=True):
            groups[notes] = groups.get(notes, 0.0) + float(chance)
        ranked = sorted(groups.items(), key=lambda group: -group[1])
        return ranked, float(chances[self.sounds.index(asked)]), float(np.max(likeness))

    def shifts(self, sound: Recording) -> list[int]:
        """Return by how many semitones a recording may be moved, the most probable first."""
        mean = self.templates[: self.own].mean(axis=0)
        heard = sound.strengths.mean(axis=0)
        shifts = [shift for shift in range(-_FARTHEST, _FARTHEST + 1) if shift]
        return sorted(shifts, key=lambda shift: -float(np.roll(heard, -shift) @ mean))[:_TRIED]


@lru_cache(maxsize=1024)
def _strengths(sound: Sound) -> Numbers:
    """Return how strong each pitch is where a sound's strings are struck alike."""
    amplitudes = np.zeros(HIGHEST - LOWEST + 1)
    for pitch in sound:
        for number in range(1, _PARTIALS + 1):
            exact = pitch + 12 * np.log2(number)
            place = round(exact) - LOWEST
            if 0 <= place < len(amplitudes):
                amplitudes[place] += _FALL ** (number - 1) * (1 - _OFF * abs(exact - round(exact)))
    return np.asarray(amplitudes**POWER)


def _unit(rows: Numbers) -> Numbers:
    lengths = np.linalg.norm(rows, axis=1, keepdims=True)
    return np.asarray(rows / np.maximum(lengths, 1e-9))


def _smooth(row: Numbers) -> Numbers:
    kernel = np.hanning(2 * _SMOOTH + 3)[1:-1]
    edges = np.convolve(np.ones_like(row), kernel, "same")
    return np.asarray(np.convolve(row, kernel, "same") / edges)


def tuned_in(ear: Ear, sound: Recording) -> tuple[Ear, NDArray[np.bool_]]:
    """Return the ear for a recording, and at which moments nothing sounds: silence, or noise."""
    loud = sound.strengths.sum(axis=1)
    silent = loud <= _SILENT * np.percentile(loud, 90)
    near = ear.fitted(sound.strengths[~silent]).likeness(sound.strengths).max(axis=1)
    silent |= near < _VAGUE * np.percentile(near, 90)
    return ear.fitted(sound.strengths[~silent]), silent


@dataclass(frozen=True, slots=True)
class Strung:
    """Whether what sounds is chords on strings at all.

    Parameters
    ----------
    chords : float in 0..1
        The share of moments that are more like a chord than like any one note: of a voice, or of a
        tune without chords, none.
    steady : float in 0..1
        How well the pitches agree on one tuning: noise and speech have none.
    alike : float in 0..1
        How like the nearest chord of the instrument a moment is.
    """

    chords: float
    steady: float
    alike: float

    @property
    def trouble(self) -> str:
        """What it is in place of chords on strings, or nothing."""
        if self.chords < _CHORDS[0]:
            return "one note at a time, as a voice or a single line has it"
        if self.steady < _STEADY[0]:
            return "no steady pitch, as noise and speech have none"
        return ""

    @property
    def strange(self) -> bool:
        """Whether it is like no chord of the instrument."""
        return self.alike < _ALIKE[0]

    @property
    def doubtful(self) -> bool:
        """Whether something else sounds so loud that no verdict is sure."""
        limits = zip(
            (self.chords, self.steady, self.alike), (_CHORDS, _STEADY, _ALIKE), strict=True
        )
        return any(number < limit[1] for number, limit in limits)


def strung(ear: Ear, sound: Recording) -> Strung:
    """Return whether what sounds in a recording is chords on strings.

    Parameters
    ----------
    ear : Ear
        As it was made for the shapes, not yet fitted to the recording.
    sound : Recording
    """
    _, silent = tuned_in(ear, sound)
    rows = sound.strengths[~silent]
    near = ear.likeness(rows).max(axis=1)
    single = (_unit(rows) @ _single_notes().T).max(axis=1)
    return Strung(float(np.mean(near > single)), sound.clear, float(np.median(near)))


@lru_cache(maxsize=1)
def _single_notes() -> Numbers:
    """Return how strong each pitch is where one note sounds, for every note."""
    return _unit(np.stack([_strengths((pitch,)) for pitch in range(LOWEST, HIGHEST - 12)]))


def ringing(fits: Numbers, loud: Numbers) -> Numbers:
    """Return what is heard at each moment, or was struck shortly before it and rings on.

    The softer a moment is, the less it counts beside the last ones; long after anything was heard
    it is not a number.

    Parameters
    ----------
    fits : array, moments by sounds
    loud : array
        How loud each moment is; 0 where nothing sounds.
    """
    kept, weight, peak, silent = fits[0], 1e-9, 1e-9, 0
    found = fits.copy()
    for moment, (row, level) in enumerate(zip(fits, loud, strict=True)):
        weight, peak = weight * _FADES, max(peak * _FADES, level, 1e-9)
        kept = (kept * weight + row * level**2) / (weight + level**2)
        weight += level**2
        share = level / peak
        silent = 0 if level else silent + 1
        found[moment] = np.nan if silent > _RING / STEP else share * row + (1 - share) * kept
    return found
