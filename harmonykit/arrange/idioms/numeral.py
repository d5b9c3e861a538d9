"""The numerals of an idiom's rows: which chords of a tune they take, and which chord they write.

Conventions.  Roots are degrees of the major scale on the tonic in both modes (``bVI``, ``#iv``).
Capitals have a major third, small letters a minor one; ``o7`` is diminished, ``ø7`` half
diminished, figures are those of chord symbols (``V7b9``, ``i(maj7)``), 53 for the triad alone.
Behind a stroke stands the bass, a degree of the key (``I/3``, ``IV/1``), behind a colon the share
of time (``I:2``).

Without figures a numeral takes every chord of its third that is at rest: ``I`` the triad, sixth and
major seventh, not I7; ``ii`` every minor chord with a perfect fifth; ``V`` the dominant, too.
Written out it follows the tune: a triad where chords are plain, else I6, i6 and iv6, V7, and a
major or minor seventh chord on other degrees.
"""

from __future__ import annotations

import re
from functools import cache

from harmonykit.errors import HarmonyError
from harmonykit.evidence.kinds import JAZZ, kind_of
from harmonykit.theory.chord import Chord, Degree, Note
from harmonykit.theory.spelling import chart_name
from harmonykit.theory.symbols.quality import BY_SUFFIX
from harmonykit.tune.analysis.numerals import ROMAN
from harmonykit.values import dataclass

MOST_SHARE = 64
TRIAD = "53"
"""The figures of a triad in root position."""
_NUMERAL = re.compile(r"([b#]{0,2})([IViv]+)(6/9|ø7?|[^/:ivIV]*)(?:/([b#]?[1-7]))?(?::(\d+))?")
_AT_REST = {True: frozenset({"m", "m7", "m6", "mmaj7"}), False: frozenset({"6", "maj7"})}
_DOMINANT = frozenset({"7", "sus"})
_FIFTH, _SEVENTH = 5, 7


@dataclass(frozen=True, slots=True)
class Numeral:
    """A chord of a row, told from the tonic.

    Parameters
    ----------
    text : str
        As it was typed, without its share of time.
    degree : Degree
        Of the root.
    small : bool
        Whether its third is minor.
    suffix : str or None
        Of the table of qualities; ``None`` for what the tune's style has.
    bass : Degree or None
        Of the key.
    share : int
        Of its group's time; 0 where none is given.

    Examples
    --------
    >>> one = Numeral.parse("#ivo7:2")
    >>> one.degree.name, one.suffix, one.share, one.text
    ('#4', 'dim7', 2, '#ivo7')
    >>> sorted(Numeral.parse("I").kinds), sorted(Numeral.parse("bVI7").kinds)
    (['6', 'maj7'], ['7'])
    """

    text: str
    degree: Degree
    small: bool
    suffix: str | None = None
    bass: Degree | None = None
    share: int = 0

    @classmethod
    def parse(cls, text: str) -> Numeral:
        """Read a numeral.

        Raises
        ------
        HarmonyError
            If it cannot be read.
        """
        found = _NUMERAL.fullmatch(text)
        roman = found[2].upper() if found else ""
        if found is None or roman not in ROMAN or found[2] not in (roman, roman.lower()):
            raise HarmonyError(
                f"{text!r} is not a Roman numeral",
                rule="a degree, then figures as in chord symbols; "
                "/3 for a bass, :2 for a share of time",
                mend="ii7, bVI7, #ivo7, I/5 or I:2",
            )
        small = found[2].islower()
        degree = Degree(ROMAN.index(roman) + 1, found[1].count("#") - found[1].count("b"))
        bass = Degree.parse(found[4]) if found[4] else None
        share = int(found[5] or 0)
        if share > MOST_SHARE or found[5] == "0":
            raise HarmonyError(
                f"{text!r}: the share {share} is out of range", rule=f"from 1 to {MOST_SHARE}"
            )
        name = text.partition(":")[0]
        return cls(name, degree, small, _suffix(found[3], text, small=small), bass, share)

    @property
    def above(self) -> str:
        """Its text without the bass."""
        return self.text if self.bass is None else self.text.rpartition("/")[0]

    @property
    def exact(self) -> bool:
        """Whether it has tensions, and so takes chords with these alone."""
        return self.suffix is not None and _has_tensions(self.suffix)

    @property
    def kinds(self) -> frozenset[str]:
        """The kinds of chord that it takes, as they are counted; see ``evidence.kinds``."""
        return _kinds(self.suffix, fifth=self.degree == Degree(_FIFTH), small=self.small)

    def takes(self, root: int, kind: str, tonic: int) -> bool:
        """Return whether it stands for a chord of a root and a kind, from a tonic."""
        return (root - tonic - self.degree.pitch_class) % 12 == 0 and kind in self.kinds

    def tonic_of(self, root: int) -> int:
        """Return the tonic from which it has a root."""
        return (root - self.degree.pitch_class) % 12

    def chord(self, tonic: Note, *, plain: bool) -> Chord:
        """Return its chord in a key, in triads where chords are plain.

        Examples
        --------
        >>> d = Note.parse("D")
        >>> [Numeral.parse(each).chord(d, plain=False).symbol for each in "I ii #io7 I/5".split()]
        ['D6', 'Em7', 'D#dim7', 'D6/A']
        """
        quality, root = self._written(plain=plain), self.degree.over(tonic)
        # A diminished seventh keeps the letter that says where it leads.
        own = quality == "dim7" or self.degree.name.isdecimal()
        return self.over(Chord.of(root.plain() if own else chart_name(root), quality), tonic)

    def over(self, chord: Chord, tonic: Note) -> Chord:
        """Return a chord over its bass, where it has one."""
        return chord if self.bass is None else chord.over(self.bass.over(tonic).plain())

    def _written(self, *, plain: bool) -> str:
        if self.suffix is not None:
            return self.suffix
        if plain:
            return "m" if self.small else ""
        if self.small and self.degree in (Degree(1), Degree(4)):
            return "m6"
        if self.degree == Degree(1):
            return "6"
        if self.small:
            return "m7"
        return "7" if self.degree == Degree(_FIFTH) else "maj7"


