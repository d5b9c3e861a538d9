"""Where idioms stand already in a tune, or in any row of chords."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from harmonykit.arrange.idioms.idiom import ENDING, Idiom
from harmonykit.arrange.idioms.reading import IDIOMS
from harmonykit.arrange.idioms.stretches import tonics
from harmonykit.errors import wrong_kind
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import KeyLike, as_key
from harmonykit.theory.key import Key

Shown = tuple[Idiom, Key, int, int]
"""An idiom, the key of its row, and the indices of its first and last chord."""


@dataclass(frozen=True, slots=True)
class Standing:
    """An idiom that a tune has.

    Parameters
    ----------
    idiom : str
        Its name.
    key : Key
        The key of its row, which may be one through which the tune passes.
    first_bar, last_bar : int
        Written numbers of the bars in which its first and its last chord begin.
    chords : tuple of Chord

    Examples
    --------
    >>> found = hk.arrange.find_idioms("| C6 A7 | Dm7 G7 | C6 |")
    >>> [str(each) for each in found if each.idiom == "ii–V–I"]
    ['ii–V–I in C major, bars 2–3: Dm7 – G7 – C6']
    """

    idiom: str
    key: Key
    first_bar: int
    last_bar: int
    chords: tuple[Chord, ...]

    @property
    def bars(self) -> str:
        """The bars in words."""
        one = self.first_bar == self.last_bar
        return f"bar {self.first_bar}" if one else f"bars {self.first_bar}–{self.last_bar}"

    def __str__(self) -> str:
        row = " – ".join(chord.unicode for chord in self.chords)
        return f"{self.idiom} in {self.key.unicode}, {self.bars}: {row}"


def find_idioms(
    tune: TuneLike, key: KeyLike | None = None, idioms: Mapping[str, Idiom] | None = None
) -> tuple[Standing, ...]:
    """Return the idioms in a tune, in the order of their first chords.

    Parameters
    ----------
    tune : Tune, str or Path
        A tune, the name of one that ships, a file, or its text.
    key : Key or str, optional
        The tune's own where not given.
    idioms : mapping of str to Idiom, optional
        Those to look for, as ``read_idioms`` returns them; the shipped ones where not given.

    Returns
    -------
    tuple of Standing
        Each once, however often its bars are played.

    Raises
    ------
    HarmonyError
        If the tune or the key cannot be read.

    Examples
    --------
    >>> [each.idiom for each in hk.arrange.find_idioms("| Fm7 Bb7 | C6 |", key="C")]
    ['backdoor ii–V', 'backdoor']
    """
    tune = as_tune(tune)
    if idioms is not None and not (
        isinstance(idioms, Mapping) and all(isinstance(each, Idiom) for each in idioms.values())
    ):
        raise wrong_kind(idioms, "idioms by name", 'hk.arrange.read_idioms("idioms.toml")')
    home = tune.key if key is None else as_key(key)
    changes = [next(same) for _, same in groupby(tune.changes, key=lambda each: each.chord)]
    row = [change.chord for change in changes]
    found: dict[Standing, None] = {}
    for idiom, local, first, last in shown_in(
        row, home, (IDIOMS if idioms is None else idioms).values()
    ):
        chords = tuple(chord for chord in row[first : last + 1] if chord is not None)
        bars = changes[first].bar, changes[last].bar
        found[Standing(idiom.name, local, *bars, chords)] = None
    return tuple(found)


def shown_in(chords: Sequence[Chord | None], key: Key, idioms: Iterable[Idiom]) -> Iterator[Shown]:
    """Yield where idioms stand in a row of chords, none of which repeats the one before.

    Two places of one idiom share a chord at most: the last of one may be the first of the next.

    Examples
    --------
    >>> row = [Chord.parse(each) for each in "C6 Ebdim7 Dm7".split()]
    >>> found = shown_in(row, Key.parse("C"), IDIOMS.values())
    >>> [(idiom.name, first) for idiom, _, first, _ in found]
    [('descending diminished', 1)]
    """
    wanted = list(idioms)
    free = dict.fromkeys((idiom.name for idiom in wanted), 0)
    for first in range(len(chords)):
        for idiom in wanted:
            length = len(idiom.stands)
            if first < free[idiom.name] or first + length > len(chords):
                continue
            if idiom.where == ENDING and first + length < len(chords):
                continue
            if idiom.mode and not idiom.any_key and idiom.mode != key.mode:
                continue
            home = None if idiom.any_key else key
            for local in tonics(chords[first : first + length], idiom.stands, home):
                yield idiom, local, first, first + length - 1
                free[idiom.name] = first + max(length - 1, 1)
