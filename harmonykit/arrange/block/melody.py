"""A melody in chords, the melody as the highest pitch: a chord melody.

Where chords stand, and which, ``plan`` decides; here are the shapes.  A shape's highest *pitch* is
the melody; on a re-entrant instrument that need not be the last string.  On more than four strings,
four that lie side by side sound.  No note lies a semitone or a minor ninth below the melody, and
close intervals lie no lower than they must (``register_marks``).  Of all rows of shapes the
cheapest is taken.  A note alone is played on the string that lies nearest to the hand; a slide is
the next shape a fret away.  Where the melody rests, nothing sounds.

A tune that lies better in another octave is played there as a whole, by ``octave``.

What this does not do: it adds no bass and no second voice.

What cannot be as planned is listed, with what was done instead, the first of these that can be:

1. a note over no chord, or that no chord of the plan has: the note alone on one string;
2. a note that cannot be the top of all strings (or of four, where there are more): fewer strings,
   two at least, that still say the chord, or its triad;
3. a single note below the lowest string or above the highest fret: another octave for it alone,
   the nearer first;
4. a note that cannot be played at all: silence.

``raised_by`` says in how much higher a key every note could be the top of all strings.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.block.plan import ALONE as NOTE_ALONE
from harmonykit.arrange.block.plan import MOVING, REST, SLIDE, Stretch, plan, plan_every_note
from harmonykit.arrange.costs import Weights, cheapest_row
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.given import InstrumentLike, as_instrument
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.register import register_marks
from harmonykit.fretboard.shapes.row_textures import clear_on_top
from harmonykit.fretboard.shapes.tones import usual_omissions
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.shapes.wanted import Wanted
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.note import Note
from harmonykit.tune.tune import Tune

MOVE = "melody on top"
ALONE = "outside the scale: the note alone"
LOW = "no chord below it: the note alone"
FEWER, TRIAD = "fewer strings", "the triad alone"
OCTAVE = "another octave"
SILENT = "not playable on the neck: silence"

_FULL, _FEWEST = 4, 2
_OPEN_UP_TO, _CROSSING, _HIGHEST_FRET = 5, 3, 15
# Below B3 a melody lies over a thick chord; fingers lie easily up to this fret.
_LOWEST_MELODY, _EASY_FRET = 59, 12
_OCTAVES = (0, -1, 1, -2, 2)


@dataclass(frozen=True, slots=True)
class Listed:
    """A melody note that the rule does not hold for, and what was done."""

    note: Note
    onset: Fraction
    chord: Chord | None
    done: str


@dataclass(frozen=True, slots=True)
class OnTop:
    """A melody in chords.

    Parameters
    ----------
    arrangement : Arrangement
    listed : tuple of Listed
    raised_by : int
        Semitones by which the tune would be raised for every note to be the top of all strings;
        0 where that is so already, -1 where no key will do.
    octave : int
        Octaves by which the whole melody is played higher than written; -1 is one lower.
    alone : int
        How many melody notes are played on one string, as planned.
    """

    arrangement: Arrangement
    listed: tuple[Listed, ...]
    raised_by: int
    octave: int = 0
    alone: int = 0

    @property
    def notes(self) -> int:
        """How many stretches of one melody note over one chord there are."""
        return len(self.arrangement.sounding) + sum(one.done == SILENT for one in self.listed)

    @property
    def chords(self) -> int:
        """How many chords are struck: shapes of two strings and more."""
        return sum(len(step.sounds) >= _FEWEST for step in self.arrangement.sounding)


def melody_on_top(
    tune: TuneLike,
    instrument: InstrumentLike,
    *,
    limits: Limits | None = None,
    weights: Weights | None = None,
    every_note: bool = False,
    tempo: float | None = None,
    name: str = MOVE,
) -> OnTop:
    """Set a tune's melody in chords, as shapes with the melody on top and notes alone between.

    Of all rows of shapes the cheapest by ``weights`` is taken.

    Parameters
    ----------
    tune : Tune, str or Path
    instrument : Instrument or str
    limits : Limits, optional
        What the hand may do; a wide hand up to fret 15 where not given.
    weights : Weights, optional
        What costs what.
    every_note : bool
        Whether every note has a chord, the two halves of the sixth-diminished scale by turns: a
        study, not an arrangement.
    tempo : float, optional
        Quarters a minute; the tune's own where not given.
    name : str, optional
        What the arrangement is called.

    Returns
    -------
    OnTop

    Raises
    ------
    HarmonyError
        If the tune has no melody.

    Examples
    --------
    >>> tune = hk.Tune.parse('''
    ... format = 1
    ... title = "Capstan"
    ... key = "C"
    ... meter = "4/4"
    ... tempo = 90
    ... [[sections]]
    ... name = "A"
    ... changes = "| C6 |"
    ... melody = "| A4 B4 C5 D5 |"
    ... ''')
    >>> found = hk.arrange.melody_on_top(tune, "ukulele")
    >>> [(str(s.chord), s.voicing and s.voicing.digits) for s in found.arrangement.steps]
    [('C6', '0-0-0-0'), ('Bdim7', '1-2-1-2'), ('C6', '2-4-3-3'), ('C6', 'x-x-x-5')]
    >>> study = hk.arrange.melody_on_top(tune, "ukulele", every_note=True)
    >>> [str(step.chord) for step in study.arrangement.steps]
    ['C6', 'Bdim7', 'C6', 'Bdim7']
    """
    tune, instrument = as_tune(tune), as_instrument(instrument)
    if not tune.melody:
        raise HarmonyError(f"{tune.title!r} has no melody", mend='melody = "..." in a section')
    prices = weights or Weights()
    hand = limits or Limits(max_fret=min(_HIGHEST_FRET, instrument.frets))
    octave = _best_octave(tune, instrument, hand)
    maker = _Maker(instrument, hand, 12 * octave, every_note=every_note)
    pace = tune.tempo if tempo is None else tempo
    planned = plan_every_note(tune) if every_note else plan(tune, pace)
    row = _held([maker.play(each) for each in planned])
    row, cost = maker.placed(row, prices)
    steps = [step for each in row for step in _steps(tune, each)]
    arrangement = Arrangement(tune, instrument, tuple(steps), cost, pace, name=name, limits=hand)
    listed = [
        Listed(each.at.sung.note, each.at.start, each.at.change.chord, each.done)
        for each in row
        if each.at.sung is not None and each.done
    ]
    alone = sum(each.at.kind == NOTE_ALONE and not each.done for each in row)
    return OnTop(arrangement, tuple(listed), _raised_by(tune, instrument, hand), octave, alone)


@dataclass(frozen=True, slots=True)
class _Played:
    """A stretch with the shapes that may play it, then the one that does."""

    at: Stretch
    pitch: int = 0
    shapes: tuple[Voicing, ...] = ()
    voicing: Voicing | None = None
    done: str = ""


def _held(row: Sequence[_Played]) -> list[_Played]:
    """Return stretches with a long note's chord held where its lower voices cannot move."""
    found: list[_Played] = []
    for each in row:
        stuck = bool(found) and found[-1].at.kind == MOVING and not found[-1].shapes
        if stuck and len(found) > 1:
            found.pop()
            found[-1] = replace(found[-1], at=replace(found[-1].at, end=each.at.end))
        else:
            found.append(each)
    return found


