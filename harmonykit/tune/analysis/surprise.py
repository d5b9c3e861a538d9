"""How often changes of chords were heard, and how surprising they are, in bits.

What was heard is rows of two to four chords, in any key.  Chords are reduced to the kinds that were
counted (``evidence.kinds``); rows with a bass that is not a tone of its chord were not counted.

Bits are -log2 of the probability of a change after what came before, as counted in jazz tunes or,
where half of the chords have neither sixth nor seventh, in popular songs: 0 bits is certain, 1 bit
an even chance, and each further bit is half as likely.  A tune as it is written has about 3.5 bits
a change.  A chord that only says the one before again is no change.
"""

from __future__ import annotations

from collections.abc import Sequence

from harmonykit.errors import HarmonyError, need_whole
from harmonykit.evidence import harmony, keys
from harmonykit.evidence.heard import LONGEST, SHORTEST, Often, heard, heard_next
from harmonykit.evidence.kinds import JAZZ, PLAIN, STYLES, kind_of, style_of
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_chords, as_key
from harmonykit.theory.key import Key
from harmonykit.theory.naming import root_beside
from harmonykit.theory.symbols.quality import BY_SUFFIX
from harmonykit.tune.analysis.key_finding import Changes, find_keys, hear, place_chords
from harmonykit.tune.bar import TuneError
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted

# What a kind is written as, where it is not its own suffix.
_SUFFIXES = {
    JAZZ: {"sus": "7sus4"},
    PLAIN: {"maj": "", "min": "m", "sus": "sus4", "dim": "mb5", "aug": "+"},
}


def how_often(chords: str | Sequence[ChordLike]) -> Often:
    """Return how often two, three or four chords in a row were heard, in any key.

    Counted in 606 tunes of the Jazz Harmony Treebank; where half of the chords have neither
    sixth nor seventh, in the popular songs of the McGill Billboard annotations.  Kinds are lumped:
    in jazz C9 and C13 are C7, C is C6, C9sus4 is C7sus4; in popular songs Cm7 is Cm.  An inversion
    is its chord.  A chord over a bass that is not one of its tones was not counted.

    Parameters
    ----------
    chords : str or sequence of chords
        ``"Dm7 G7 Cmaj7"``.

    Returns
    -------
    Often
        ``times``, ``tunes``, ``of``, ``style``; ``counted_as``, where that is not what was asked
        for; ``uncounted``, the reason why nothing was counted.

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
    >>> print(hk.how_often("C13 Fmaj7").counted_as)
    C7 Fmaj7
    >>> print(hk.how_often("Gm7/C F"))
    not counted: the bass of Gm7/C is not one of its tones
    """
    read = as_chords(chords)
    if not SHORTEST <= len(read) <= LONGEST:
        raise HarmonyError(
            counted(len(read), "chord"),
            rule=f"progressions of {SHORTEST} to {LONGEST} chords were counted",
            mend="Dm7 G7 Cmaj7",
        )  # fmt: skip
    return often_of(read, style_of([each.semitones for each in read]))


def counted_as(chord: Chord, style: str) -> Chord:
    """Return the chord that a chord is counted as: its kind on its root, without a bass.

    Examples
    --------
    >>> [str(counted_as(Chord.parse(each), "jazz")) for each in ("C13", "C", "Cm7/Eb", "Csus4")]
    ['C7', 'C6', 'Cm7', 'C7sus4']
    """
    return _of_kind(chord.root, kind_of(chord.semitones, style), style)


def why_uncounted(chords: Sequence[Chord]) -> str:
    """Return why a row of chords was not counted; empty where it was.

    Examples
    --------
    >>> why_uncounted([Chord.parse("C/D")]), why_uncounted([Chord.parse("C/E")])
    ('the bass of C/D is not one of its tones', '')
    """
    odd = next((each for each in chords if each.foreign_bass is not None), None)
    return "" if odd is None else f"the bass of {odd.unicode} is not one of its tones"


def _of_kind(root: Note, kind: str, style: str) -> Chord:
    return Chord.build(root, BY_SUFFIX[_SUFFIXES[style].get(kind, kind)].degrees)


def often_of(chords: Sequence[Chord], style: str) -> Often:
    """Return how often a row was heard, with what it was counted as, or why it was not."""
    found = heard([hear(each, style) for each in chords], style)
    why = why_uncounted(chords)
    if why:
        return replace(found, times=0, tunes=0, uncounted=why)
    counted = [counted_as(each, style) for each in chords]
    said = "" if counted == [*chords] else " ".join(each.unicode for each in counted)
    return replace(found, counted_as=said)


def often_next(chord: ChordLike, count: int = 5) -> list[tuple[Chord, Often]]:
    """Return the chords heard most often after a chord, with how often.

    Counted as ``how_often`` counts: kinds are lumped, and C13 is told as C7.  Roots are named so
    that the notes in common with the chord keep their names.

    Parameters
    ----------
    chord : Chord or str
        A chord or its symbol.
    count : int, optional
        How many, at most.

    Returns
    -------
    list of tuple of (Chord, Often)
        Empty where the bass is not a tone of the chord: such chords were not counted.

    Examples
    --------
    >>> [str(after) for after, _ in hk.often_next("G7", 2)]
    ['Cmaj7', 'Cm7']
    >>> hk.often_next("Gm7/C")
    []
    """
    here, count = as_chord(chord), need_whole(count, "count", 0)
    if why_uncounted([here]):
        return []
    style = style_of([here.semitones])
    counted, found = counted_as(here, style), []
    for step, kind, often in heard_next(kind_of(here.semitones, style), style)[:count]:
        pc, degrees = (here.root.pitch_class + step) % 12, _of_kind(here.root, kind, style).degrees
        after = Chord.build(root_beside(here, pc, degrees), degrees)
        said = "" if counted == here else f"{counted.unicode} {after.unicode}"
        found.append((after, replace(often, counted_as=said)))
    return found


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
        '1.1 bits per change (a tune as written has about 3.5); the whole row was heard 542 times, in 228 of 606 jazz tunes'
        """  # noqa: E501
        told = f"{self.mean:.1f} bits per change (a tune as written has about {AS_WRITTEN})"
        if self.often is not None:
            return f"{told}; the whole row was {self.often}"
        if not self.changes:
            return told
        most = max(self.changes, key=lambda change: change.bits)
        where = f"{most.chord.unicode} in bar {most.bar} as played"
        after = f"from the chord before: {most.often}"
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
        raise TuneError("the progression has no chords", mend="C6 A7 Dm7 G7")
    style = style or style_of([chord.semitones for chord, _, _ in sounding])
    if style not in STYLES:
        raise HarmonyError(f"{style!r} is not a known style of tunes", mend=" or ".join(STYLES))
    home = as_key(key) if key is not None else _home(changes)
    every = [hear(chord, style, bar, strong=strong) for chord, bar, strong in sounding]
    kept = keys.changing(every)
    chords, row = [sounding[n][0] for n in kept], [every[n] for n in kept]
    local, bits = harmony.harmony_of(style).follow(row, (home.tonic.pitch_class, home.mode))
    numbers = getattr(changes, "numbers", ())  # a tune's, which count no pick-up
    found = (
        SurprisingChange(
            chords[n], numbers[row[n].bar][0] if numbers else row[n].bar + 1, bits[n - 1],
            _spelled(local[n], home),
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
