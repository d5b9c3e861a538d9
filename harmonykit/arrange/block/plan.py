"""Which chords stand under a melody and where, and where a note is played alone.

A chord on every note is a fault.  A chord stands

- at a change of chord, and under a note that is held over one,
- on a heavy beat (the first and third of four, both of two), under a note of half a beat or more,
- under a note of two beats or half a bar, wherever it begins,
- as a *passing chord* under a note of a beat that is reached and left by step and is not a tone of
  the chord: the other half of the chord's sixth-diminished scale, once a bar,
- as a *slide* under a note outside chord and scale that goes on by a half step to a note with a
  chord: the next shape, a fret away.

A long note, of three beats and a second and a half or more, has *moving* chords: the lower voices
go a step of the scale and come back while it sounds.  Not so at the end of a phrase, which rests.
Every other note is played *alone*, on one string: fast notes, leaps between beats, avoid notes.
(Common practice, no source.)

A structural note has the chord of the tune, or what it becomes when the note is its tension
(``harmonise.fitting``); an avoid note has the other half of the scale, which resolves with it, or
nothing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from harmonykit.arrange.block.harmonise import fitting
from harmonykit.arrange.block.stretches import (
    ALONE,
    CHORD,
    MOVING,
    PASSING,
    SLIDE,
    Stretch,
    stretches,
)
from harmonykit.arrange.slots import beat_weight
from harmonykit.theory.chord import Chord, Interval, Note
from harmonykit.theory.diminished import approach
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.analysis.function import find_phrases
from harmonykit.tune.tune import PlayedBar, Tune, bar_length, beat_length

_FIFTH_DOWN = Interval.parse("-P5")


def alone(each: Stretch) -> Stretch:
    """Return a stretch with its note alone."""
    return replace(each, kind=ALONE, chord=each.change.chord)


def structure(each: Stretch, note: Note) -> Stretch:
    """Return a stretch with the tune's chord under its note, or what it becomes there."""
    written = each.change.chord
    if written is None:
        return alone(each)
    found = fitting(note, written)
    if found is not None:
        bass = None if written.bass == written.root else written.bass
        chord = _without_rub(found.over(None), note).over(bass)
        return replace(each, kind=CHORD, chord=chord, reason=_why(chord, written, note))
    scales = scales_for(written)
    if scales and note.pitch_class in scales[0].diminished.pcs:
        return other_half(each, note, scales[0])
    return alone(each)


def _without_rub(chord: Chord, note: Note) -> Chord:
    """Return a sixth chord for a major seventh under its own root, which would rub with it."""
    seventh = (note.pitch_class - 1) % 12
    if note.pitch_class == chord.root.pitch_class and seventh in chord.pcs:
        return Chord.of(chord.root, "m6" if chord.is_minor else "6")
    return chord


def _why(chord: Chord, written: Chord, note: Note) -> str:
    if chord.over(None).pcs == written.over(None).pcs:
        return ""
    degree = chord.degree_of(note.pitch_class)
    named = "" if degree is None else f" as its {degree.unicode}"
    return f"{chord.unicode} has the melody's {note.unicode} on top{named}."


def other_half(each: Stretch, note: Note, scale: SixthDiminished) -> Stretch:
    """Return a stretch with the diminished seventh of a scale under its note."""
    away = scale.diminished
    said = f"{away.unicode}, the other chord of the {scale} scale"
    reason = f"{said}, has the melody's {note.unicode} on top."
    return replace(each, kind=CHORD, chord=away, reason=reason)


def moving(chord: Chord, note: Note) -> Chord | None:
    """Return the seventh chord that a step of all voices but the melody's makes, if one does.

    Upward steps are tried first; what lies a half step below the melody is left.

    Examples
    --------
    >>> [str(moving(Chord.parse("C6"), Note.parse(name))) for name in "EGCA"]
    ['E7', 'G7', 'Dm7b5', 'Bm7b5']
    """
    scales = scales_for(chord)
    if not scales or note.pitch_class not in scales[0].chord.pcs:
        return None
    others = [pitch for pitch in scales[0].chord.pcs if pitch != note.pitch_class]
    for way in (1, -1):
        heard = {scales[0].step(60 + pitch, way) % 12 for pitch in others} | {note.pitch_class}
        for pitch in sorted(heard, key=lambda pc: (pc - note.pitch_class) % 12):
            above = {(each - pitch) % 12 for each in heard}
            suffix = _SEVENTHS.get(frozenset(above))
            if suffix is not None:
                root = note if pitch == note.pitch_class else scales[0].spell(pitch)
                return Chord.of(root.at(None).plain(), suffix)
    return None