class _Maker:
    """What may be played under a melody note."""

    def __init__(
        self, instrument: Instrument, limits: Limits, shift: int, *, every_note: bool
    ) -> None:
        self.instrument, self.limits, self.shift = instrument, limits, shift
        self.every_note = every_note

    def play(self, at: Stretch) -> _Played:
        """Return a stretch with its shapes, by the rules of the module in their order."""
        if at.midi is None or at.sung is None:
            return _Played(at)
        wanted = at.midi + self.shift
        for pitch in (wanted, wanted + 12, wanted - 12, wanted + 24, wanted - 24):
            moved = OCTAVE if pitch != wanted else ""
            if at.kind not in (NOTE_ALONE, SLIDE) and at.chord is not None:
                shapes, how, chord = self._under(at.chord, pitch)
                if shapes:
                    at = replace(at, chord=chord)
                    done = "; ".join(word for word in (moved, how) if word)
                    return _Played(at, pitch, shapes, done=done)
            if at.kind == MOVING:
                break
            if self._single(pitch):
                return self._alone(at, pitch, moved)
        return _Played(at) if at.kind == MOVING else _Played(replace(at, kind=REST), done=SILENT)

    def _alone(self, at: Stretch, pitch: int, moved: str) -> _Played:
        """Return a stretch with its note alone; listed where no chord could stand there."""
        why = LOW if at.kind not in (NOTE_ALONE, SLIDE) else ""
        outside = self.every_note and at.kind == NOTE_ALONE
        why = ALONE if outside or at.change.chord is None else why
        chord = at.change.chord
        if chord is None and at.sung is not None:
            chord = Chord.build(at.sung.note.at(None), (Degree(1),))
        kind = at.kind if at.kind == SLIDE else NOTE_ALONE
        told = replace(at, kind=kind, chord=at.chord if kind == SLIDE else chord)
        done = "; ".join(word for word in (why, moved) if word)
        return _Played(told if kind == SLIDE else replace(told, reason=""), pitch, done=done)

    def placed(self, row: Sequence[_Played], weights: Weights) -> tuple[list[_Played], int]:
        """Return the stretches with the shape of each, and what the chords cost."""
        sounding = [n for n, each in enumerate(row) if each.shapes or each.at.kind == REST]
        shapes, cost = cheapest_row(
            [row[n].shapes for n in sounding], self.instrument, self.limits, weights
        )
        found = list(row)
        for place, voicing in zip(sounding, shapes, strict=True):
            found[place] = replace(found[place], voicing=voicing)
        for place in reversed(range(len(found))):
            if found[place].at.kind == SLIDE:
                found[place] = self._slid(found, place)
        for place, each in enumerate(found):
            if each.at.kind == NOTE_ALONE:
                found[place] = replace(each, voicing=self._nearest(found, place))
        return found, cost

    def _slid(self, row: Sequence[_Played], place: int) -> _Played:
        """Return a slide with the next shape a fret away, or its note alone."""
        each, after = row[place], row[place + 1]
        step = each.pitch - after.pitch
        if after.voicing is not None and abs(step) == 1 and len(after.voicing.sounding) >= _FEWEST:
            frets = tuple(None if fret is None else fret + step for fret in after.voicing.frets)
            pressed = [fret for fret in frets if fret is not None]
            held = 0 not in after.voicing.frets and min(pressed) > 0
            if held and max(pressed) <= self.limits.max_fret and self._holds(frets):
                return replace(each, voicing=Voicing(self.instrument, frets))
        return replace(
            each, at=replace(each.at, kind=NOTE_ALONE, chord=each.at.change.chord, reason="")
        )

    def _holds(self, frets: tuple[int | None, ...]) -> bool:
        return can_hold(frets, self.instrument, self.limits)

    def _nearest(self, row: Sequence[_Played], place: int) -> Voicing:
        """Return a note alone where it goes on from the highest note before, on its string if near.

        The next chord's place counts half as much; an open string lies near to everything.
        """
        before = next((r.voicing for r in reversed(row[:place]) if r.voicing is not None), None)
        after = next((r.voicing for r in row[place + 1 :] if r.voicing is not None), None)

        def away(one: Voicing) -> tuple[int, int]:
            (string, fret), cost = _top_place(one), 0
            for shape, weight in ((before, 2), (after, 1)):
                if shape is not None:
                    there, high = _top_place(shape)
                    cost += weight * (fret and abs(fret - high) + _CROSSING * (string != there))
            return cost, fret

        return min(self._single(row[place].pitch), key=away)

    def _under(self, chord: Chord, pitch: int) -> tuple[tuple[Voicing, ...], str, Chord]:
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
            if len(v.sounding) >= _FEWEST and _says(v, chord) and _clearest([v])
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

    def _single(self, pitch: int) -> tuple[Voicing, ...]:
        """Return a pitch on each string that has it."""
        strings = self.instrument.midi
        top = min(self.limits.max_fret, self.instrument.frets)
        found = []
        for place, opened in enumerate(strings):
            start = self.instrument.starts[place] if self.instrument.starts else 0
            fret = pitch - opened + (start if pitch > opened else 0)
            if 0 <= pitch - opened and fret <= top:
                frets = tuple(fret if n == place else None for n in range(len(strings)))
                if self._holds(frets):
                    found.append(Voicing(self.instrument, frets))
        return tuple(found)


