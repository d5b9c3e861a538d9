"""What is played at each stretch of a melody, and the shapes that may play it.

Of all rows of shapes the cheapest is taken.  A note alone is played on the string that lies nearest
to the hand; a slide is the next shape a fret away.

A shape's highest *pitch* is the melody; on a re-entrant instrument that need not be the last
string.  On more than four strings, four that lie side by side sound.  No note lies a semitone or a
minor ninth below the melody, and close intervals lie no lower than they must (``register_marks``).
"""

from collections.abc import Iterable, Iterator, Sequence

from harmonykit.arrange.block.stretches import ALONE as NOTE_ALONE
from harmonykit.arrange.block.stretches import MOVING, REST, SLIDE, Stretch
from harmonykit.arrange.costs import cheapest_row, has_bass
from harmonykit.arrange.weights import Weights
from harmonykit.fretboard.hands import hand, holding
from harmonykit.fretboard.shapes import finding, frettings, row_textures, textures, tones
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord, Degree, Note
from harmonykit.values import dataclass, replace

FEWER, SEVENTH, TRIAD = "fewer strings", "without its tensions", "the triad alone"
FEWEST = 2
"""So many strings at least make a chord."""

_FULL, _OPEN_UP_TO = 4, 5
_CORE = 7
"""The highest degree of a chord without tensions."""


class TopShapes:
    """The shapes with a melody note on top on one instrument."""

    def __init__(self, instrument: Instrument, limits: hand.Limits) -> None:
        self.instrument, self.limits = instrument, limits

    def under(self, chord: Chord, pitch: int) -> tuple[tuple[Voicing, ...], str, Chord]:
        """Return shapes and their chord: less of it where no shape says more with so low a top.

        First it loses its tensions, then it is its triad alone.

        A written bass is the lowest note; where it cannot be, the chord is without it.  A chord in
        inversion is any of its shapes on an instrument that has no bass.
        """
        if chord.foreign_bass or (chord.bass != chord.root and has_bass(self.instrument)):
            shapes, how = self._shapes(chord, pitch)
            if shapes:
                return shapes, how, chord
            chord = chord.over(None)
        shapes, how = self._shapes(chord.over(None), pitch)
        if shapes or len(chord.semitones) < _FULL or not {3, 4} & {*chord.semitones}:
            return shapes, how, chord
        for less in _lesser(chord):
            if less.degree_of(pitch % 12) is not None:
                shapes, how = self._shapes(less, pitch)
                if shapes:
                    said = TRIAD if len(less.semitones) < _FULL else SEVENTH
                    return shapes, f"{how}, {said}" if how else said, less
        return (), how, chord

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
        return finding.find_voicings(
            chord,
            self.instrument,
            max_fret=self.limits.max_fret,
            limits=self.limits,
            wanted=finding.Wanted(omit=omit, mutes=mutes, top=pitch),
        )

    def single(self, pitch: int) -> tuple[Voicing, ...]:
        """Return a pitch on each string that has it."""
        strings = self.instrument.midi
        top = min(self.limits.max_fret, self.instrument.frets)
        found = []
        for place, opened in enumerate(strings):
            start = self.instrument.start(place)
            fret = pitch - opened + (start if pitch > opened else 0)
            if 0 <= pitch - opened and fret <= top:
                frets = tuple(fret if n == place else None for n in range(len(strings)))
                if self.holds(frets):
                    found.append(Voicing(self.instrument, frets))
        return tuple(found)

    def holds(self, frets: tuple[int | None, ...]) -> bool:
        """Whether the hand can hold frets."""
        return holding.can_hold(frets, self.instrument, self.limits)


def _told(planned: Chord, played: Chord, note: Note) -> str:
    """Return in a sentence what a chord as it is played lacks of the one that was planned."""
    if planned == played:
        return ""
    below = f"below the melody's {note.plain().unicode}"
    if planned.over(None) == played:
        bass = planned.bass.unicode
        lost = f"is without the bass of {planned.unicode}"
        return f"{played.unicode} {lost}: {bass} does not fit {below}."
    if len(played.semitones) < _FULL:
        return f"{played.unicode} is the triad of {planned.unicode}: no more of it fits {below}."
    less = f"{played.unicode} is {planned.unicode} without its tensions"
    return f"{less}: no more of it fits {below}."


def _lesser(chord: Chord) -> Iterator[Chord]:
    """Yield a chord up to its sixth or seventh, if it has more, and its triad."""
    core = Chord.build(chord.root, tuple(d for d in chord.degrees if d.number <= _CORE))
    if _FULL <= len(core.semitones) < len(chord.semitones):
        yield core
    triad = Chord.of(chord.root, "" if 4 in chord.semitones else "m")
    if {*triad.semitones} <= {*chord.semitones}:
        yield triad


