"""Which shapes may play a chord, and a walk: what the search chooses from."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from types import MappingProxyType

from harmonykit.arrange.costs import Shapes, has_bass, travelling_hand
from harmonykit.arrange.moves import Part, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.arrange.weights import Weights
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import can_hold, fit
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.fourths import FOURTHS, in_fourths, no_fourths
from harmonykit.fretboard.shapes.marks import judge
from harmonykit.fretboard.shapes.row_textures import texture_missing, texture_shapes
from harmonykit.fretboard.shapes.textures import has_many_strings, layout_of
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import SixthDiminished
from harmonykit.values import replace
from harmonykit.words.numbers import join_words

# On so many strings and fewer every string sounds; on more, so many at least where it can be.
_FULL, _NAMED = 4, 4
# Open strings beside fingers up to this fret are no surprise to the ear.
_NEAR = 4
_FIFTHS = (6, 7, 8)
# So many marks more a shape may have for the bass of its chord (common practice, no source).
_FOR_THE_BASS = 1.5

Known = Mapping[Chord, tuple[Voicing, ...]]
Row = Shapes | None
"""The shapes of one part of a variant; ``None`` for silence."""


class ShapeBook:
    """The shapes of every chord and walk of one search, each found once.

    Parameters
    ----------
    instrument : Instrument
    limits : Limits
    weights : Weights
    texture : str
        Which shapes are taken where a chord has some in it, of ``row_textures``; any where empty.
    known : mapping of Chord to tuple of Voicing
        Shapes that a chord of the tune itself is played with, where a hand can hold one of them.
    bass_player : bool
        Whether somebody else plays the bass, so that any tone of a chord may be the lowest.
    learns : bool
        Whether a chord may have other shapes than those that are known, too.
    """

    def __init__(
        self,
        instrument: Instrument,
        limits: Limits,
        weights: Weights,
        texture: str = "",
        known: Known = MappingProxyType({}),
        *,
        bass_player: bool = False,
        learns: bool = False,
    ) -> None:
        self.learns = learns
        self.instrument, self.limits, self.weights = instrument, limits, weights
        self.texture, self.known, self.bass_player = texture, known, bass_player
        self.hand = travelling_hand(limits, instrument)
        self._past: dict[Chord, None] = {}
        self._lacking: dict[Chord, str] = {}

    @property
    def notes(self) -> tuple[str, ...]:
        """What a player should be told: which chords have no shape within limits or texture."""
        past: tuple[str, ...] = ()
        if self._past:
            many = len(self._past) > 1
            past = (
                f"{join_words([chord.unicode for chord in self._past])} "
                f"{'have no shapes' if many else 'has no shape'} within these limits; "
                f"{'those shown go' if many else 'the one shown goes'} past them.",
            )
        if not self._lacking:
            return past
        names = [chord.unicode for chord in self._lacking]
        shown = ", ".join(names[:_NAMED]) + (
            f" and {more} more" if (more := len(names) - _NAMED) > 0 else ""
        )
        why = next(iter(self._lacking.values()))
        return (
            *past,
            f"No shape in {self.texture}, so any shape is used: {shown}. First reason: {why}.",
        )

    def rows(self, parts: Sequence[Part], slot: Slot) -> list[Row] | None:
        """Return the shapes of each part, or None where an added chord has none in the limits.

        A chord of the tune itself that has no shape within the limits is given those of a wide
        hand.

        Raises
        ------
        HarmonyError
            If no hand can hold a chord of the tune on the instrument.
        """
        rows = [self._row(part, slot) for part in parts]
        return None if any(row is not None and not len(row) for row in rows) else rows

    def _row(self, part: Part, slot: Slot) -> Row:
        chord = part.chord
        if chord is None:
            return None
        if part.fourths:
            return self._shapes(in_fourths(chord, self.instrument, self.limits), chord)
        many = len(self.instrument.strings) > _FULL
        if many and not self.texture and (part.scale is not None or part.into is not None):
            return self._priced(chord, _WALKING)
        if part.one_voice and not many:
            return self._priced(chord, _LINE)
        known = () if part.move or part.scale or part.into else self.known.get(chord, ())
        kept = tuple(shape for shape in known if is_held(shape, self.limits))
        kept = kept or tuple(shape for shape in known if lies_flat(shape, self.limits))
        texture = self.texture or (_WALKING if many and self.bass_player else "")
        found = self._kept(kept, chord, texture) if kept else self._priced(chord, texture)
        if not kept and not texture and not self.bass_player:
            found = self._over_bass(found, chord, slot)
        told = not self.texture or (self.texture == FOURTHS and not no_fourths(chord))
        if not told and not kept and not part.move and chord not in self._lacking:
            if why := texture_missing(chord, self.instrument, self.texture, self.limits):
                self._lacking[chord] = why
        if not part.move and not len(found):
            self._past_limits(chord, slot)
            if known:
                return self._shapes(known, chord)
            return _row_of(chord, self.instrument, Limits(), self.weights, "")
        return found

    def _over_bass(self, found: Shapes, chord: Chord, slot: Slot) -> Shapes:
        """Return the shapes over a slash chord's bass where there are some; beside it no others."""
        over = over_its_bass(chord, self.instrument, self.limits)
        if over:
            return self._shapes(over, chord)
        beside = [one for one in (slot.before, slot.after) if one and one.root == chord.root]
        taken = {
            one.bass.pitch_class
            for one in beside
            if one.bass != chord.bass and over_its_bass(one, self.instrument, self.limits)
        }
        own = tuple(s for s in found.voicings if min(s.sounding) % 12 not in taken)
        return self._shapes(own, chord) if taken and own else found

    def _kept(self, known: tuple[Voicing, ...], chord: Chord, texture: str) -> Shapes:
        """Return the known shapes of a chord, and all others where more may be learnt."""
        if not self.learns:
            return self._shapes(known, chord)
        return _with_known(known, chord, self.instrument, self.limits, self.weights, texture)

    def _shapes(self, shapes: tuple[Voicing, ...], chord: Chord) -> Shapes:
        return Shapes(shapes, self.weights, self.hand, chord)

    def _priced(self, chord: Chord, texture: str) -> Shapes:
        return _row_of(chord, self.instrument, self.limits, self.weights, texture)

    def only(self, voicing: Voicing | None, part: Part) -> Row:
        """Return a row of one shape."""
        return None if voicing is None else _only(voicing, self.weights, self.hand, part.chord)

    def late(self, variant: Variant) -> list[Row] | None:
        """Return the shapes of a chord whose one note comes late, and of that chord.

        Those of a row belong together one by one.
        """
        first, home, scale = variant.parts[0], variant.parts[-1].chord, variant.scale
        if home is None or scale is None or first.delayed is None:
            return None
        rows = _late_rows(
            (first.chord, home), scale, first.delayed, self.instrument, self.limits, self.weights
        )
        return None if rows is None else [rows[0], *[rows[1]] * (len(variant.parts) - 1)]

    def _past_limits(self, chord: Chord, slot: Slot) -> None:
        """Say where the limits leave a chord no shape; refuse it where a wide hand has none."""
        if not playable(chord, self.instrument, Limits()):
            raise HarmonyError(
                f"bar {slot.pieces[0].number}: {chord.symbol} has no shape on "
                f"{self.instrument.name} that a hand can hold",
                rule=f"strings {self.instrument.tuning}, frets 0 to {Limits().max_fret}",
                mend="a simpler chord in the tune, or another instrument",
            )
        self._past[chord] = None


