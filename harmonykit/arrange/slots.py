"""Slots: the stretches of one chord, cut at the bar lines; how heavy beats are, where phrases end.

A move works inside one slot.  A chord that lasts for many bars makes several slots of at most two
bars, each a unit that a walk can fill; none goes on over the end of a section.

Weights by metre (common practice, no source): 4/4 4-1-2-1; 3/4 3-1-1; 6/8 in dotted beats 2-1;
5/4 as 3+2 4-1-1-2-1; a place off the beat 0.
"""

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import groupby, pairwise
from types import MappingProxyType

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import falls_a_fifth
from harmonykit.tune.analysis.function import find_phrases
from harmonykit.tune.tune import Bar, Meter, PlayedBar, Sung, Tune, bar_length, beat_length
from harmonykit.values import dataclass

MOST_BARS = 2
_PART, _ALIKE = 8, 4
"""Bars: how long a part of a song is at least, and how many alike begin one."""


@dataclass(frozen=True, slots=True)
class Piece:
    """The part of a slot that lies in one bar.

    ``bar`` counts bars in playing order from 0, ``number`` is the written one; ``at`` is the place
    in a whole bar, in quarters, so that a pick-up's beats, or those of the second half of a divided
    bar, have the weights of the bar that it completes.
    """

    onset: Fraction
    beats: Fraction
    bar: int
    meter: Meter
    at: Fraction
    whole: bool
    number: int = 0


@dataclass(frozen=True, slots=True)
class Slot:
    """One chord for a time, and the tune around it.

    Parameters
    ----------
    chord : Chord or None
    pieces : tuple of Piece
    before, after : Chord or None
        The chords on both sides; ``None`` for silence, and at the ends of the tune.
    after_at : Piece or None
        Where the next slot starts.
    final : bool
        Whether no other chord comes after it.
    at_edge : bool
        Whether another section, or a repeat, starts after it.
    fermata : bool
        Whether it is held somewhere as long as one likes.
    section : str
        The name of the section in which it starts.
    ends_sound : bool
        Whether nothing sounds after it.
    """

    chord: Chord | None
    pieces: tuple[Piece, ...]
    before: Chord | None = None
    after: Chord | None = None
    after_at: Piece | None = None
    final: bool = False
    at_edge: bool = False
    fermata: bool = False
    section: str = ""
    ends_sound: bool = False

    @property
    def onset(self) -> Fraction:
        """Where it starts, in quarters from the start of the tune."""
        return self.pieces[0].onset

    @property
    def beats(self) -> Fraction:
        """How long it lasts, in quarters."""
        return sum((piece.beats for piece in self.pieces), Fraction(0))

    @property
    def end(self) -> Fraction:
        """Where it ends, in quarters from the start of the tune."""
        last = self.pieces[-1]
        return last.onset + last.beats

    @property
    def bar(self) -> int:
        """The bar in which it starts, in playing order from 0."""
        return self.pieces[0].bar

    def piece_in(self, bar: int) -> Piece:
        """Return the piece that lies in a bar."""
        return next(piece for piece in self.pieces if piece.bar == bar)


@lru_cache(maxsize=16)
def slots_of(tune: Tune) -> tuple[Slot, ...]:
    """Return a tune's slots in playing order, without a gap."""
    playing = tune.playing
    edges = _edges(playing)
    runs = groupby(_pieces(tune, playing), key=lambda pair: pair[0])
    cut = [
        (chord, tuple(chunk))
        for chord, pieces in runs
        for chunk in _chunks([piece for _, piece in pieces], playing, edges)
    ]
    final = _final_from([chord for chord, _ in cut])
    ends: tuple[Chord | None, tuple[()]] = (None, ())
    padded = [ends, *cut, ends]
    sounding = [place for place, (chord, _) in enumerate(cut) if chord is not None]
    return tuple(
        Slot(
            chord,
            pieces,
            padded[i][0],
            padded[i + 2][0],
            next(iter(padded[i + 2][1]), None),
            i >= final,
            _at_edge(playing, pieces[-1], edges),
            fermata=any(_is_held(playing[piece.bar], piece) for piece in pieces),
            section=playing[pieces[0].bar].section,
            ends_sound=[i] == sounding[-1:],
        )
        for i, (chord, pieces) in enumerate(cut)
    )


