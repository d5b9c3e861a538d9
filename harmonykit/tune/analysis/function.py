"""What the chords of a tune do: numerals, functions, goals of dominants, ii-V chains, cadences.

The rules are our own, applied to one chord and what follows it (common practice of jazz, no
source but those named):

- The *key* is given; it is doubted where the chords make it improbable (``key_finding``).
- A *dominant* is a chord with major third and minor seventh, its suspended form, or a major triad
  that is not in the key.  It is the dominant of the root a fifth below.  Where another root comes,
  it is still called by its goal, with a doubt.  With its root a semitone above what follows it is
  the tritone substitute of that goal's dominant.
- A *diminished* chord is the leading-tone chord of the root a semitone above one of its notes; but
  it is not called a dominant where it falls a semitone or shares the root of what follows.
- A minor seventh or half-diminished chord a fifth above a dominant is the *predominant* of the same
  goal, and a link of a *chain* with it.
- Tonic, predominant and dominant of the key itself are named where they are plain: I; ii and IV on
  the way to a dominant; V and vii.  Elsewhere the function is empty.
- A *cadence* stands at the end of four bars, counted in each section, or of a section.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from harmonykit.errors import wrong_kind
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_chords, as_key
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.tune.analysis.cadences import Cadence, find_cadences
from harmonykit.tune.analysis.chains import (
    DOMINANT,
    PREDOMINANT,
    TONIC,
    Analysed,
    Chain,
    find_chains,
    is_minor_like,
    may_be_dominant,
)
from harmonykit.tune.analysis.key_finding import IMPROBABLE, find_keys, is_tonic, key_pcs, said_keys
from harmonykit.tune.analysis.numerals import (
    is_own_degree,
    name_of_goal,
    numeral_of,
    with_kind,
)
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
    changes = tune.changes
    home = tune.key if key is None else as_key(key)
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
            doubts.insert(0, f"the tune says {home}, but its chords say {said_keys(found)}")
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
    view = _View(row, as_key(key))
    return tuple(view.entry(index) for index in range(len(row)))


class _View:
    """Chords in a row, seen from a key."""

    def __init__(self, chords: Sequence[Chord | None], key: Key) -> None:
        self.chords = chords
        self.key = key
        self.pcs = key_pcs(key)
        self.blues = is_blues(chords)

    def entry(self, index: int) -> Analysed:
        chord = self.chords[index]
        if chord is None:
            return Analysed(None, "")
        after = self.after(index)
        for rule in (self._dominant, self._diminished, self._predominant):
            if found := rule(index, chord, after):
                return found
        return self._own(index, chord, after)

    def after(self, index: int) -> Chord | None:
        """Return the next chord on another root; one that stays is still the same harmony."""
        here = self.chords[index]
        for chord in self.chords[index + 1 :]:
            if chord is None:
                return None
            if here is None or chord.root.pitch_class != here.root.pitch_class:
                return chord
        return None

    def above(self, root: Note) -> int:
        return (root.pitch_class - self.key.tonic.pitch_class) % 12

    def inside(self, chord: Chord) -> bool:
        return set(chord.pcs) <= self.pcs

    def _is_dominant(self, chord: Chord) -> bool:
        if may_be_dominant(chord):
            return True
        above = set(chord.semitones)
        triad = 4 in above and not above & {3, 9, 11} and (7 in above or 8 in above)
        return triad and not self.inside(chord)

    def _dominant(self, index: int, chord: Chord, after: Chord | None) -> Analysed | None:
        if not self._is_dominant(chord):
            return None
        root, place = chord.root, self.above(chord.root)
        down = None if after is None else (root.pitch_class - after.root.pitch_class) % 12
        if place == 7 and down != 1:
            return Analysed(chord, numeral_of(chord, self.key), DOMINANT)
        if place == 0 and self.blues:
            return Analysed(chord, numeral_of(chord, self.key), TONIC)
        if after is not None and down == 7 and self._leads(chord, after):
            goal = name_of_goal(after.root, self.key, after)
            return self._to(chord, "V", goal)
        if after is not None and down == 1 and not self.inside(chord) and 10 in chord.semitones:
            goal = "" if self.above(after.root) == 0 else name_of_goal(after.root, self.key, after)
            return self._to(chord, "subV", goal)
        if 10 not in chord.semitones:
            return None
        return self._unresolved(index, chord, after)

    def _leads(self, chord: Chord, after: Chord) -> bool:
        """Return whether a chord a fifth above the next is its dominant: a triad needs a goal."""
        return 10 in chord.semitones or is_own_degree(after.root, self.key)

    def _unresolved(self, index: int, chord: Chord, after: Chord | None) -> Analysed:
        """Name a dominant that does not go down a fifth or a semitone."""
        place, numeral = self.above(chord.root), numeral_of(chord, self.key)
        if place == 0:
            return Analysed(chord, numeral, TONIC, doubt="a seventh that leads nowhere")
        if place == 5:
            return Analysed(
                chord, numeral, doubt="" if self._blue(after) else "leads nowhere plain"
            )
        if place == 10 and after is not None and is_tonic(after, self.key):
            # The backdoor: its third and seventh fall into the tonic chord.
            return Analysed(chord, numeral, DOMINANT)
        goal = Note.from_fifths(chord.root.fifths - 1)
        if self.inside(chord) or not is_own_degree(goal, self.key):
            return Analysed(chord, numeral, doubt=_NO_GOAL)
        name = name_of_goal(goal, self.key)
        if after is None and index + 1 == len(self.chords):
            return self._to(chord, "V", name, "nothing follows it")
        goes = "nothing" if after is None else after.symbol
        return self._to(chord, "V", name, f"{goes} follows where {name} was due")

    def _blue(self, after: Chord | None) -> bool:
        return after is not None and self.above(after.root) in (0, 7)

    def _to(self, chord: Chord, kind: str, goal: str, doubt: str = "") -> Analysed:
        numeral = kind.replace("V", with_kind("V", chord)) + (f"/{goal}" if goal else "")
        return Analysed(chord, numeral, DOMINANT, goal, doubt)

    def _diminished(self, index: int, chord: Chord, after: Chord | None) -> Analysed | None:
        above = set(chord.semitones)
        if not {3, 6} <= above or 4 in above:
            return None
        if self._pairs(chord, after):
            return None
        numeral, seventh = numeral_of(chord, self.key), chord.is_diminished_seventh
        if seventh and self._stays(index, chord):
            return Analysed(chord, numeral)
        if after is None:
            own = self.above(chord.root) == 11
            return Analysed(chord, numeral, DOMINANT if own else "", doubt="" if own else _NO_GOAL)
        goal = self._goal_root(after)
        rises = (goal.pitch_class - chord.root.pitch_class) % 12 == 1
        if rises and (seventh or 10 not in above or self.above(chord.root) == 11):
            return self._leading(chord, goal, after)
        if seventh and (goal.pitch_class in chord.pcs or after.root.pitch_class in chord.pcs):
            return Analysed(chord, numeral)
        if seventh and (chord.root.pitch_class - after.root.pitch_class) % 12 == 1:
            return Analysed(chord, numeral)
        if seventh and (goal.pitch_class - 1) % 12 in chord.pcs:
            return self._leading(chord, goal, after)
        if 10 in above and self.above(chord.root) == 2:
            return None
        own = self.above(chord.root) == 11
        return Analysed(chord, numeral, DOMINANT if own else "", doubt="" if own else _NO_GOAL)

    def _stays(self, index: int, chord: Chord) -> bool:
        """Return whether another chord on the root follows: the diminished one decorates it."""
        following = next((c for c in self.chords[index + 1 :] if c != chord), None)
        return following is not None and following.root.pitch_class == chord.root.pitch_class

    def _goal_root(self, after: Chord) -> Note:
        """Return what a leading-tone chord leads to: the bass of a tonic chord over its fifth."""
        six_four = is_tonic(after, self.key) and self.above(after.bass) == 7
        return after.bass if six_four else after.root

    def _leading(self, chord: Chord, goal: Note, after: Chord) -> Analysed:
        kind = with_kind("VII", chord)
        if self.above(goal) == 0:
            return Analysed(chord, kind, DOMINANT)
        name = name_of_goal(goal, self.key, after if goal == after.root else None)
        return Analysed(chord, f"{kind}/{name}", DOMINANT, name)

    def _pairs(self, chord: Chord, after: Chord | None) -> bool:
        """Return whether a chord is the ii of the dominant that follows."""
        if after is None or not is_minor_like(chord) or chord.is_diminished_seventh:
            return False
        fifth = (chord.root.pitch_class - after.root.pitch_class) % 12 == 7
        return fifth and may_be_dominant(after)

    def _predominant(self, index: int, chord: Chord, after: Chord | None) -> Analysed | None:
        if after is None or not self._pairs(chord, after):
            return None
        dominant = self.entry(self._spot(index, after))
        if dominant.function != DOMINANT or not dominant.goal:
            return None
        if is_tonic(chord, self.key) and self.inside(chord) and not index:
            return None
        if self.inside(chord):
            return Analysed(chord, numeral_of(chord, self.key), PREDOMINANT, dominant.goal)
        numeral = f"{with_kind('II', chord)}/{dominant.goal}"
        return Analysed(chord, numeral, PREDOMINANT, dominant.goal)

    def _own(self, index: int, chord: Chord, after: Chord | None) -> Analysed:
        """Name a chord by its place in the key."""
        place, numeral = self.above(chord.root), numeral_of(chord, self.key)
        if is_tonic(chord, self.key) or (place == 0 and {0, 3, 7} <= set(chord.semitones)):
            six_four = self.above(chord.bass) == 7 and after is not None
            waits = six_four and after is not None and self.above(after.root) == 7
            return Analysed(chord, numeral, DOMINANT if waits else TONIC)
        if place == 7:
            return Analysed(chord, numeral, DOMINANT if 4 in chord.semitones else "")
        if place in (1, 2, 5) and self._goes_on(index, after):
            return Analysed(chord, numeral, PREDOMINANT)
        if place == 9 and self._deceives(index):
            return Analysed(chord, numeral, TONIC)
        doubt = "" if self.inside(chord) or self._borrowed(chord) else "outside the key"
        return Analysed(chord, numeral, doubt=doubt)

    def _goes_on(self, index: int, after: Chord | None, steps: int = 3) -> bool:
        """Return whether a dominant of the key follows, or another predominant on the way to it."""
        if after is None or not steps:
            return False
        if self._prepared(index, after):
            return True
        if self.above(after.root) not in (1, 2, 5, 6):
            return False
        spot = self._spot(index, after)
        return self._goes_on(spot, self.after(spot), steps - 1)

    def _prepared(self, index: int, after: Chord) -> bool:
        """Return whether a chord is what predominants prepare: V, vii, I over V, the backdoor."""
        place, above = self.above(after.root), set(after.semitones)
        if place == 10 and may_be_dominant(after):
            home = self.after(self._spot(index, after))
            return home is not None and is_tonic(home, self.key)
        six_four = is_tonic(after, self.key) and self.above(after.bass) == 7
        leading = place == 11 and {3, 6} <= above
        substitute = place == 1 and may_be_dominant(after)
        return (place == 7 and 3 not in above) or leading or six_four or substitute

    def _spot(self, index: int, after: Chord) -> int:
        """Return where the chord stands that follows an index."""
        return next(n for n in range(index + 1, len(self.chords)) if self.chords[n] is after)

    def _deceives(self, index: int) -> bool:
        before = self.chords[index - 1] if index else None
        return before is not None and self.above(before.root) == 7 and 4 in before.semitones

    def _borrowed(self, chord: Chord) -> bool:
        """Return whether the other mode on the same tonic has the chord."""
        other = Key(self.key.tonic, "minor" if self.key.mode == "major" else "major")
        return set(chord.pcs) <= key_pcs(other)


_NO_GOAL = "leads nowhere plain"


def is_blues(chords: Sequence[Chord | None]) -> bool:
    """Return whether most chords are sevenths with a major third, as in a blues."""
    heard = [chord for chord in chords if chord is not None]
    return sum(chord.is_dominant for chord in heard) * 2 > len(heard)