@lru_cache(maxsize=512)
def _late_rows(
    chords: tuple[Chord | None, Chord],
    scale: SixthDiminished,
    late: int,
    instrument: Instrument,
    limits: Limits,
    weights: Weights,
) -> tuple[Shapes, Shapes] | None:
    """Return the shapes of a chord whose one note comes late, and of it; once for all searches."""
    hand, starts = travelling_hand(limits, instrument), playable(chords[1], instrument, limits)
    found = [(borrow(start, scale, late, limits), start) for start in starts]
    pairs = [(first, start) for first, start in found if first is not None]
    if not pairs:
        return None
    firsts, then = zip(*pairs, strict=True)
    return Shapes(firsts, weights, hand, chords[0]), Shapes(then, weights, hand, chords[1])


@lru_cache(maxsize=1024)
def _only(voicing: Voicing, weights: Weights, hand: Limits, chord: Chord | None) -> Shapes:
    return Shapes((voicing,), weights, hand, chord)


@lru_cache(maxsize=512)
def _with_known(
    known: tuple[Voicing, ...],
    chord: Chord,
    instrument: Instrument,
    limits: Limits,
    weights: Weights,
    texture: str,
) -> Shapes:
    """Return the shapes of a chord as ``_row_of`` has them, and known ones, which are usual."""
    row = _row_of(chord, instrument, limits, weights, texture)
    more = tuple(shape for shape in known if shape not in row.voicings)
    places = (*row.places, *[0] * len(more)) if row.places else ()
    return Shapes((*row.voicings, *more), weights, row.hand, chord, places)


