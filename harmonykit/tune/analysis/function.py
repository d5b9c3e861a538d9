"""What the chords of a tune do: numerals, functions, goals of dominants, ii-V chains, cadences.

Each chord is told by ``rules``.  The *key* is given; it is doubted where the chords make it
improbable (``key_finding``).  A *cadence* stands at the end of four bars, counted in each section,
or of a section.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from harmonykit.errors import wrong_kind
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_chords, as_key
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.cadences import Cadence, find_cadences
from harmonykit.tune.analysis.chains import Analysed, Chain, find_chains
from harmonykit.tune.analysis.key_finding import IMPROBABLE, find_keys, said_keys
from harmonykit.tune.analysis.rules import InKey
from harmonykit.tune.tune import Tune


@dataclass(frozen=True, slots=True)
class Analysis:
    """A tune's harmony: one entry for each change in playing order.

    Parameters
    ----------
    key : Key
    chords : tuple of Analysed
        One entry for each change in playing order.
    chains : tuple of Chain
        Rows of predominants and dominants.
    cadences : tuple of Cadence
        At the ends of phrases.
    doubts : tuple of str
        What could be heard in another way.
    """

    key: Key
    chords: tuple[Analysed, ...]
    chains: tuple[Chain, ...]
    cadences: tuple[Cadence, ...]
    doubts: tuple[str, ...]


def analyse(tune: Tune | str, key: KeyLike | None = None) -> Analysis:
    """Analyse a tune in its own key, or in another that is given.

    Parameters
    ----------
    tune : Tune or str
        A tune, or its chords between bar lines: ``"| Dm7 | G7 | C6 |"``.
    key : Key or str, optional
        The tune's own where not given.

    Returns
    -------
    Analysis

    Raises
    ------
    HarmonyError
        If what was given is not a tune and cannot be read as one.

    Examples
    --------
    >>> found = hk.analyse(hk.read_tune("heron_landing"))
    >>> [entry.numeral for entry in found.chords[:8]]
    ['I6', 'I6', 'ii7', 'ii7', 'V7', 'V7', 'I6', 'V7/IV']
    >>> found.cadences[0].kind, found.cadences[0].bar
    ('authentic', 7)
    """
    if isinstance(tune, str):
        tune = Tune.parse(tune)
    if not isinstance(tune, Tune):
        raise wrong_kind(tune, "a tune, or its chords between bar lines", '"| Dm7 | G7 | C6 |"')
    return _analysed(tune, None if key is None else as_key(key))


@lru_cache(maxsize=32)
def _analysed(tune: Tune, key: Key | None) -> Analysis:
    """Return what is asked more than once of a tune: by its phrases, its moves, its measures."""
    changes = tune.changes
    home = key or tune.key
    chords = analyse_chords([change.chord for change in changes], home)
    cadences = find_cadences(tune, [(c.numeral, c.function, c.goal) for c in chords])
    doubts = [
        f"bar {change.bar}, {change.chord.symbol}: {entry.doubt}"
        for change, entry in zip(changes, chords, strict=True)
        if entry.doubt and change.chord
    ]
    if key is None and any(change.chord for change in changes):
        found = find_keys(tune)
        if _probability(home, found) < IMPROBABLE:
            doubts.insert(
                0, f"the tune is marked {home}, but its chords suggest {said_keys(found)}"
            )
    return Analysis(home, chords, find_chains(chords), cadences, tuple(dict.fromkeys(doubts)))


def _probability(key: Key, found: Sequence[tuple[Key, float]]) -> float:
    here = (key.tonic.pitch_class, key.mode)
    return sum(p for each, p in found if (each.tonic.pitch_class, each.mode) == here)


def analyse_chords(chords: Iterable[ChordLike | None] | str, key: KeyLike) -> tuple[Analysed, ...]:
    """Analyse chords in a row; each is told by what follows it.

    Parameters
    ----------
    chords : iterable of Chord, str or None; or text
        In playing order; ``None`` where no chord sounds.  ``"Dm7 G7 C6"`` names three.
    key : Key or str

    Returns
    -------
    tuple of Analysed

    Examples
    --------
    >>> found = hk.tune.analyse_chords("Cmaj7 Em7b5 A7 Dm7 Db7 C6".split(), "C")
    >>> [entry.numeral for entry in found], found[1].function, found[1].goal
    (['Imaj7', 'iiø7/ii', 'V7/ii', 'ii7', 'subV7', 'I6'], 'predominant', 'ii')
    """
    if isinstance(chords, str) or not isinstance(chords, Iterable):
        row: list[Chord | None] = [*as_chords(chords)]
    else:
        row = [None if chord is None else as_chord(chord) for chord in chords]
    here = InKey(row, as_key(key))
    return tuple(here.entry(index) for index in range(len(row)))
