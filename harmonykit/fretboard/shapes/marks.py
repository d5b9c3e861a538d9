"""How usual a shape is for a chord: marks against it, and the order of a chord book.

By rule, not by list.  A shape is marked down for

- what it leaves out of the chord, the root most of all, and for a doubled third or seventh,
- another lowest pitch than the chord's bass, on an instrument whose strings rise from a bass; less
  so if the chord is the same on it, as a diminished seventh is; a fourth above the bass,
- one pitch on two strings side by side, above all where there are many,
- strings that must be kept silent, above all between others, and for sounding few; less so if the
  finger on the bass damps the string beside it,
- fingers, above all one that presses two strings, barres, stretch in millimetres, and height on the
  neck,
- open strings beside fingers high on the neck,
- what hands are not used to (``awkward``).

A chord book prints the lowest marks first.  A shape that only mutes other strings than one before
it stands back, so that the first shapes are different places on the neck; with a barre and without
one it is another grip.  A shape without its root is never the first while another has the root.
(All this is common practice, no source; so are the weights.)

Conventions.  A mark is a number of about one finger.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from harmonykit.fretboard.hands.holding import wires_of
from harmonykit.fretboard.shapes import awkward
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.tones import mask, unwanted, usual_omissions
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.values import dataclass

MANY_STRINGS = 5
# Marks.
_ROOTLESS, _NO_FIFTH, _NO_OTHER, _UNSAID = 5.0, 1.5, 6.0, 0.5
_OTHER_BASS, _FIFTH_IN_BASS, _SAME_ON_ANOTHER = 6.0, 4.0, 2.0
_MUTED_BETWEEN, _BESIDE_THE_BASS, _GAP_AND_OPEN, _GAP_AND_MANY = 5.0, 1.2, 2.0, 0.5
_MUTED_BELOW, _MUTED_ABOVE, _TRIAD_MUTED_ABOVE, _MISSING_STRING = 0.4, 0.8, 3.0, 4.0
_TRIAD_MUTED_BETWEEN = 7.5
_OPEN_MUTED_ABOVE = 1.6
_CARRIED = 0.4
_MINOR_NINTH, _SEMITONE, _COLOUR_TWICE, _THIRD_TWICE = 2.5, 0.8, 1.5, 0.6
_LOW_FOURTH, _SAME_PITCH, _SAME_OF_MANY = 0.6, 1.2, 4.0
_LOW_SECOND, _OPEN_BESIDE, _SHORT_STRING, _SHORT_SILENT = 1.5, 1.5, 3.0, 0.8
_FINGER, _BARRE, _MM_A_MARK = 0.6, 0.9, 30.0
_FRET, _OPEN_HIGH = 0.55, 1.0
_FULL, _FINGERS = 4, 4
_FOURTH, _FIFTH = 5, 7
# Up to there fingers and open strings sound together easily; further, where strings a fifth apart
# want more frets and the neck is short.
_NUT_FRETS, _NUT_MM = 4, 107.0


@dataclass(frozen=True, slots=True)
class Judge:
    """What the marks of a chord's shapes on an instrument are given by."""

    strings: tuple[int, ...]
    starts: tuple[int, ...]
    wires: tuple[float, ...]
    root: int
    bass: int | None
    below: dict[int, float]
    missing: dict[int, float]
    twice: dict[int, float]
    full: int
    rich: bool
    wide: bool
    above: float
    easy: int

    def mark(self, frets: Fretting) -> float:
        """Return the marks against a shape."""
        sounding, pitches = self._heard(frets)
        parts = self._tones(pitches), self._strings(frets, sounding), self._hand(frets)
        return sum(parts) + self._unused(frets, pitches)

    def parts(self, frets: Fretting) -> tuple[float, float, float]:
        """Return the marks against a shape for its tones, its strings, and what the hand does."""
        sounding, pitches = self._heard(frets)
        return self._tones(pitches), self._strings(frets, sounding), self._hand(frets)

    def _heard(self, frets: Fretting) -> tuple[list[int], list[int]]:
        """Return the strings that sound, and their pitches."""
        sounding = [place for place, fret in enumerate(frets) if fret is not None]
        return sounding, [self.strings[place] + (frets[place] or 0) for place in sounding]

    def _unused(self, frets: Fretting, pitches: list[int]) -> float:
        """Return the marks against a shape for what hands are not used to (``awkward``)."""
        if self.bass is None:
            return 0.0
        index = awkward.index_flat(frets) if _lies_flat(frets) else None
        twice = False
        if self.rich and len(pitches) == _FULL:
            heard = [pitch % 12 for pitch in pitches]
            lost = (self.root + _FIFTH) % 12 not in heard
            twice = lost and any(heard.count(tone) > 1 for tone in self.twice)
        return awkward.unused(frets, pitches, index, twice=twice, rich=self.rich)

    def rootless(self, frets: Fretting) -> bool:
        """Whether no string sounds the root."""
        pairs = zip(self.strings, frets, strict=True)
        return all(fret is None or (string + fret) % 12 != self.root for string, fret in pairs)

    def _tones(self, pitches: Sequence[int]) -> float:
        heard = [pitch % 12 for pitch in pitches]
        found = sum([mark for tone, mark in self.missing.items() if tone not in heard])
        if self.twice and len({*heard}) < len(heard):
            found += sum([mark for tone, mark in self.twice.items() if heard.count(tone) > 1])
        if self.bass is not None:
            low, next_low = sorted(pitches)[:2] if len(pitches) > 1 else (pitches[0], 127)
            found += self.below.get(low % 12, _OTHER_BASS)
            found += _LOW_SECOND if 0 < next_low - low < 3 else 0.0
            found += _LOW_FOURTH if next_low - low == _FOURTH else 0.0
        same = _SAME_PITCH if self.bass is None else _SAME_OF_MANY
        distinct = set(pitches)
        if len(distinct) < len(pitches):
            found += sum([same for one, other in pairwise(pitches) if one == other])
        for pitch in distinct:
            if pitch + 13 in distinct and self.root not in (pitch % 12, (pitch + 1) % 12):
                found += _MINOR_NINTH
            if pitch + 1 in distinct:
                found += _SEMITONE
        return found

    def _strings(self, frets: Fretting, sounding: list[int]) -> float:
        first, last = sounding[0], sounding[-1]
        gaps, above = last - first + 1 - len(sounding), len(frets) - 1 - last
        found = _MISSING_STRING * max(0, self.full - len(sounding))
        found += self._short_string(frets) if self.starts else _MUTED_BELOW * first
        bass, beside = frets[first], frets[first + 1] if first < last else None
        # The finger on the bass damps the string beside it.
        damped = bool(self.rich and gaps and bass and beside is None)
        if self.wide and damped and gaps == 1 and len(sounding) == _FULL and 0 not in frets:
            # Of more tones than fingers a bass and three more are carried along the neck.
            return found + _CARRIED
        opened = 0 in frets and self.above == _MUTED_ABOVE
        found += (_OPEN_MUTED_ABOVE if opened else self.above) * above
        if gaps:
            between = _MUTED_BETWEEN if self.rich else _TRIAD_MUTED_BETWEEN
            found += (_BESIDE_THE_BASS if damped else 0.0) + between * (gaps - damped)
            found += (_GAP_AND_OPEN / (1 + damped) if 0 in frets else 0.0) + (
                _GAP_AND_MANY if len(sounding) > _FULL else 0.0
            )
        elif self.bass is not None and bass and beside == 0 and sum(map(bool, frets)) > 2:
            found += _OPEN_BESIDE
        return found

    def _short_string(self, frets: Fretting) -> float:
        """Return the marks against a banjo's short string, which sounds open where it belongs."""
        if frets[0] is None:
            return _SHORT_SILENT if self.strings[0] % 12 in self.missing else 0.0
        return _SHORT_STRING if frets[0] else 0.0

    def _hand(self, frets: Fretting) -> float:
        fretted = [fret for fret in frets if fret]
        if not fretted:
            return 0.0
        low, high = min(fretted), max(fretted)
        fingers, barre = pressing(frets, fretted, low)
        height = low if 0 not in frets else 0.5 * (low + high) - 1
        return (
            _FINGER * fingers
            + _BARRE * (barre + (0 if self.wide else max(0, fingers - _FINGERS)))
            + (self.wires[high] - self.wires[low]) / _MM_A_MARK
            + _FRET * height
            + (self._open_high(frets, high) if 0 in frets else 0.0)
        )

    def _open_high(self, frets: Fretting, high: int) -> float:
        """Return the marks for open strings beside fingers aloft: each fret counts one more."""
        aloft = self._frets_aloft(frets, high)
        return _OPEN_HIGH * aloft * (aloft + 1) / 2

    def _frets_aloft(self, frets: Fretting, high: int) -> int:
        """Return by how many frets fingers stand too high for strings that sound open.

        On a guitar an open string on the root may sound beside them.
        """
        pairs = zip(self.strings, frets, strict=True)
        spared = None if self.bass is None else self.root
        return max(0, high - self.easy) if any(f == 0 and s % 12 != spared for s, f in pairs) else 0


