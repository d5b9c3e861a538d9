"""An idiom: the row that it replaces, what stands there instead, where, and why."""

from __future__ import annotations

import re
from itertools import chain

from harmonykit.arrange.idioms.numeral import Choice, Numeral
from harmonykit.values import dataclass
from harmonykit.words.glossary import COMMON

LATE, EVEN, EARLY = "late", "even", "early"
TIMINGS = ("", LATE, EVEN, EARLY)
ENDING, PHRASE_END, SECTION_END = "ending", "phrase end", "section end"
AT_REST = "cadence"
BLUES_FOUR, BLUES_TEN, BLUES_TURN = "blues bar 4", "blues bar 10", "blues turnaround"
BLUES = {
    "blues bar 2": 2, BLUES_FOUR: 4, "blues bar 6": 6, "blues bar 8": 8, BLUES_TEN: 10,
    BLUES_TURN: 12,
}  # fmt: skip
"""The places in a blues, each with the bar of twelve in which what changes ends."""
PLACES = {
    "": "anywhere",
    ENDING: "at the last chord of the tune",
    PHRASE_END: "where a phrase ends inside a section, and its tonic was heard before",
    AT_REST: "on the chord with which a phrase, a section or the tune comes to rest",
    SECTION_END: "in the last bars of a section that repeats or leads into the next",
    "blues bar 2": "in bar 2 of a blues",
    BLUES_FOUR: "up to bar 4 of a blues",
    "blues bar 6": "in bar 6 of a blues",
    "blues bar 8": "in bar 8 of a blues",
    BLUES_TEN: "up to bar 10 of a blues",
    BLUES_TURN: "in the last two bars of a blues",
}
"""Where an idiom may stand, with what that means."""

FIELD = re.compile(r"\{(was )?(\d+)(?::([b#]*\d+))?\}")
"""What a reason names: ``{2}`` the second chord of the new row, ``{was 2}`` of the old one,
``{2:b7}`` a note of it."""


@dataclass(frozen=True, slots=True)
class Idiom:
    """What players write in place of a row of chords.

    Parameters
    ----------
    name : str
        As the trade calls it.
    means : str
        One line.
    before : tuple of Choice
        The row of the tune; empty for an idiom that is only found.
    after : tuple of tuple of Numeral
        For each chord of ``before`` what takes its time; one that is typed as in ``before``
        stays as it is written.
    stands : tuple of Choice
        The row by which it is found in a tune.
    any_key : bool
        Whether it holds in every key through which a tune passes.
    mode : {"", "major", "minor"}
        Of the key; empty for both.
    style : {"", "jazz", "plain"}
        Of the tune's chords.
    where : str
        Of ``PLACES``.
    timing : {"", "late", "even", "early"}
        How two chords share the time of one: the second late, even, or the first early; late where
        the first stays and nothing is said, else even.
    bars : int
        The least length of the first chord that changes, in bars; 0 for any.
    not_after : tuple of Choice
        Chords before the row that keep it out.
    bass : bool
        Whether the bass line makes it.
    prepared : bool
        Whether a note that comes early must sound in the chord before it.
    line : bool
        Whether one string alone moves, a fret at a time, while the others stay.
    reason : str
        One sentence without its full stop; see ``FIELD``.
    source : str
    layer : str
        Chords that a lead sheet would write are the skeleton.
    """

    name: str
    means: str
    before: tuple[Choice, ...] = ()
    after: tuple[tuple[Choice, ...], ...] = ()
    stands: tuple[Choice, ...] = ()
    any_key: bool = False
    mode: str = ""
    style: str = ""
    where: str = ""
    timing: str = ""
    bars: int = 0
    not_after: tuple[Choice, ...] = ()
    bass: bool = False
    prepared: bool = False
    line: bool = False
    reason: str = ""
    source: str = COMMON
    layer: str = "skeleton"

    @property
    def row(self) -> tuple[Choice, ...]:
        """What replaces ``before``, chord by chord."""
        return tuple(chain.from_iterable(self.after))

    def changes(self, place: int) -> bool:
        """Return whether a chord of ``before`` is changed.

        Parameters
        ----------
        place : int
            Its place in ``before``, from 0.

        Returns
        -------
        bool

        Examples
        --------
        >>> idiom = hk.arrange.IDIOMS["tritone ii–V"]
        >>> [idiom.changes(place) for place in range(len(idiom.before))]
        [True, True, False]
        """
        return [_texts(each) for each in self.after[place]] != [_texts(self.before[place])]

    @property
    def first(self) -> int:
        """The place in ``before`` of the first chord that changes."""
        return next(n for n in range(len(self.before)) if self.changes(n))

    @property
    def last(self) -> int:
        """The place in ``before`` of the last chord that changes."""
        return next(n for n in reversed(range(len(self.before))) if self.changes(n))

    def stays(self, choice: Choice, place: int) -> int | None:
        """Return the place in ``before`` of the chord that ``choice`` keeps.

        Parameters
        ----------
        choice : Choice
            A chord of ``after``.
        place : int
            From 0; where several are kept, the nearest to it is meant.

        Returns
        -------
        int or None
            From 0; ``None`` for a new chord.

        Examples
        --------
        >>> idiom = hk.arrange.IDIOMS["delayed tonic"]
        >>> [idiom.stays(choice, 0) for choice in idiom.row]
        [0, None, 1]
        """
        plain = tuple(each.above for each in choice)
        same = [n for n, each in enumerate(self.before) if _texts(each) == plain]
        return min(same, key=lambda n: abs(n - place)) if same else None

    def __str__(self) -> str:
        return self.name


def _texts(choice: Choice) -> tuple[str, ...]:
    return tuple(each.text for each in choice)


def written(choice: Choice) -> Numeral:
    """Return the numeral that is written out: a choice of a new row has one."""
    return choice[0]
