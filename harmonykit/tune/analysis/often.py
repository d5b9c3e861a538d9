"""How often rows of two to four chords were heard, in any key, and what followed a chord most.

Chords are reduced to the kinds that were counted (``evidence.kinds``).  Rows with a bass that is
not a tone of its chord were not counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from harmonykit.errors import HarmonyError, need_whole
from harmonykit.evidence.heard import LONGEST, SHORTEST, Often, heard, heard_next
from harmonykit.evidence.kinds import JAZZ, PLAIN, kind_of, style_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, as_chord, as_chords
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.theory.symbols.quality import BY_SUFFIX
from harmonykit.tune.analysis.key_finding import hear

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
            f"{len(read)} {'chord' if len(read) == 1 else 'chords'}",
            rule=f"rows of {SHORTEST} to {LONGEST} chords were counted",
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
    """Return what was heard after a chord most, with how often.

    Counted as ``how_often`` counts: kinds are lumped, and C13 is told as C7.  Roots are named round
    the chord's own, as a key on them would be written.

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
    home, counted, found = Key(here.root, "major"), counted_as(here, style), []
    for step, kind, often in heard_next(kind_of(here.semitones, style), style)[:count]:
        root = home.spell((here.root.pitch_class + step) % 12)
        after = _of_kind(root, kind, style)
        mode = "minor" if 3 in after.semitones else "major"
        after = Chord.build(Key(root, mode).readable().tonic, after.degrees)
        said = "" if counted == here else f"{counted.unicode} {after.unicode}"
        found.append((after, replace(often, counted_as=said)))
    return found