def judge(chord: Chord, instrument: Instrument) -> Judge:
    """Return the judge of a chord's shapes on an instrument."""
    strings = instrument.midi
    rising = len(strings) >= MANY_STRINGS and not instrument.starts
    tones, wires = len(chord.semitones), wires_of(instrument.scale_mm)
    near = sum(0 < wire <= _NUT_MM for wire in wires)
    return Judge(
        strings,
        instrument.starts,
        wires,
        chord.root.pitch_class,
        chord.bass.pitch_class if rising else None,
        _below(chord),
        _missing(chord, len(strings)),
        _twice(chord) if rising else {},
        min(_FULL, len(strings), tones + 1),
        tones > 3 or chord.bass != chord.root,
        tones > _FULL,
        {2: 0.0, 3: _TRIAD_MUTED_ABOVE}.get(tones, _MUTED_ABOVE),
        near if in_fifths(instrument) else min(near, _NUT_FRETS),
    )


def _below(chord: Chord) -> dict[int, float]:
    """Return the marks for the lowest pitch that have one of their own, by pitch class.

    A diminished seventh or an augmented triad is the same chord on each of its tones.
    """
    root, bass = chord.root.pitch_class, chord.bass.pitch_class
    found = {(root + _FIFTH) % 12: _FIFTH_IN_BASS}
    if bass == root:
        for above in chord.semitones:
            if {(tone + above) % 12 for tone in chord.semitones} == set(chord.semitones):
                found[(root + above) % 12] = _SAME_ON_ANOTHER
    return found | {bass: 0.0}


