"""Laws: what is counted of a set, so that its like among all 224 classes, and what is near, tell.

A law is a number that follows from the notes.  A finding about it is as rare as the classes with
the same number are few; its near miss is the nearest named chord where the number is another.
"""

from collections.abc import Callable
from functools import cache, lru_cache

from harmonykit.errors import attempt
from harmonykit.theory.chord import BY_SUFFIX, QUALITIES, Chord, PcSet
from harmonykit.theory.leading.voiceleading import distance
from harmonykit.theory.sets.setclass import set_classes
from harmonykit.values import dataclass
from harmonykit.words.numbers import plural

# The kinds that a class knows, and what a teacher calls them, one and many.
KINDS = {
    "": ("major triad", "major triads"),
    "m": ("minor triad", "minor triads"),
    "+": ("augmented triad", "augmented triads"),
    "mb5": ("diminished triad", "diminished triads"),
    "sus4": ("sus4 chord", "sus4 chords"),
    "7": ("dominant seventh", "dominant sevenths"),
    "m7": ("minor seventh chord", "minor seventh chords"),
    "m7b5": ("half-diminished seventh", "half-diminished sevenths"),
    "maj7": ("major seventh chord", "major seventh chords"),
    "6": ("sixth chord", "sixth chords"),
    "m6": ("minor sixth chord", "minor sixth chords"),
    "dim7": ("diminished seventh", "diminished sevenths"),
    "7b5": ("dominant seventh with a flat fifth", "dominant sevenths with a flat fifth"),
    "7#5": ("dominant seventh with a sharp fifth", "dominant sevenths with a sharp fifth"),
    "7sus4": ("7sus4 chord", "7sus4 chords"),
    "mmaj7": ("minor-major seventh chord", "minor-major seventh chords"),
}
# Words that a lesson may use for a kind beside those.
_ALSO = {
    "seventh with a flat fifth": "7b5",
    "sevenths with a flat fifth": "7b5",
    "seventh with a sharp fifth": "7#5",
    "sevenths with a sharp fifth": "7#5",
    "minor chord with a major seventh": "mmaj7",
    "minor chords with a major seventh": "mmaj7",
}
# Kinds of five notes or more, which the finder does not seek.
_LARGE = {"9": "ninth", "maj9": "major ninth", "m9": "minor ninth", "11": "eleventh",
          "m11": "minor eleventh", "13": "thirteenth"}  # fmt: skip
_FORM = dict[str, frozenset[int]]


@dataclass(frozen=True, slots=True)
class Law:
    """A number that follows from notes, and how it is said of a chord.

    Parameters
    ----------
    count : callable
        Of a set: a number.
    said : callable
        Of a chord's name and the number: a clause.
    """

    count: Callable[[PcSet], int]
    said: Callable[[str, int], str]


@cache
def sets_of(suffix: str) -> frozenset[int]:
    """Return the twelve transpositions of a kind of chord, as numbers of sets.

    Examples
    --------
    >>> len(sets_of("dim7")), len(sets_of("7")), len(sets_of("7b5"))
    (3, 12, 6)
    """
    pcs = Chord.of("C", suffix).pcs
    return frozenset(pcs.transpose(n).mask for n in range(12))


@cache
def named_sets() -> frozenset[int]:
    """Return the sets that have a name in the table of qualities, as numbers.

    Examples
    --------
    >>> PcSet.of(0, 4, 7).mask in named_sets(), PcSet.of(0, 1, 2).mask in named_sets()
    (True, False)
    """
    return frozenset().union(*(sets_of(quality.suffix) for quality in QUALITIES))


@cache
def usual_sets() -> frozenset[int]:
    """Return the sets of the usual kinds of chord, as numbers.

    Examples
    --------
    >>> PcSet.of(0, 4, 7, 9).mask in usual_sets()
    True
    """
    return frozenset().union(*map(sets_of, KINDS))


def rarity(law: Law, pcs: PcSet) -> int:
    """Return of how many of the 224 set classes a law gives the same number as of some notes.

    A class counts where a member or its inversion does.

    Examples
    --------
    >>> rarity(Law(lambda pcs: len(pcs), lambda name, count: ""), PcSet.of(0, 4, 8))
    12
    """
    own = law.count(pcs)
    found = 0
    for each in set_classes():
        prime = PcSet.of(*each.prime_form)
        found += own in (law.count(prime), law.count(prime.invert()))
    return found


def near_miss(law: Law, pcs: PcSet) -> str:
    """Return what a law says of the nearest chord of a usual kind where it gives another number.

    Examples
    --------
    >>> law = Law(lambda pcs: pcs.symmetry[0], lambda name, count: f"{name} {count}")
    >>> near_miss(law, PcSet.of(0, 3, 6, 9))
    'C7 1'
    """
    own = law.count(pcs)
    for chord in _kinds_by_distance(pcs):
        other = law.count(chord.pcs)
        if other != own:
            return law.said(chord.unicode, other)
    return ""


@lru_cache(maxsize=64)
def _kinds_by_distance(pcs: PcSet) -> tuple[Chord, ...]:
    """Return chords of the usual kinds and as many notes on their nearest roots, nearest first."""
    found = []
    for place, suffix in enumerate(KINDS):
        chord = Chord.of("C", suffix)
        if len(chord.degrees) == len(pcs) and suffix in BY_SUFFIX:
            near = min(distance(pcs, chord.pcs.transpose(n)) for n in range(12))
            found.append((near, place, chord))
    return tuple(chord for _, _, chord in sorted(found, key=lambda row: row[:2]))


def called(suffix: str, count: int) -> str:
    """Return what a kind of chord is called, one or many.

    Examples
    --------
    >>> called("7", 1), called("7", 4), called("13", 2)
    ('dominant seventh', 'dominant sevenths', 'thirteenth chords')
    """
    if suffix in KINDS:
        return KINDS[suffix][0 if count == 1 else 1]
    if suffix in _LARGE:
        return f"{_LARGE[suffix]} {plural(count, 'chord')}"
    printed = Chord.parse(f"C{suffix}").unicode.removeprefix("C")
    return f"{printed} {plural(count, 'chord')}"


def one_called(suffix: str) -> str:
    """Return what one chord of a kind is called, with its article.

    Examples
    --------
    >>> one_called("7"), one_called("+")
    ('a dominant seventh', 'an augmented triad')
    """
    name = called(suffix, 1)
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def kind_of(words: str) -> str | None:
    """Return the suffix of a kind of chord that is told by its name or suffix; ``None`` if unknown.

    Examples
    --------
    >>> [kind_of(words) for words in ("minor triads", "aug", "13", "Am7", "#5")]
    ['m', '+', '13', None, None]
    >>> [kind_of(words) for words in ("sevenths with a flat fifth", "7b5")]
    ['7b5', '7b5']
    """
    if words in _ALSO:
        return _ALSO[words]
    for suffix, names in KINDS.items():
        if words in names:
            return suffix
    chord = attempt(Chord.parse, f"C{words}")
    if chord is None or chord.root != chord.bass or chord.root.name != "C":
        return None
    return chord.quality if chord.quality in BY_SUFFIX else None


def spelled(chord: Chord) -> str:
    """Return the notes of a chord in a row.

    Examples
    --------
    >>> spelled(Chord.parse("Bb7"))
    'B♭ D F A♭'
    """
    return " ".join(note.unicode for note in chord.tones)