_WALKING, _LINE = "walking", "line"


@lru_cache(maxsize=1024)
def _row_of(
    chord: Chord, instrument: Instrument, limits: Limits, weights: Weights, texture: str
) -> Shapes:
    """Return the shapes of a chord in a texture, where it has some, or any; once for all searches.

    In a walk on many strings, and over a bass player, any note may be the lowest; on few strings,
    where one voice moves, the fifth may be the note that it has left.
    """
    found: tuple[Voicing, ...] = ()
    if texture == _WALKING:
        more = four_voices(chord, instrument, limits)
        found = tuple(dict.fromkeys((*playable(chord, instrument, limits), *more)))
    elif texture == _LINE:
        found = (*playable(chord, instrument, limits), *_left_its_fifth(chord, instrument, limits))
    elif texture:
        found = texture_shapes(chord, instrument, texture, limits)
    if texture == FOURTHS and not found:
        texture = ""  # few chords have them: the others are played as without a texture
    found = found or playable(chord, instrument, limits)
    places: tuple[int, ...] = ()
    if texture in ("", _WALKING) and weights.book and has_many_strings(instrument):
        printed = {shape: n for n, shape in enumerate(by_book(chord, instrument, limits))}
        places = tuple(
            0 if is_laid_out(shape) else printed.get(shape, len(printed)) for shape in found
        )
    return Shapes(found, weights, travelling_hand(limits, instrument), chord, places)


def is_laid_out(shape: Voicing) -> bool:
    """Whether a shape is a grip in drop 2 above the lowest string, or in drop 3, near open strings.

    Such grips are carried along the neck, and a chord book prints few of them (common practice, no
    source).

    Examples
    --------
    >>> guitar = Instrument.named("guitar")
    >>> [is_laid_out(Voicing.parse(d, guitar)) for d in ("x3545x", "3x443x", "7968xx", "x7570x")]
    [True, True, False, False]
    """
    layout, near = layout_of(shape.sounding), 0 not in shape.frets or shape.highest_fret <= _NEAR
    if len(shape.sounding) != _FULL or not near:
        return False
    return layout == "drop 3" or (layout == "drop 2" and _is_full(shape) and not _is_lowest(shape))


def _is_lowest(shape: Voicing) -> bool:
    """Whether the two lowest strings of many sound, where four side by side lie thick."""
    return has_many_strings(shape.instrument) and None not in shape.frets[:2]