def _missing(chord: Chord, strings: int) -> dict[int, float]:
    """Return the mark for each tone that does not sound, by pitch class."""
    never, spare = unwanted(chord), usual_omissions(chord, strings)
    tight = len(chord.semitones) - len(never) > strings
    found = {}
    for above in chord.semitones:
        mark = _NO_OTHER
        if above == 0:
            mark = _ROOTLESS / 2 if tight else _ROOTLESS
        elif above in spare:
            mark = _NO_FIFTH if above == _FIFTH and len(chord.semitones) < 5 else _UNSAID
        if above not in never:
            found[(chord.root.pitch_class + above) % 12] = mark
    return found


def _twice(chord: Chord) -> dict[int, float]:
    """Return the mark for each tone that sounds on two strings.

    Root and plain fifth have none, but in a diminished seventh, none of whose tones is plain.
    """
    root = chord.root.pitch_class
    plain = len(chord.semitones) < 4
    return {
        (root + degree.pitch_class) % 12: _THIRD_TWICE
        if plain or (degree.number == 3 and not chord.is_diminished_seventh)
        else _COLOUR_TWICE
        for degree in chord.degrees
        if degree.pitch_class not in (0, _FIFTH) or chord.is_diminished_seventh
    }


def in_fifths(instrument: Instrument) -> bool:
    """Whether most strings stand a fifth or more above the one before, as on a mandolin.

    Examples
    --------
    >>> in_fifths(Instrument.named("mandolin")), in_fifths(Instrument.named("guitar"))
    (True, False)
    """
    steps = [high - low for low, high in pairwise(instrument.midi)]
    return 2 * sum(step >= 7 for step in steps) > len(steps)


def pressing(frets: Fretting, fretted: list[int], low: int) -> tuple[int, bool]:
    """Return how many fingers press, about, and whether the index lies flat."""
    count = len(fretted)
    lows = fretted.count(low)
    if lows > 1:
        first, width = frets.index(low), breadth(frets, low)
        under = frets[first : first + width]
        if 0 not in under and None not in under and (count > 3 or width > 3):
            return count - lows + 1, True
    return count, False