_SEVENTHS = {
    frozenset((0, 4, 7, 10)): "7",
    frozenset((0, 3, 6, 10)): "m7b5",
}


def under_any(each: Stretch, note: Note) -> Stretch:
    """Return a stretch with the half of the scale that has its note, wherever there is one."""
    written = each.change.chord
    if written is None:
        return alone(each)
    scales = scales_for(written)
    if scales and note.pitch_class in scales[0].chord.pcs:
        home = written if written.pcs == scales[0].chord.pcs else scales[0].chord
        reason = (
            "" if home == written else f"{home.unicode} has the melody's {note.unicode} on top."
        )
        return replace(each, kind=CHORD, chord=home, reason=reason)
    if scales and note.pitch_class in scales[0].diminished.pcs:
        return other_half(each, note, scales[0])
    if note.pitch_class in written.pcs:
        return replace(each, kind=CHORD, chord=written.over(None))
    if written.is_dominant and (note.pitch_class - written.root.pitch_class) % 12 == 1:
        ninth = approach(written.root.transpose(_FIFTH_DOWN))
        said = f"{ninth.unicode}, which is {written.unicode} with a flat ninth and without its root"
        reason = f"{said}, has the melody's {note.unicode} on top."
        return replace(each, kind=CHORD, chord=ninth, reason=reason)
    return alone(each)


_LEAST_SECONDS, _LONG_SECONDS = 0.5, 1.5
_LONG_BEATS = 3
_HEAVY, _STEP = 2, 2


def plan_every_note(tune: Tune) -> list[Stretch]:
    """Return a tune's stretches with a chord under every note that can have one."""
    return [
        each if each.sung is None else under_any(each, each.sung.note) for each in stretches(tune)
    ]


def plan(tune: Tune, tempo: float | None = None) -> list[Stretch]:
    """Return a tune's stretches with what stands in each, by the rules of the module."""
    pace = tune.tempo if tempo is None else tempo
    return list(_Planner(tune, list(stretches(tune)), pace).planned())


