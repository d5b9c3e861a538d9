"""Which shapes may play a chord, and a walk: what the search chooses from."""

from functools import lru_cache

from harmonykit.arrange.costs import Shapes, Weights, travelling_hand
from harmonykit.arrange.moves import Part, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.climb import scale_of_chords
from harmonykit.fretboard.shapes.voicing import Voicing, find_voicings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import SixthDiminished

# On so many strings and fewer every string sounds; on more, so many at least where it can be.
_FULL = 4

Row = Shapes | None
"""The shapes of one part of a variant; ``None`` for silence."""


class ShapeBook:
    """The shapes of every chord and walk of one search, each found once.

    Parameters
    ----------
    instrument : Instrument
    limits : Limits
    weights : Weights

    Attributes
    ----------
    notes : list of str
        What a player should be told: a chord that has no shape within the limits.
    """

    def __init__(self, instrument: Instrument, limits: Limits, weights: Weights) -> None:
        self.instrument, self.limits, self.weights = instrument, limits, weights
        self.hand = travelling_hand(limits, instrument)
        self.notes: list[str] = []
        self._chords: dict[Chord, Shapes] = {}
        self._lates: dict[tuple[Chord, SixthDiminished, int], tuple[Shapes, ...]] = {}
        self._walks: dict[tuple[Chord, SixthDiminished, int], tuple[Shapes, ...]] = {}

    def rows(self, variant: Variant, slot: Slot) -> list[Row] | None:
        """Return the shapes of each part, or None where an added chord has none in the limits.

        Those of a walk belong together one by one: the first of each row is one chain.  A chord of
        the tune itself that has no shape within the limits is given those of a wide hand.

        Raises
        ------
        HarmonyError
            If no hand can hold a chord of the tune on the instrument.
        """
        if variant.scale is not None:
            return self._chain(variant, variant.scale)
        rows = [self._row(part, slot) for part in variant.parts]
        return None if any(row is not None and not len(row) for row in rows) else rows

    def _row(self, part: Part, slot: Slot) -> Row:
        chord = part.chord
        if chord is None:
            return None
        if chord not in self._chords:
            self._chords[chord] = self._priced(playable(chord, self.instrument, self.limits))
        if not part.move and not len(self._chords[chord]):
            self._chords[chord] = self._priced(self._past_limits(chord, slot))
        return self._chords[chord]

    def _chain(self, variant: Variant, scale: SixthDiminished) -> list[Row] | None:
        """Return the shapes of parts that follow from one shape by steps of a scale."""
        delayed = variant.parts[0].delayed
        if delayed is not None:
            return self._late(variant, scale, delayed)
        home, last = variant.parts[0].chord, variant.parts[-1].steps
        chains = () if home is None else self._chains(home, scale, last)
        return [chains[abs(part.steps)] for part in variant.parts] if chains else None

    def _late(self, variant: Variant, scale: SixthDiminished, late: int) -> list[Row] | None:
        """Return the shapes of a chord whose one note comes late, and of that chord."""
        home = variant.parts[-1].chord
        if home is None:
            return None
        key = (home, scale, late)
        if key not in self._lates:
            starts = playable(home, self.instrument, self.limits)
            found = [(borrow(start, scale, late, self.limits), start) for start in starts]
            pairs = [(first, start) for first, start in found if first is not None]
            rows = zip(*pairs, strict=True)
            self._lates[key] = tuple(self._priced(row) for row in rows)
        if not self._lates[key]:
            return None
        first, then = self._lates[key]
        return [first, *[then] * (len(variant.parts) - 1)]

    def _past_limits(self, chord: Chord, slot: Slot) -> tuple[Voicing, ...]:
        """Return the shapes of a wide hand where the limits leave none, and say so."""
        voicings = playable(chord, self.instrument, Limits())
        if not voicings:
            raise HarmonyError(
                f"bar {slot.pieces[0].number}: {chord.symbol} has no shape on "
                f"{self.instrument.name} that a hand can hold",
                rule=f"strings {self.instrument.tuning}, frets 0 to {Limits().max_fret}",
                mend="a simpler chord in the tune, or another instrument",
            )
        self.notes.append(
            f"{chord.unicode} has no shape within these limits; the one shown goes past them."
        )
        return voicings

    def _chains(self, home: Chord, scale: SixthDiminished, steps: int) -> tuple[Shapes, ...]:
        key = (home, scale, steps)
        if key not in self._walks:
            starts = playable(home, self.instrument, self.limits)
            found = (walk_from(start, scale, steps, self.limits) for start in starts)
            chains = [chain for chain in found if chain]
            self._walks[key] = tuple(self._priced(row) for row in zip(*chains, strict=True))
        return self._walks[key]

    def _priced(self, voicings: tuple[Voicing, ...]) -> Shapes:
        return Shapes(voicings, self.weights, self.hand)