def breadth(frets: Fretting, low: int) -> int:
    """Return how many strings lie between the first and the last that a fret stops."""
    return len(frets) - frets[::-1].index(low) - frets.index(low)


# The highest minus the lowest fret of usual shapes; more where the strings stand a fifth apart.
PLAIN_SPAN, _SPAN_IN_FIFTHS = 3, 5
# So many of the first shapes are kept apart; what follows stands by its marks.
_VARIED = 24
_ALIKE, _ALIKE_WITH_A_GAP = 1.7, 3.0


def usual_span(instrument: Instrument) -> int:
    """Return the highest minus the lowest fretted fret of usual shapes, before a hand is asked."""
    return _SPAN_IN_FIFTHS if in_fifths(instrument) else PLAIN_SPAN


def usual_tones(chord: Chord, strings: int) -> tuple[int, int]:
    """Return the pitch classes that must and that may sound, as bit masks.

    Examples
    --------
    >>> [bin(tones) for tones in usual_tones(Chord.parse("C9"), 4)]
    ['0b10000010100', '0b10010010101']
    """
    root = chord.root.pitch_class
    omitted, never = usual_omissions(chord, strings), unwanted(chord)
    must = mask((above for above in chord.semitones if above not in omitted), root)
    return must, mask((above for above in chord.semitones if above not in never), root)


def spares_enough(chord: Chord, strings: int, heard: int) -> bool:
    """Whether a shape whose pitch classes are ``heard`` leaves out no more than it has to.

    A shape without the root lacks nothing else that there would be a string for.
    """
    if heard >> chord.root.pitch_class % 12 & 1:
        return True
    tones = len(chord.semitones) - len(unwanted(chord))
    return tones - heard.bit_count() <= max(1, tones - strings)


def most_usual_first(
    chord: Chord, instrument: Instrument, shapes: Iterable[Fretting]
) -> list[Fretting]:
    """Return shapes of a chord in the order in which a chord book would print them.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> most_usual_first(Chord.parse("C"), ukulele, [(5, 4, 3, 3), (0, 0, 0, 3)])
    [(0, 0, 0, 3), (5, 4, 3, 3)]
    """
    found = judge(chord, instrument)
    marked = sorted((round(found.mark(frets), 6), _key(frets), frets) for frets in shapes)
    marks = {frets: mark for mark, _, frets in marked}
    order = _kept_apart([frets for _, _, frets in marked], marks)
    rooted = next((frets for frets in order if not found.rootless(frets)), None)
    if rooted is not None and order[0] != rooted:
        order.remove(rooted)
        order.insert(0, rooted)
    return order


def _key(frets: Fretting) -> tuple[int, ...]:
    return tuple(-1 if fret is None else fret for fret in frets)


def _kept_apart(order: list[Fretting], marks: dict[Fretting, float]) -> list[Fretting]:
    """Return shapes anew, one marked down that is a part of another before it, or the other way."""
    head, rest = order[: 3 * _VARIED], order[3 * _VARIED :]
    against = {frets: marks[frets] for frets in head}
    first: list[Fretting] = []
    while head and len(first) < _VARIED:
        best = min(head, key=against.__getitem__)
        head.remove(best)
        first.append(best)
        flat = _lies_flat(best)
        for frets in head:
            if _alike(best, frets) and _lies_flat(frets) == flat:
                against[frets] = marks[frets] + (_ALIKE_WITH_A_GAP if _gap(frets) else _ALIKE)
    return [*first, *sorted(head, key=against.__getitem__), *rest]


def _alike(one: Fretting, other: Fretting) -> bool:
    """Whether one shape is the other with strings muted."""
    fewer = more = False
    for a, b in zip(one, other, strict=True):
        if a != b:
            if a is not None and b is not None:
                return False
            fewer, more = fewer or a is None, more or b is None
    return not (fewer and more)


def _lies_flat(frets: Fretting) -> bool:
    """Whether the index lies over three strings or more: letting go of it makes another grip."""
    fretted = [fret for fret in frets if fret]
    if len(fretted) < 3:
        return False
    low = min(fretted)
    return pressing(frets, fretted, low)[1] and breadth(frets, low) > 2


def _gap(frets: Fretting) -> bool:
    """Whether a string is muted between two that sound."""
    return "x" in "".join("x" if fret is None else "." for fret in frets).strip("x")
