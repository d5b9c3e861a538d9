"""How surprising changes of chords are, in bits, and how often they were heard.

Bits are -log2 of the probability of a change after what came before, as counted in jazz tunes or,
where half of the chords have neither sixth nor seventh, in popular songs: 0 bits is certain, 1 bit
an even chance, and each further bit is half as likely.  A tune as it is written has about 3.5 bits
a change.  Chords are reduced to the kinds that were counted (``evidence.kinds``); a chord that only
says the one before again is no change.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harmonykit.errors import HarmonyError, need_whole
from harmonykit.evidence.harmony import harmony_of
from harmonykit.evidence.heard import LONGEST, SHORTEST, Often, heard, heard_next
from harmonykit.evidence.keys import Heard
from harmonykit.evidence.kinds import JAZZ, PLAIN, STYLES, kind_of, style_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_chords, as_key
from harmonykit.theory.key import Key
from harmonykit.theory.symbols.quality import BY_SUFFIX
from harmonykit.tune.analysis.key_finding import Changes, find_keys, place_chords
from harmonykit.tune.bar import TuneError

# Bits a change of tunes as written, left out of the counts: see "Evidence" in DEVELOPERS.md.
AS_WRITTEN = 3.5
# What a kind is written as, where it is not its own suffix.
_SUFFIXES = {
    JAZZ: {"sus": "7sus4"},
    PLAIN: {"maj": "", "min": "m", "sus": "sus4", "dim": "mb5", "aug": "+"},
}


@dataclass(frozen=True, slots=True)
class SurprisingChange:
    """A change of chord: to which, in which bar as played (from 1), how surprising, how usual.

    ``key`` is the local key in which it stands; ``often`` says of the chord before it and this one
    how often they were heard.
    """

    chord: Chord
    bar: int
    bits: float
    key: Key
    often: Often


@dataclass(frozen=True, slots=True)
class Surprise:
    """How surprising the changes of a tune are.

    Parameters
    ----------
    changes : tuple of SurprisingChange
        One for each chord but the first.
    bars : int
        How many are played.
    style : {"jazz", "plain"}
        What they were counted in.
    often : Often or None
        How often the whole row was heard, where it has two to four chords.
    """

    changes: tuple[SurprisingChange, ...]
    bars: int
    style: str
    often: Often | None = None

    @property
    def mean(self) -> float:
        """Bits a change; 0 where nothing changes."""
        return sum(each.bits for each in self.changes) / max(len(self.changes), 1)

    @property
    def a_bar(self) -> float:
        """Bits a bar."""
        return sum(each.bits for each in self.changes) / self.bars

    @property
    def unheard(self) -> int:
        """How many changes were heard in fewer than three tunes."""
        return sum(not each.often.tunes for each in self.changes)

    @property
    def words(self) -> str:
        """A sentence: bits a change, beside the usual, and what stands out.

        Examples
        --------
        >>> surprise("Dm7 G7 C6", "C").words
        '1.1 bits a change (a tune as written has about 3.5); heard 542 times, in 228 of 606 jazz tunes'
        """  # noqa: E501
        told = f"{self.mean:.1f} bits a change (a tune as written has about {AS_WRITTEN})"
        if self.often is not None:
            return f"{told}; {self.often}"
        if not self.changes:
            return told
        most = max(self.changes, key=lambda change: change.bits)
        where = f"{most.chord.unicode} in bar {most.bar} as played"
        after = f"after the chord before it {most.often}"
        return f"{told}; most at {where}: {most.bits:.1f} bits, {after}"

    def __str__(self) -> str:
        return f"{self.mean:.1f} bits a change, {self.a_bar:.1f} a bar ({self.style})"


def surprise(changes: Changes, key: KeyLike | None = None, style: str | None = None) -> Surprise:
    """Return how surprising each change of a tune or a row of chords is.

    Parameters
    ----------
    changes : Tune, text, or sequence of chords
        As ``find_keys`` takes them.
    key : Key or str, optional
        The home key: a tune's own, else the likeliest, where not given.
    style : {"jazz", "plain"}, optional
        What the counts are from; the nearer one where not given.

    Returns
    -------
    Surprise

    Raises
    ------
    TuneError
        If no chord is among them.

    Examples
    --------
    >>> found = hk.surprise("Dm7 G7 Cmaj7 Ab7")
    >>> [each.bits < 3 for each in found.changes]
    [True, True, False]
    """
    placed, bars = place_chords(changes)
    sounding = [(chord, bar, strong) for chord, bar, strong in placed if chord is not None]
    if not sounding:
        raise TuneError("no chord changes", mend="C6 A7 Dm7 G7")
    style = style or style_of([chord.semitones for chord, _, _ in sounding])
    if style not in STYLES:
        raise HarmonyError(f"{style!r} is not a style that was counted", mend=" or ".join(STYLES))
    home = as_key(key) if key is not None else _home(changes)
    chords: list[Chord] = []
    row: list[Heard] = []
    for chord, bar, strong in sounding:
        each = Heard(bar, strong, chord.root.pitch_class, kind_of(chord.semitones, style))
        if not row or (each.root, each.kind) != (row[-1].root, row[-1].kind):
            chords.append(chord)
            row.append(each)
    place, model = (home.tonic.pitch_class, home.mode), harmony_of(style)
    local, bits = model.local_keys(row, place), model.bits(row, place)
    found = (
        SurprisingChange(
            chords[n], row[n].bar + 1, bits[n - 1], _spelled(local[n], home),
            heard(row[n - 1 : n + 1], style),
        )
        for n in range(1, len(row))
    )  # fmt: skip
    whole = heard(row, style) if SHORTEST <= len(row) <= LONGEST else None
    return Surprise(tuple(found), bars, style, whole)


def _home(changes: Changes) -> Key:
    own = getattr(changes, "key", None)
    return own if isinstance(own, Key) else find_keys(changes)[0][0]


def _spelled(place: tuple[int, str], home: Key) -> Key:
    return Key(home.spell(place[0]), place[1]).readable()


def how_often(chords: str | Sequence[ChordLike]) -> Often:
    """Return how often two, three or four chords in a row were heard, in any key.

    Parameters
    ----------
    chords : str or sequence of chords
        ``"Dm7 G7 Cmaj7"``.

    Returns
    -------
    Often

    Raises
    ------
    HarmonyError
        If there are fewer than two chords or more than four, or one cannot be read.

    Examples
    --------
    >>> often = hk.how_often("Dm7 G7 Cmaj7")
    >>> often.style, often.tunes * 2 > often.of
    ('jazz', True)
    >>> print(hk.how_often("Cmaj7 F#m6"))
    heard in fewer than 3 of 606 jazz tunes
    """
    read = as_chords(chords)
    if not SHORTEST <= len(read) <= LONGEST:
        raise HarmonyError(
            f"{len(read)} chords", rule=f"rows of {SHORTEST} to {LONGEST} chords were counted",
            mend="Dm7 G7 Cmaj7",
        )  # fmt: skip
    style = style_of([each.semitones for each in read])
    row = [
        Heard(bar=0, strong=True, root=c.root.pitch_class, kind=kind_of(c.semitones, style))
        for c in read
    ]
    return heard(row, style)


def often_next(chord: ChordLike, count: int = 5) -> list[tuple[Chord, Often]]:
    """Return what was heard after a chord most, with how often.

    Roots are named round the chord's own, as a key on them would be written.

    Parameters
    ----------
    chord : Chord or str
        A chord or its symbol.
    count : int, optional
        How many, at most.

    Returns
    -------
    list of tuple of (Chord, Often)

    Examples
    --------
    >>> [str(after) for after, _ in hk.often_next("G7", 2)]
    ['Cmaj7', 'Cm7']
    """
    here, count = as_chord(chord), need_whole(count, "count", 0)
    style = style_of([here.semitones])
    home = Key(here.root, "major")
    found = []
    for step, kind, often in heard_next(kind_of(here.semitones, style), style)[:count]:
        root = home.spell((here.root.pitch_class + step) % 12)
        chord = Chord.build(root, BY_SUFFIX[_SUFFIXES[style].get(kind, kind)].degrees)
        mode = "minor" if 3 in chord.semitones else "major"
        found.append((Chord.build(Key(root, mode).readable().tonic, chord.degrees), often))
    return found