def _says(voicing: Voicing, chord: Chord) -> bool:
    """Whether a shape lacks no more of a chord than players leave out on so many strings.

    On four strings a seventh chord without its root would be a triad of another name.
    """
    chord = chord.over(None)
    spared = {*chord.droppable, *tones.usual_omissions(chord, len(voicing.sounding))}
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
    found = [
        one for one in shapes if row_textures.side_by_side(one) and row_textures.clear_on_top(one)
    ]
    marks = [(textures.register_marks(one), _opens_aloft(one), -len(one.pcs)) for one in found]
    least = min(marks, default=())
    return tuple(one for one, mark in zip(found, marks, strict=True) if mark == least)


def _opens_aloft(one: Voicing) -> bool:
    return 0 in one.frets and one.highest_fret > _OPEN_UP_TO


ALONE = "outside the scale: the note alone"
LOW = "no chord fits below it: the note alone"
OCTAVE = "another octave"
SILENT = "not playable on the neck: silence"

_CROSSING = 3


@dataclass(frozen=True, slots=True)
class Played:
    """A stretch with the shapes that may play it, then the one that does."""

    at: Stretch
    pitch: int = 0
    shapes: tuple[Voicing, ...] = ()
    voicing: Voicing | None = None
    done: str = ""


def held(row: Sequence[Played]) -> list[Played]:
    """Return stretches with a long note's chord held where its lower voices cannot move."""
    found: list[Played] = []
    for each in row:
        stuck = bool(found) and found[-1].at.kind == MOVING and not found[-1].shapes
        if stuck and len(found) > 1:
            found.pop()
            found[-1] = replace(found[-1], at=replace(found[-1].at, end=each.at.end))
        else:
            found.append(each)
    return found


class Maker:
    """What may be played under a melody note."""

    def __init__(
        self, instrument: Instrument, limits: hand.Limits, shift: int, *, every_note: bool
    ) -> None:
        self.instrument, self.limits, self.shift = instrument, limits, shift
        self.every_note = every_note
        self.shapes = TopShapes(instrument, limits)

    def play(self, at: Stretch) -> Played:
        """Return a stretch with its shapes, by the first rule of ``melody`` that can be kept."""
        if at.midi is None or at.sung is None:
            return Played(at)
        wanted = at.midi + self.shift
        for pitch in (wanted, wanted + 12, wanted - 12, wanted + 24, wanted - 24):
            moved = OCTAVE if pitch != wanted else ""
            if at.kind not in (NOTE_ALONE, SLIDE) and at.chord is not None:
                shapes, how, chord = self.shapes.under(at.chord, pitch)
                if shapes:
                    told = _told(at.chord, chord, at.sung.note)
                    reason = f"{at.reason} {told}".strip()
                    at = replace(at, chord=chord, reason=reason)
                    done = "; ".join(word for word in (moved, how) if word)
                    return Played(at, pitch, shapes, done=done)
            if at.kind == MOVING:
                break
            if self.shapes.single(pitch):
                return self._alone(at, pitch, moved)
        return Played(at) if at.kind == MOVING else Played(replace(at, kind=REST), done=SILENT)

    def _alone(self, at: Stretch, pitch: int, moved: str) -> Played:
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
        return Played(told if kind == SLIDE else replace(told, reason=""), pitch, done=done)

    def placed(self, row: Sequence[Played], weights: Weights) -> tuple[list[Played], int]:
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

    def _slid(self, row: Sequence[Played], place: int) -> Played:
        """Return a slide with the next shape a fret away, or its note alone."""
        each, after = row[place], row[place + 1]
        step = each.pitch - after.pitch
        if after.voicing is not None and abs(step) == 1 and len(after.voicing.sounding) >= FEWEST:
            frets = frettings.shifted(after.voicing.frets, step)
            pressed = [fret for fret in frets if fret is not None]
            held = 0 not in after.voicing.frets and min(pressed) > 0
            if held and max(pressed) <= self.limits.max_fret and self.shapes.holds(frets):
                return replace(each, voicing=Voicing(self.instrument, frets))
        return replace(
            each, at=replace(each.at, kind=NOTE_ALONE, chord=each.at.change.chord, reason="")
        )

    def _nearest(self, row: Sequence[Played], place: int) -> Voicing:
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

        return min(self.shapes.single(row[place].pitch), key=away)


def _top_place(voicing: Voicing) -> tuple[int, int]:
    """Return string and fret of the highest note."""
    _, string = max((pitch, n) for n, pitch in enumerate(voicing.midi) if pitch is not None)
    return string, voicing.frets[string] or 0