class _Planner:
    """Decides stretch by stretch, with what comes before and after in view."""

    def __init__(self, tune: Tune, row: Sequence[Stretch], tempo: float) -> None:
        self.tune, self.row, self.tempo = tune, row, tempo
        self.rests = {phrase.last_bar for phrase in find_phrases(tune)} | {len(tune.playing) - 1}
        self.bars = list(self._bars())

    def planned(self) -> Iterator[Stretch]:
        """Yield the stretches, long notes cut into the parts that move."""
        found = [self._structural(place) for place in range(len(self.row))]
        passed: set[int] = set()
        for place in range(len(found)):
            bar = self.bars[place][0]
            if found[place].kind == ALONE and bar not in passed:
                found[place] = self._passing(found, place)
                if found[place].kind == PASSING:
                    passed.add(bar)
        for place in range(len(found)):
            if found[place].kind == ALONE:
                found[place] = self._slide(found, place)
        for place, each in enumerate(found):
            yield from self._moved(place, each)

    def _bars(self) -> Iterator[tuple[int, PlayedBar]]:
        playing, bar = self.tune.playing, 0
        for each in self.row:
            while bar + 1 < len(playing) and playing[bar + 1].onset <= each.start:
                bar += 1
            yield bar, playing[bar]

    def _weight(self, place: int) -> int:
        """Return how heavy the place of a stretch is; a pick-up's notes are at the bar's end."""
        number, played = self.bars[place]
        full = bar_length(played.bar.meter)
        late = full - played.bar.length if played.bar.number == 0 or number == 0 else Fraction(0)
        at = self.row[place].start - played.onset + max(late, Fraction(0))
        weight = beat_weight(played.bar.meter, at)
        halves = full / beat_length(played.bar.meter) == _STEP
        return weight + 1 if weight and halves else weight

    def _lasts(self, each: Stretch, seconds: float) -> bool:
        return float(each.beats) * 60 / self.tempo >= seconds

    def _beat(self, place: int) -> Fraction:
        return beat_length(self.bars[place][1].bar.meter)

    def _structural(self, place: int) -> Stretch:
        """Return a stretch with a chord where one must stand, else its note alone."""
        each = self.row[place]
        if each.sung is None:
            return each
        beat, change = self._beat(place), each.change
        half = bar_length(self.bars[place][1].bar.meter) / 2
        begins = each.start == change.onset and change.chord is not None
        heavy = self._weight(place) >= _HEAVY and 2 * each.beats >= beat
        long = each.beats >= min(2 * beat, half) and each.beats >= beat
        if not ((begins or heavy or long) and self._lasts(each, _LEAST_SECONDS / 2)):
            return alone(each)
        return structure(each, each.sung.note)

    def _passing(self, found: Sequence[Stretch], place: int) -> Stretch:
        """Return the other half of the scale under a passing note, else the note alone."""
        each, before, after = self.row[place], _near(found, place, -1), _near(found, place, 1)
        if each.sung is None or before is None or after is None:
            return found[place]
        scales = () if each.change.chord is None else scales_for(each.change.chord)
        note = each.sung.note
        if (
            each.beats < self._beat(place)
            or not self._lasts(each, _LEAST_SECONDS)
            or before.kind != CHORD
            or after.kind != CHORD
            or not all(0 < abs(near.midi - note.midi) <= _STEP for near in _sung(before, after))
            or not scales
            or note.pitch_class not in scales[0].diminished.pcs
        ):
            return found[place]
        return replace(other_half(each, note, scales[0]), kind=PASSING)

    def _slide(self, found: Sequence[Stretch], place: int) -> Stretch:
        """Return a slide into the next chord under a chromatic note, else the note alone."""
        each, after = found[place], _near(found, place, 1)
        chord = each.change.chord
        if each.sung is None or after is None or after.kind != CHORD or chord is None:
            return each
        note = each.sung.note
        scales = scales_for(chord)
        known = chord.pcs | scales[0].pcs if scales else chord.pcs
        step = note.midi - (after.midi or 0)
        if note.pitch_class in known or abs(step) != 1 or after.chord is None:
            return each
        target = after.chord.unicode
        side = "below" if step < 0 else "above"
        moved = after.chord.transpose("-m2" if step < 0 else "m2").easy()
        reason = f"{moved.unicode}, the shape of {target} a fret {side}, slides into it."
        return replace(each, kind=SLIDE, chord=moved, reason=reason)

    def _moved(self, place: int, each: Stretch) -> Iterator[Stretch]:
        """Yield a long note's stretch in parts: the chord, its lower voices moved, and back."""
        beat, (bar, _) = self._beat(place), self.bars[place]
        chord, sung = each.chord, each.sung
        cut = each.beats / beat
        if (
            each.kind != CHORD
            or sung is None
            or chord is None
            or cut < _LONG_BEATS
            or not self._lasts(each, _LONG_SECONDS)
            or bar in self.rests
            or (moved := moving(chord, sung.note)) is None
        ):
            yield each
            return
        first, second = each.end - 2 * beat, each.end - beat
        reason = (
            f"{moved.unicode} moves the lower voices by one scale step "
            f"while the melody holds {sung.note.unicode}."
        )
        yield replace(each, end=first)
        yield replace(each, start=first, end=second, kind=MOVING, chord=moved, reason=reason)
        yield replace(each, start=second)


def _near(row: Sequence[Stretch], place: int, step: int) -> Stretch | None:
    """Return the stretch beside one, if a note sounds there."""
    beside = place + step
    return row[beside] if 0 <= beside < len(row) and row[beside].sung is not None else None


def _sung(*row: Stretch) -> Iterator[Note]:
    for each in row:
        if each.sung is not None:
            yield each.sung.note