def _says(voicing: Voicing, chord: Chord) -> bool:
    """Whether a shape lacks no more of a chord than players leave out on so many strings."""
    spared = {*chord.droppable, *usual_omissions(chord, len(voicing.sounding))}
    if len(chord.semitones) >= _FULL:
        spared.add(0)
    heard = {(pitch - chord.root.pitch_class) % 12 for pitch in voicing.sounding}
    if chord.is_diminished_seventh:
        return len(heard) >= _FULL - 1  # its triads are of one sound with it
    return {*chord.semitones} - heard <= spared


def _top_place(voicing: Voicing) -> tuple[int, int]:
    """Return string and fret of the highest note."""
    pitch, string = max((pitch, n) for n, pitch in enumerate(voicing.midi) if pitch is not None)
    return (string, voicing.frets[string] or 0) if pitch else (string, 0)


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


def _steps(tune: Tune, each: _Played) -> Iterator[Step]:
    """Yield a stretch as steps, cut at the bar lines."""
    at = each.at
    chord = at.chord if each.voicing is not None else None
    written = at.change.chord
    moved = chord is not None and bool(at.reason)
    for bar, played in enumerate(tune.playing):
        start = max(at.start, played.onset)
        stop = min(at.end, played.onset + played.bar.length)
        if start < stop:
            yield Step(
                chord,
                each.voicing,
                start,
                stop - start,
                bar,
                MOVE if moved else "",
                at.reason if moved else "",
                written,
            )