@cache
def _kinds(suffix: str | None, *, fifth: bool, small: bool) -> frozenset[str]:
    if suffix is not None:
        return frozenset({kind_of([each.pitch_class for each in BY_SUFFIX[suffix].degrees], JAZZ)})
    return _AT_REST[small] | (_DOMINANT if fifth and not small else frozenset())


@cache
def _has_tensions(suffix: str) -> bool:
    return any(degree.number > _SEVENTH for degree in BY_SUFFIX[suffix].degrees)


@cache
def counted_kind(semitones: tuple[int, ...]) -> str:
    """Return the kind of chord that semitones above a root are counted as."""
    return kind_of(semitones, JAZZ)


def _suffix(figures: str, text: str, *, small: bool) -> str | None:
    """Return what figures come to; ``None`` where there are none."""
    if not figures:
        return None
    plain = figures.removeprefix("(").removesuffix(")")
    found = {"o7": "dim7", "ø7": "m7b5", "ø": "m7b5", "o": "mb5"}.get(figures)
    if figures == TRIAD:
        plain, found = "", None
    if found is None or not small:
        found = f"m{plain}" if small else plain
    if found not in BY_SUFFIX:
        raise HarmonyError(
            f"{text!r}: {figures!r} is not a chord suffix",
            rule="figures as in chord symbols; o7 and ø7 after a lower-case numeral",
            mend="V7, i(maj7), iiø7 or #ivo7",
        )
    return found


Choice = tuple[Numeral, ...]
"""Numerals of which any will do."""


def parse_choice(text: str) -> Choice:
    """Read numerals between strokes (``"i|I"``), any of which will do.

    Examples
    --------
    >>> [each.suffix for each in parse_choice("ii7|iiø7")]
    ['m7', 'm7b5']
    """
    return tuple(map(Numeral.parse, text.split("|")))


def text_of(choice: Choice) -> str:
    """Return a choice as it was typed."""
    return "|".join(each.text for each in choice)