def _is_held(played: PlayedBar, piece: Piece) -> bool:
    """Whether a fermata stands over a piece."""
    start = piece.onset - played.onset
    return any(start <= at < start + piece.beats for at in played.bar.fermatas)


def _final_from(chords: list[Chord | None]) -> int:
    """Return the place from which the last chord of a tune sounds without another."""
    place = len(chords)
    while place and chords[place - 1] is None:
        place -= 1
    while place > 1 and chords[place - 2] == chords[place - 1]:
        place -= 1
    return max(place - 1, 0)


def _at_edge(playing: tuple[PlayedBar, ...], last: Piece, edges: frozenset[int]) -> bool:
    """Whether a piece ends where a bar of ``edges`` ends."""
    here = playing[last.bar]
    return last.bar in edges and last.onset + last.beats >= here.onset + here.bar.length


def _edges(playing: tuple[PlayedBar, ...]) -> frozenset[int]:
    """Return the bars after which another section starts, or the tune goes back or begins again."""
    again = _begun_again(playing)
    return frozenset(
        n
        for n, (here, after) in enumerate(pairwise(playing))
        if here.section != after.section or not _goes_on(here.bar, after.bar) or n + 1 in again
    )


def _goes_on(here: Bar, after: Bar) -> bool:
    """Whether a bar is written right after another."""
    return after.number == here.number + 1 or (after.number == here.number and after is not here)


def _begun_again(playing: tuple[PlayedBar, ...]) -> frozenset[int]:
    """Return the bars from which a tune without sections has the chords of its first bars again.

    They lie a number of eight bars apart, as the parts of songs do, and what comes every four bars
    is none (common practice, no source).
    """
    if len({played.section for played in playing}) > 1:
        return frozenset()
    rows = [tuple((one.at, one.chord) for one in played.bar.changes) for played in playing]
    first = next((n for n, played in enumerate(playing) if played.bar.number), 0)
    opening = rows[first : first + _ALIKE]
    if rows[first + _ALIKE : first + 2 * _ALIKE] == opening:
        return frozenset()
    starts = range(first + _PART, len(rows) - _ALIKE + 1, _PART)
    return frozenset(n for n in starts if rows[n : n + _ALIKE] == opening)


def _pieces(tune: Tune, playing: tuple[PlayedBar, ...]) -> Iterator[tuple[Chord | None, Piece]]:
    """Yield each change cut at the bar lines."""
    shifts = _shifts(playing)
    bar = 0
    for change in tune.changes:
        start, end = change.onset, change.onset + change.beats
        while start < end:
            while playing[bar].onset + playing[bar].bar.length <= start:
                bar += 1
            stop = min(end, playing[bar].onset + playing[bar].bar.length)
            yield change.chord, _piece(playing[bar], bar, start, stop - start, shifts[bar])
            start = stop


def _shifts(playing: tuple[PlayedBar, ...]) -> list[Fraction]:
    """Return where each bar starts in a whole one: a pick-up and a second half start late."""
    shifts: list[Fraction] = []
    room = Fraction(0)
    for played in playing:
        full, length = bar_length(played.bar.meter), played.bar.length
        completes = length <= room
        shift = full - room if completes else Fraction(0)
        if played.bar.number == 0:
            shift = full - length
        room = full - shift - length
        shifts.append(shift)
    return shifts


def _piece(
    played: PlayedBar, index: int, start: Fraction, beats: Fraction, shift: Fraction
) -> Piece:
    bar = played.bar
    whole = beats == bar.length == bar_length(bar.meter)
    at = start - played.onset + shift
    return Piece(start, beats, index, bar.meter, at, whole, bar.number)


def _chunks(
    pieces: list[Piece], playing: tuple[PlayedBar, ...], edges: frozenset[int]
) -> Iterator[list[Piece]]:
    """Cut a long run into pairs of whole bars, and where a section ends or the tune goes back.

    What is no whole bar stands alone.
    """
    chunk: list[Piece] = []
    for piece in pieces:
        pair = len(chunk) < MOST_BARS and piece.whole and bool(chunk) and chunk[-1].whole
        if chunk and (not pair or _at_edge(playing, chunk[-1], edges)):
            yield chunk
            chunk = []
        chunk.append(piece)
    yield chunk