def _raised_by(tune: Tune, instrument: Instrument, limits: Limits) -> int:
    """Return the least transposition in which every note can be on top of all strings."""
    pitches = [sung.note.midi for sung in tune.melody]
    lowest, highest = _reach(instrument, limits)
    for up in range(12 * 4):
        if min(pitches) + up >= lowest:
            return up if max(pitches) + up <= highest else -1
    return -1


def _best_octave(tune: Tune, instrument: Instrument, limits: Limits) -> int:
    """Return the octave for a tune in which it lies best; as written, if no other is better.

    A note that lies low or high counts one against it, one that cannot be played ten.
    """
    lowest, highest = min(instrument.midi), _reach(instrument, limits)[1]
    above = min(highest, max(instrument.midi) + _EASY_FRET)
    easy = range(max(lowest, _LOWEST_MELODY), above + 1)

    def against(octave: int) -> int:
        pitches = [sung.note.midi + 12 * octave for sung in tune.melody]
        return sum((pitch not in easy) + 9 * (not lowest <= pitch <= highest) for pitch in pitches)

    return min(_OCTAVES, key=against)


def _reach(instrument: Instrument, limits: Limits) -> tuple[int, int]:
    """Return the lowest and the highest pitch that can be on top of all strings, or of four."""
    opened = instrument.midi
    lowest = max(opened) if len(opened) <= _FULL else _lowest_of_four(instrument)
    top, starts = min(limits.max_fret, instrument.frets), instrument.starts or (0,) * len(opened)
    return lowest, max(pitch + top - start for pitch, start in zip(opened, starts, strict=True))


def _lowest_of_four(instrument: Instrument) -> int:
    """Return the lowest top of four neighbouring strings, all open."""
    strings = instrument.midi
    return min(max(strings[n : n + _FULL]) for n in range(len(strings) - _FULL + 1))