@lru_cache(maxsize=2048)
def playable(chord: Chord, instrument: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return the shapes of a chord within limits, by frets, of those that players use.

    On more than four strings some may be muted, and the lowest pitch is the chord's bass; where it
    can be helped, four or more sound and none between them is muted.  On four strings and fewer
    all sound, and as many tones of the chord as they can.

    Examples
    --------
    >>> shapes = playable(Chord.parse("C6"), Instrument.named("ukulele"), Limits(max_fret=4))
    >>> [shape.digits for shape in shapes]
    ['0-0-0-0', '2-4-3-3']
    """
    many = len(instrument.strings) > _FULL
    found = find_voicings(
        chord if many else chord.over(None),
        instrument,
        limits.max_fret,
        bass=chord.bass if many else None,
        limits=limits,
    )
    most = 0 if many else max((len(v.pcs) for v in found), default=0)
    rich = sorted((v for v in found if len(v.pcs) >= most), key=_by_frets)
    return tuple(v for v in rich if _is_full(v)) or tuple(rich)


def _by_frets(voicing: Voicing) -> tuple[int, ...]:
    return tuple(-1 if fret is None else fret for fret in voicing.frets)


def _is_full(voicing: Voicing) -> bool:
    """Whether four strings or more sound (all, on fewer), with no muted one between them."""
    sounding = [string for string, fret in enumerate(voicing.frets) if fret is not None]
    wanted = min(_FULL, len(voicing.frets))
    return len(sounding) >= wanted and len(sounding) == sounding[-1] - sounding[0] + 1


@lru_cache(maxsize=4096)
def walk_from(
    voicing: Voicing, scale: SixthDiminished, steps: int, limits: Limits
) -> tuple[Voicing, ...]:
    """Return a shape carried along a scale, or nothing where a step leaves neck or hand.

    The shape sounds as many different tones as it can: a diminished seventh is whole on four
    strings.

    Examples
    --------
    >>> start = Voicing.parse("2222", Instrument.named("ukulele"))
    >>> walk = walk_from(start, SixthDiminished("D", "major"), 2, Limits())
    >>> [shape.digits for shape in walk]
    ['2-2-2-2', '3-4-3-4', '4-6-5-5']
    """
    tones = scale.chord.pcs
    if not voicing.pcs <= tones or len(voicing.pcs) < min(len(tones), len(voicing.sounding)):
        return ()
    try:
        shapes = scale_of_chords(scale, voicing, steps)
    except HarmonyError:
        return ()
    return shapes if all(can_hold(v.frets, v.instrument, limits) for v in shapes) else ()


@lru_cache(maxsize=4096)
def borrow(voicing: Voicing, scale: SixthDiminished, late: int, limits: Limits) -> Voicing | None:
    """Return a shape with one pitch class a scale step higher, or None past neck, hand or chord.

    The shape sounds every note of the scale's chord.

    Examples
    --------
    >>> start = Voicing.parse("0000", Instrument.named("ukulele"))
    >>> borrow(start, SixthDiminished("C", "major"), 4, Limits()).digits
    '0-0-1-0'
    """
    if voicing.pcs != scale.chord.pcs:
        return None
    frets = tuple(
        fret if fret is None or (string + fret) % 12 != late else scale.step(string + fret) - string
        for string, fret in zip(voicing.instrument.midi, voicing.frets, strict=True)
    )
    highest = max(fret for fret in frets if fret is not None)
    if highest > voicing.instrument.frets or not can_hold(frets, voicing.instrument, limits):
        return None
    return Voicing(voicing.instrument, frets)
