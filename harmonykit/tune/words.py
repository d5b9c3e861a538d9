"""Words under a melody: syllables at notes, in verses.

A syllable says whether the word goes on behind it and came from before it.  A note over which the
syllable before is held has a syllable of its own that is ``held`` and has no text; a note without
words has none.  A note that only carries on a tied one needs no word.
"""

from collections.abc import Iterable, Sequence

from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass, replace

PLACES = ("single", "begin", "middle", "end", "held")
MOST_VERSES = 32


@dataclass(frozen=True, slots=True)
class Syllable:
    """A syllable at a note.

    Parameters
    ----------
    text : str
        As printed, without hyphens between syllables; words that share a note with blanks between.
    place : {"single", "begin", "middle", "end", "held"}
        Where in its word it stands; ``"held"`` where the syllable before sounds on.
    verse : int in 1..32

    Examples
    --------
    >>> Syllable("har", "begin").goes_on, Syllable("bour", "end").goes_on
    (True, False)
    """

    text: str
    place: str = "single"
    verse: int = 1

    def __post_init__(self) -> None:
        if self.place not in PLACES:
            raise HarmonyError(
                f"unknown place of a syllable {self.place!r}", rule=", ".join(PLACES)
            )
        if not 1 <= self.verse <= MOST_VERSES:
            raise HarmonyError(f"a verse {self.verse}", rule=f"verses 1 to {MOST_VERSES}")
        if (self.place == "held") == bool(self.text) or self.text != plain(self.text):
            raise HarmonyError(
                f"a syllable {self.text!r}",
                rule="printed text with single spaces; a held syllable has none",
            )

    @property
    def goes_on(self) -> bool:
        """Whether the word has another syllable."""
        return self.place in ("begin", "middle")


def plain(text: str) -> str:
    """Return text with single blanks, and without what is not printed."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def under_bar(lyric: Iterable[str]) -> tuple[Syllable, ...]:
    """Return the words of a bar that has no melody as one syllable of each verse.

    Examples
    --------
    >>> [(one.text, one.verse) for one in under_bar(("the kite is up", "", "the wind"))]
    [('the kite is up', 1), ('the wind', 3)]
    """
    return tuple(Syllable(text, verse=verse) for verse, text in enumerate(lyric, 1) if text)


def with_verse(lyric: Sequence[str], verse: int, text: str) -> tuple[str, ...]:
    """Return the words of a bar that has no melody with more of a verse, from 1.

    Examples
    --------
    >>> with_verse(("row", ""), 1, " to "), with_verse(("row to",), 3, "home")
    (('row to', ''), ('row to', '', 'home'))
    """
    verses = [*lyric, *[""] * (verse - len(lyric))]
    verses[verse - 1] = plain(f"{verses[verse - 1]} {text}")
    return tuple(verses)


def place_of(*, opened: bool, goes_on: bool) -> str:
    """Return where in its word a syllable stands, by the one before and by itself."""
    if opened:
        return "middle" if goes_on else "end"
    return "begin" if goes_on else "single"


def in_verses(words: Iterable[Syllable], verses: tuple[int, ...]) -> tuple[Syllable, ...]:
    """Return the syllables of some verses, which are numbered anew from 1."""
    rank = {verse: place for place, verse in enumerate(verses, 1)}
    return tuple(replace(one, verse=rank[one.verse]) for one in words if one.verse in rank)


def verses_sung(time: int, times: int, verses: int, here: set[int]) -> tuple[int, ...]:
    """Return the verses that are sung in a pass.

    The first verse is sung in the first pass, the second in the second, and so on (ABC standard
    2.1, 5.2).  What is played more often than there are verses starts again with the first; where
    there are more verses than passes, all of them are sung in as many rounds.

    Parameters
    ----------
    time, times : int
        Which pass, and of how many.
    verses : int
        How many verses the repeated part has.
    here : set of int
        The verses that stand in the bar; one alone is for every pass.

    Examples
    --------
    >>> [verses_sung(time, 4, 3, {1, 2, 3}) for time in (1, 2, 3, 4)]
    [(1,), (2,), (3,), (1,)]
    >>> [verses_sung(time, 2, 4, {1, 2, 3, 4}) for time in (1, 2)]
    [(1, 3), (2, 4)]
    """
    again = (time - 1) % max(verses, 1) + 1
    sung = tuple(range(time, verses + 1, times)) if verses > times else (again,)
    return tuple(here) if len(here) == 1 and not here.intersection(sung) else sung
