"""How surprising changes of chords are, in bits.

Bits are -log2 of the probability of a change after what came before, as counted in jazz tunes or,
where half of the chords have neither sixth nor seventh, in popular songs: 0 bits is certain, 1 bit
an even chance, and each further bit is half as likely.  A tune as it is written has about 3.5 bits
a change.  Chords are reduced to the kinds that were counted (``evidence.kinds``); a chord that only
says the one before again is no change.
"""

from __future__ import annotations

from dataclasses import dataclass

from harmonykit.errors import HarmonyError
from harmonykit.evidence.harmony import harmony_of
from harmonykit.evidence.heard import LONGEST, SHORTEST, Often
from harmonykit.evidence.keys import changing
from harmonykit.evidence.kinds import STYLES, style_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import KeyLike, as_key
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import Changes, find_keys, hear, place_chords
from harmonykit.tune.analysis.often import often_of
from harmonykit.tune.bar import TuneError

# Bits a change of tunes as written, left out of the counts: see "Evidence" in DEVELOPERS.md.
AS_WRITTEN = 3.5
_MOST_TOLD = 12


@dataclass(frozen=True, slots=True)
class SurprisingChange:
    """A change of chord: to which, in which bar as played (from 1), how surprising, how usual.

    ``key`` is the local key in which it stands; ``often`` says of the chord before it and this one
    how often they were heard; ``index`` counts the chords from 0, silences left out.
    """

    chord: Chord
    bar: int
    bits: float
    key: Key
    often: Often
    index: int

    def __str__(self) -> str:
        told = f"bar {self.bar}: {self.chord.unicode}, {self.bits:.1f} bits, in {self.key.unicode}"
        return f"{told}; {self.often}"


@dataclass(frozen=True, slots=True, repr=False)
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

    Examples
    --------
    >>> found = hk.surprise("Dm7 G7 C6", key="C")
    >>> len(found.changes), found.bars, round(found.mean, 1), found.unheard
    (2, 3, 1.1, 0)
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
        return sum(not each.often.tunes and not each.often.uncounted for each in self.changes)

    @property
    def words(self) -> str:
        """A sentence: bits per change, beside the usual, and what stands out.

        Examples
        --------
        >>> hk.surprise("Dm7 G7 C6", "C").words
        '1.1 bits per change (a tune as written has about 3.5); heard 542 times, in 228 of 606 jazz tunes'
        """  # noqa: E501
        told = f"{self.mean:.1f} bits per change (a tune as written has about {AS_WRITTEN})"
        if self.often is not None:
            return f"{told}; {self.often}"
        if not self.changes:
            return told
        most = max(self.changes, key=lambda change: change.bits)
        where = f"{most.chord.unicode} in bar {most.bar} as played"
        after = f"after the chord before it {most.often}"
        return f"{told}; most at {where}: {most.bits:.1f} bits, {after}"

    def __str__(self) -> str:
        """Return the mean, and each change in a line; of many the most surprising ones.

        Examples
        --------
        >>> print(hk.surprise("Dm7 G7 C6", "C"))
        1.1 bits per change, 0.7 a bar (jazz)
        bar 2: G7, 0.3 bits, in C major; heard 4,103 times, in 503 of 606 jazz tunes
        bar 3: C6, 2.0 bits, in C major; heard 851 times, in 283 of 606 jazz tunes
        """
        lines = [f"{self.mean:.1f} bits per change, {self.a_bar:.1f} a bar ({self.style})"]
        most = sorted(self.changes, key=lambda change: -change.bits)[:_MOST_TOLD]
        lines += map(str, sorted(most, key=lambda change: change.index))
        if more := len(self.changes) - len(most):
            lines.append(f"and {more} less surprising ones")
        return "\n".join(lines)

    def __repr__(self) -> str:
        return f"<surprise: {self.mean:.1f} bits per change, {self.a_bar:.1f} a bar>"


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
        raise TuneError("the row has no chord", mend="C6 A7 Dm7 G7")
    style = style or style_of([chord.semitones for chord, _, _ in sounding])
    if style not in STYLES:
        raise HarmonyError(f"{style!r} is not a style that was counted", mend=" or ".join(STYLES))
    home = as_key(key) if key is not None else _home(changes)
    every = [hear(chord, style, bar, strong=strong) for chord, bar, strong in sounding]
    kept = changing(every)
    chords, row = [sounding[n][0] for n in kept], [every[n] for n in kept]
    local, bits = harmony_of(style).follow(row, (home.tonic.pitch_class, home.mode))
    found = (
        SurprisingChange(
            chords[n], row[n].bar + 1, bits[n - 1], _spelled(local[n], home),
            often_of(chords[n - 1 : n + 1], style), kept[n],
        )
        for n in range(1, len(row))
    )  # fmt: skip
    whole = often_of(chords, style) if SHORTEST <= len(row) <= LONGEST else None
    return Surprise(tuple(found), bars, style, whole)


def _home(changes: Changes) -> Key:
    own = getattr(changes, "key", None)
    return own if isinstance(own, Key) else find_keys(changes)[0][0]


def _spelled(place: tuple[int, str], home: Key) -> Key:
    return Key(home.spell(place[0]), place[1]).readable()