def _left_its_fifth(chord: Chord, instrument: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return the shapes in which all strings sound, and every tone of a chord but its fifth."""
    above = [chord.semitones[0], *(place for place in chord.semitones[1:] if place not in _FIFTHS)]
    if len(above) == len(chord.semitones):
        return ()
    found = find_voicings(
        chord.over(None),
        instrument,
        limits.max_fret,
        limits=limits,
        wanted=Wanted(omit=[place for place in chord.semitones if place in _FIFTHS]),
    )
    kept = (v for v in found if len(v.pcs) == len(above) and _is_full(v))
    return tuple(sorted(kept, key=_by_frets))


@lru_cache(maxsize=2048)
def playable(chord: Chord, instrument: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return the shapes of a chord within limits, by frets, of those that players use.

    On more than four strings some may be muted; where it can be helped, four or more sound and
    none between them is muted, but for a string beside the bass, which its finger damps, where
    three more sound.  The lowest pitch is the chord's bass, but not beside a banjo's short string.
    On four strings and fewer all sound, and as many tones of the chord as they can.

    Examples
    --------
    >>> shapes = playable(Chord.parse("C6"), Instrument.named("ukulele"), Limits(max_fret=4))
    >>> [shape.digits for shape in shapes]
    ['0-0-0-0', '2-4-3-3']
    """
    return tuple(sorted(by_book(chord, instrument, limits), key=_by_frets))


@lru_cache(maxsize=2048)
def by_book(chord: Chord, instrument: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return the shapes that are ``playable`` in the order in which a chord book prints them.

    Examples
    --------
    >>> guitar = Instrument.named("guitar")
    >>> [shape.digits for shape in by_book(Chord.parse("Gm7"), guitar, Limits())[:2]]
    ['3-5-3-3-3-3', '3-x-3-3-3-x']
    """
    many, bass = len(instrument.strings) > _FULL, has_many_strings(instrument)
    asked, wanted = (chord, Wanted(bass=chord.bass)) if bass else (chord.over(None), Wanted())
    found = find_voicings(asked, instrument, limits.max_fret, limits=limits, wanted=wanted)
    most = 0 if many else max((len(v.pcs) for v in found), default=0)
    rich = [v for v in found if len(v.pcs) >= most]
    kept = (v for v in rich if _is_full(v) or (bass and _is_carried(v, len(chord.pcs))))
    return tuple(kept) or tuple(rich)


@lru_cache(maxsize=512)
def over_its_bass(chord: Chord, instrument: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return the shapes of a slash chord that have its bass as their lowest note, if near by.

    That is for few strings that rise from the lowest, where no lower instrument is heard: a shape
    is near by that has few marks more than the best one over any note.

    Examples
    --------
    >>> mandolin = Instrument.named("mandolin")
    >>> [s.digits for s in over_its_bass(Chord.parse("G/B"), mandolin, Limits())]
    ['4-0-2-3']
    >>> over_its_bass(Chord.parse("C/E"), mandolin, Limits())
    ()
    """
    rises = not instrument.starts and list(instrument.midi) == sorted(instrument.midi)
    if chord.bass == chord.root or has_bass(instrument) or not rises:
        return ()
    judged = judge(chord, instrument)
    marks = {shape: judged.mark(shape.frets) for shape in playable(chord, instrument, limits)}
    most = min(marks.values(), default=0.0) + _FOR_THE_BASS
    low = chord.bass.pitch_class
    return tuple(s for s, mark in marks.items() if min(s.sounding) % 12 == low and mark <= most)


def is_held(shape: Voicing, limits: Limits) -> bool:
    """Whether a hand can hold a shape within limits.

    Examples
    --------
    >>> guitar = Instrument.named("guitar")
    >>> [is_held(Voicing.parse(d, guitar), Limits(max_fret=4)) for d in ("x32010", "x35553")]
    [True, False]
    """
    low = shape.highest_fret <= limits.max_fret
    return low and can_hold(shape.frets, shape.instrument, limits)


def lies_flat(shape: Voicing, limits: Limits) -> bool:
    """Whether a hand that lays a finger over four strings at most holds a shape, low on the neck.

    So a first chord book has Bm on a ukulele, for hands that take no other barre.

    Examples
    --------
    >>> guitar, hand = Instrument.named("guitar"), Limits(max_fret=5, barre="none")
    >>> lies_flat(Voicing.parse("4222"), hand), lies_flat(Voicing.parse("5555"), hand)
    (True, False)
    >>> lies_flat(Voicing.parse("133211", guitar), hand)
    False
    """
    held = fit(shape.frets, shape.instrument, replace(limits, barre="full"))
    low = shape.highest_fret <= min(limits.max_fret, _NEAR)
    return low and held is not None and all(barre.width <= _FULL for barre in held.barres)


@lru_cache(maxsize=1024)
def four_voices(chord: Chord, instrument: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return the shapes of a chord on four strings side by side, in any inversion, no tone twice.

    Of many strings the four lowest are left out, which sound thick, where there are others.

    Examples
    --------
    >>> shapes = four_voices(Chord.parse("Bdim7"), Instrument.named("guitar"), Limits(max_fret=4))
    >>> [shape.digits for shape in shapes]
    ['x-x-0-1-0-1', 'x-x-3-4-3-4', 'x-2-3-1-3-x', '1-2-0-1-x-x']
    """
    found = find_voicings(
        chord.over(None), instrument, limits.max_fret, limits=limits, wanted=Wanted(doubling=False)
    )
    kept = (v for v in found if len(v.sounding) == len(v.pcs) == _FULL and _is_full(v))
    return tuple(sorted(kept, key=_by_frets))


def _by_frets(voicing: Voicing) -> tuple[int, ...]:
    return tuple(-1 if fret is None else fret for fret in voicing.frets)


def _is_full(voicing: Voicing) -> bool:
    """Whether four strings or more sound (all, on fewer), with no muted one between them."""
    sounding = [string for string, fret in enumerate(voicing.frets) if fret is not None]
    wanted = min(_FULL, len(voicing.frets))
    return len(sounding) >= wanted and len(sounding) == sounding[-1] - sounding[0] + 1


def _is_carried(voicing: Voicing, tones: int) -> bool:
    """Whether a bass and three strings side by side sound, one between them damped, none open."""
    sounding = [string for string, fret in enumerate(voicing.frets) if fret is not None]
    if tones < _FULL or not len(sounding) == len(voicing.pcs) == _FULL or 0 in voicing.frets:
        return False
    return sounding[1] - sounding[0] == 2 and sounding[-1] - sounding[1] == 2


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
