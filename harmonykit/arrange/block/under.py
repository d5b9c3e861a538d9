"""The shapes that may play a chord under a melody note, and a note alone.

A shape's highest *pitch* is the melody; on a re-entrant instrument that need not be the last
string.  On more than four strings, four that lie side by side sound.  No note lies a semitone or a
minor ninth below the melody, and close intervals lie no lower than they must (``register_marks``).
"""

from __future__ import annotations

from collections.abc import Iterable

from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.row_textures import clear_on_top
from harmonykit.fretboard.shapes.textures import register_marks
from harmonykit.fretboard.shapes.tones import usual_omissions
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

FEWER, TRIAD = "fewer strings", "the triad alone"
FEWEST = 2
"""So many strings at least make a chord."""

_FULL, _OPEN_UP_TO = 4, 5


class TopShapes:
    """The shapes with a melody note on top on one instrument."""

    def __init__(self, instrument: Instrument, limits: Limits) -> None:
        self.instrument, self.limits = instrument, limits

    def under(self, chord: Chord, pitch: int) -> tuple[tuple[Voicing, ...], str, Chord]:
        """Return shapes and their chord: its triad where no shape says more with so low a top."""
        shapes, how = self._shapes(chord, pitch)
        if shapes or len(chord.semitones) < _FULL or not {3, 4} & {*chord.semitones}:
            return shapes, how, chord
        plain = Chord.of(chord.root, "" if 4 in chord.semitones else "m")
        if not {*plain.semitones} <= {*chord.semitones} or plain.degree_of(pitch % 12) is None:
            return (), how, chord
        shapes, how = self._shapes(plain, pitch)
        return shapes, f"{how}, {TRIAD}" if how else TRIAD, plain

    def _shapes(self, chord: Chord, pitch: int) -> tuple[tuple[Voicing, ...], str]:
        """Return the shapes with a pitch on top: on all strings, or on as many as can be."""
        strings = len(self.instrument.strings)
        whole = self._find(chord, pitch, None, "any" if strings > _FULL else "none")
        full = _clearest(v for v in whole if len(v.sounding) == min(_FULL, strings))
        if full:
            return full, ""
        parts = [
            v
            for v in self._find(chord, pitch, chord.semitones, "any")
            if len(v.sounding) >= FEWEST and _says(v, chord) and _clearest([v])
        ]
        most = max((len(v.sounding) for v in parts), default=0)
        return _clearest(v for v in parts if len(v.sounding) == most), FEWER

    def _find(
        self, chord: Chord, pitch: int, omit: tuple[int, ...] | None, mutes: str
    ) -> tuple[Voicing, ...]:
        return find_voicings(
            chord.over(None),
            self.instrument,
            max_fret=self.limits.max_fret,
            limits=self.limits,
            wanted=Wanted(omit=omit, mutes=mutes, top=pitch),
        )

    def single(self, pitch: int) -> tuple[Voicing, ...]:
        """Return a pitch on each string that has it."""
        strings = self.instrument.midi
        top = min(self.limits.max_fret, self.instrument.frets)
        found = []
        for place, opened in enumerate(strings):
            start = self.instrument.starts[place] if self.instrument.starts else 0
            fret = pitch - opened + (start if pitch > opened else 0)
            if 0 <= pitch - opened and fret <= top:
                frets = tuple(fret if n == place else None for n in range(len(strings)))
                if self.holds(frets):
                    found.append(Voicing(self.instrument, frets))
        return tuple(found)

    def holds(self, frets: tuple[int | None, ...]) -> bool:
        """Whether the hand can hold frets."""
        return can_hold(frets, self.instrument, self.limits)


def _says(voicing: Voicing, chord: Chord) -> bool:
    """Whether a shape lacks no more of a chord than players leave out on so many strings.

    On four strings a seventh chord without its root would be a triad of another name.
    """
    spared = {*chord.droppable, *usual_omissions(chord, len(voicing.sounding))}
    if len(chord.semitones) > _FULL:
        spared.add(0)
    heard = {(pitch - chord.root.pitch_class) % 12 for pitch in voicing.sounding}
    if chord.is_diminished_seventh:
        return len(heard) >= _FULL - 1  # its triads are of one sound with it
    return {*chord.semitones} - heard <= spared


def _clearest(shapes: Iterable[Voicing]) -> tuple[Voicing, ...]:
    """Return the shapes on neighbouring strings in which nothing rubs, the best of them alone.

    Those are best whose close intervals lie least low, then those without open strings beside
    fingers higher than fret 5, then those with the most different notes.
    """
    found = [one for one in shapes if _in_a_row(one) and clear_on_top(one)]
    marks = [(register_marks(one), _opens_aloft(one), -len(one.pcs)) for one in found]
    least = min(marks, default=())
    return tuple(one for one, mark in zip(found, marks, strict=True) if mark == least)


def _opens_aloft(one: Voicing) -> bool:
    return 0 in one.frets and one.highest_fret > _OPEN_UP_TO


def _in_a_row(voicing: Voicing) -> bool:
    sounding = [string for string, fret in enumerate(voicing.frets) if fret is not None]
    return len(sounding) == sounding[-1] - sounding[0] + 1
