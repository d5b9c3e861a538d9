"""What the chords of a tune do, and its phrases with their cadences.

Each chord is told by ``rules``.  The *key* is given; it is doubted where the chords make it
improbable (``key_finding``).  A *cadence* stands at the end of four bars, counted in each section,
or of a section.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import lru_cache

from harmonykit.errors import wrong_kind
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_chords, as_key
from harmonykit.theory.key import Key
from harmonykit.tune.analysis import key_finding, rules
from harmonykit.tune.analysis.cadences import Cadence, find_cadences, phrase_cadences
from harmonykit.tune.analysis.numerals import Analysed, Chain, find_chains
from harmonykit.tune.tune import INTRO, Tune
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted


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
def chords_and_cadences(tune: Tune, key: Key) -> tuple[tuple[Analysed, ...], tuple[Cadence, ...]]:
    """Return what a search asks of a tune more than once: doubts of it are for readers alone."""
    chords = analyse_chords([change.chord for change in tune.changes], key)
    return chords, find_cadences(tune, _told(chords))


def _told(chords: Iterable[Analysed]) -> list[tuple[str, str, str]]:
    return [(each.numeral, each.function, each.goal) for each in chords]


@lru_cache(maxsize=32)
def _analysed(tune: Tune, key: Key | None) -> Analysis:
    changes = tune.changes
    home = key or tune.key
    chords, cadences = chords_and_cadences(tune, home)
    start = opening_of(tune)
    doubts = [
        f"bar {change.bar}, {change.chord.unicode}: {entry.doubt}"
        for change, entry in zip(changes, chords, strict=True)
        if entry.doubt and change.chord and change.onset >= start
    ]
    if key is None and any(change.chord for change in changes):
        found = key_finding.find_keys(tune)
        if _probability(home, found) < key_finding.IMPROBABLE:
            likely = key_finding.said_keys(found)
            said = f"the tune is marked {home.unicode}, but its chords suggest {likely}"
            doubts.insert(0, said)
    return Analysis(home, chords, find_chains(chords), cadences, tuple(dict.fromkeys(doubts)))


def opening_of(tune: Tune) -> Fraction:
    """Return where a tune itself begins, after an intro, in quarters from the start.

    Examples
    --------
    >>> opening_of(Tune.parse("| C | F | G7 | C |"))
    Fraction(0, 1)
    """
    return next((bar.onset for bar in tune.playing if bar.section != INTRO), Fraction(0))


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
    here = rules.InKey(row, as_key(key))
    return tuple(here.entry(index) for index in range(len(row)))


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase, in playing order.

    Parameters
    ----------
    first_bar, last_bar : int
        The bars with which it begins and ends, in playing order from 0.
    section : str
        The section in which it begins.
    onset, beats : Fraction
        Quarters from the start of the tune, and how long.
    cadence : str
        ``"authentic"``, ``"plagal"``, ``"half"`` or ``"deceptive"``, with the key where that is not
        the tune's own: ``"half in B♭ major"``; empty where none is heard.
    why : str
        Why it ends there: ``"the section ends"``, ``"a long note"``, ``"four bars"`` and so on.
    """

    first_bar: int
    last_bar: int
    section: str
    onset: Fraction
    beats: Fraction
    cadence: str = ""
    why: str = ""

    @property
    def end(self) -> Fraction:
        """Where it ends, in quarters from the start of the tune."""
        return self.onset + self.beats


def find_phrases(tune: Tune | str) -> tuple[Phrase, ...]:
    """Return the phrases of a tune, without a gap, as they are played.

    A section, and each round of a repeated part, begins a phrase.  Inside it a phrase has four
    bars, unless rests and long notes of the melody say otherwise, or ``phrases`` is set in the
    tune's file.

    Parameters
    ----------
    tune : Tune or str
        A tune, or its chords between bar lines: ``"| Dm7 | G7 | C6 |"``.

    Returns
    -------
    tuple of Phrase

    Raises
    ------
    HarmonyError
        If what was given is not a tune and cannot be read as one.

    Examples
    --------
    >>> found = hk.find_phrases("| C | F | Dm7 | G7 | C | F | G7 | C |")
    >>> [(phrase.first_bar, phrase.last_bar, phrase.cadence) for phrase in found]
    [(0, 3, 'half'), (4, 7, 'authentic')]
    """
    if isinstance(tune, str):
        tune = Tune.parse(tune)
    if not isinstance(tune, Tune):
        raise wrong_kind(tune, "a tune, or its chords between bar lines", '"| Dm7 | G7 | C6 |"')
    return _found(tune)


@lru_cache(maxsize=32)
def _found(tune: Tune) -> tuple[Phrase, ...]:
    told = _told(chords_and_cadences(tune, tune.key)[0])
    playing = tune.playing
    found = []
    for span, cadence in phrase_cadences(tune, told):
        first, last = playing[span.first], playing[span.last]
        beats = last.onset + last.bar.length - first.onset
        kind = "" if cadence is None else cadence.kind + cadence.where
        place = (span.first, span.last, first.section, first.onset, beats)
        found.append(Phrase(*place, cadence=kind, why=span.why))
    return tuple(found)


def said_phrases(tune: Tune) -> str:
    """Return a tune's phrases in words, by the numbers that bars have as they are played.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> print(said_phrases(read_tune(find_data("tunes", "slack_water_waltz"))))
    1–4, 5–8 half, 9–12 half, 13–16 authentic
    """
    numbers = tune.numbers
    said = []
    for phrase in find_phrases(tune):
        inside = numbers[phrase.first_bar : phrase.last_bar + 1]
        bare = [number for number, first in inside if first] or [inside[0][0]]
        bars = f"{bare[0]}–{bare[-1]}" if len(bare) > 1 else f"{bare[0]}"
        said.append(f"{bars} {phrase.cadence}".strip())
    return ", ".join(said)


def said_framing(tune: Tune) -> str:
    """Return in words which bars stand before a tune and after it; nothing where none do.

    Examples
    --------
    >>> said_framing(Tune.parse("| C | F | G7 | C |"))
    ''
    >>> said_framing(hk.arrange.framed("| C | F | G7 | C |", "last four bars", "tag"))
    'an intro of 4 bars before it and a tag of 3 bars after it'
    """
    intro, tag = tune.framing
    parts = [f"an intro of {counted(intro, 'bar')} before it"] if intro else []
    parts += [f"a tag of {counted(tag, 'bar')} after it"] if tag else []
    return " and ".join(parts)
