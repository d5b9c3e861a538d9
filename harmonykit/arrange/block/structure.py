"""Which chord stands under one melody note: the tune's, what it becomes there, the other half.

A structural note has the chord of the tune, or what it becomes when the note is its tension
(``harmonise.fitting``); an avoid note has the other half of the scale, which resolves with it, or
nothing.  Under a long note the lower voices go a step of the scale.
"""

from __future__ import annotations

from dataclasses import replace

from harmonykit.arrange.block.harmonise import fitting
from harmonykit.arrange.block.stretches import ALONE, CHORD, Stretch
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import approach
from harmonykit.theory.interval import Interval
from harmonykit.theory.note import Note
from harmonykit.theory.scale import SixthDiminished, scales_for

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
        chord = _without_rub(found.over(None), note)
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
    if chord.pcs == written.over(None).pcs:
        return ""
    degree = chord.degree_of(note.pitch_class)
    named = "" if degree is None else f" as its {degree.unicode}"
    return f"{chord.unicode} has the melody's {note.unicode}{named} on top."


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