def bars_that_stay(slots: Sequence[Slot]) -> frozenset[int]:
    """Return the bars of chords that last two whole bars or more and lead nowhere.

    A chord that falls a fifth to a dominant, or becomes one on its root, leads on (common practice,
    no source).

    Examples
    --------
    >>> tune = Tune.parse("| Dm7 | Dm7 | Am7 | Am7 | D7 | G |")
    >>> sorted(bars_that_stay(slots_of(tune)))
    [0, 1]
    """
    found = set[int]()
    for chord, run in groupby(slots, key=lambda slot: slot.chord):
        row = [*run]
        after, bars = row[-1].after, [piece for slot in row for piece in slot.pieces]
        if chord is None or len(bars) < MOST_BARS or not all(piece.whole for piece in bars):
            continue
        leads = after is not None and after.is_dominant
        if leads and after is not None:
            leads = falls_a_fifth(chord, after) or after.root.pitch_class == chord.root.pitch_class
        found |= set() if leads else {piece.bar for piece in bars}
    return frozenset(found)


def is_heard(sung: Sung, start: Fraction, meter: Meter) -> bool:
    """Whether a note of a bar, and of its start, is on a beat or lasts half a beat or more."""
    beat = beat_length(meter)
    return ((sung.onset - start) / beat).denominator == 1 or sung.beats >= beat / 2


def melody_between(melody: tuple[Sung, ...], start: Fraction, end: Fraction) -> list[Sung]:
    """Return the notes of a melody, in playing order, that sound between two moments."""
    stop = first = bisect_left(melody, end, key=lambda note: note.onset)
    while first and melody[first - 1].onset + melody[first - 1].beats > start:
        first -= 1
    return list(melody[first:stop])


_WEIGHTS = {
    2: (2, 1),
    3: (3, 1, 1),
    4: (4, 1, 2, 1),
    5: (4, 1, 1, 2, 1),
}


@lru_cache(maxsize=4096)
def beat_weight(meter: Meter, at: Fraction) -> int:
    """Return the weight of a place in a bar.

    Parameters
    ----------
    meter : tuple of int
    at : Fraction
        Quarters from the start of a whole bar.

    Examples
    --------
    >>> [beat_weight((4, 4), Fraction(n)) for n in range(4)], beat_weight((4, 4), Fraction(1, 2))
    ([4, 1, 2, 1], 0)
    >>> beat_weight((6, 8), Fraction(3, 2))
    1
    """
    beat = beat_length(meter)
    place = at / beat
    if place.denominator != 1:
        return 0
    weights = _weights(meter, beat)
    return weights[int(place)] if place < len(weights) else 0


def _weights(meter: Meter, beat: Fraction) -> tuple[int, ...]:
    count = int(Fraction(4 * meter[0], meter[1]) / beat)
    return _WEIGHTS.get(count, (2,) + (1,) * (count - 1))


def piece_at(pieces: Sequence[Piece], moment: Fraction) -> Piece | None:
    """Return the piece in which a moment lies."""
    return next((p for p in pieces if p.onset <= moment < p.onset + p.beats), None)


def weight_at(pieces: Sequence[Piece], moment: Fraction) -> int:
    """Return the weight of a moment; 0 off the beat or outside."""
    piece = piece_at(pieces, moment)
    return 0 if piece is None else beat_weight(piece.meter, piece.at + moment - piece.onset)


def phrasing(tune: Tune) -> tuple[frozenset[int], frozenset[int], Mapping[int, int]]:
    """Return how the bars of a tune, as played from 0, make phrases.

    Returns
    -------
    frozenset of int, frozenset of int, mapping of int to int
        The bars in which a phrase ends; those that are the second of a pair; and where each bar
        stands in its phrase, from 0.

    Examples
    --------
    >>> ends, seconds, places = phrasing(Tune.parse("| C | F | G7 | C | F | C |", key="C"))
    >>> sorted(ends), sorted(seconds), places[4]
    ([3, 5], [1, 3, 5], 0)
    """
    ends, seconds, places = set[int](), set[int](), dict[int, int]()
    playing = tune.playing
    for phrase in find_phrases(tune):
        bars = [n for n in range(phrase.first_bar, phrase.last_bar + 1) if playing[n].bar.number]
        ends |= set(bars[-1:])
        seconds |= set(bars[1::2])
        places |= {bar: place for place, bar in enumerate(bars)}
    return frozenset(ends), frozenset(seconds), MappingProxyType(places)
