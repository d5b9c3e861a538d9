"""The rules by which each chord of a row is told: by what follows it, seen from a key.

They are our own (common practice of jazz, no source but those named):

- A *dominant* is a chord with major third and minor seventh, its suspended form, or a major triad
  that is not in the key.  It is the dominant of the root a fifth below.  Where another root comes,
  it is still called by its goal, with a doubt.  In its ♭9 chord without the root it goes on.  With
  its root a semitone above what follows it is the tritone substitute of that goal's dominant.  A
  diminished chord is no goal, unless the chord that it decorates follows it.
- A *diminished* chord is the leading-tone chord of the root a semitone above one of its notes; but
  it is not called a dominant where it falls a semitone or shares the root of what follows.  Beside
  a dominant whose ♭9 chord without the root it is, it does what that dominant does.
- A minor seventh or half-diminished chord a fifth above a dominant is the *predominant* of the same
  goal, and a link of a *chain* with it.
- Tonic, predominant and dominant of the key itself are named where they are plain: I; ii and IV on
  the way to a dominant; V and vii.  Elsewhere the function is empty.
"""

from collections.abc import Sequence

from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.key import Key, falls_a_fifth, root_fall
from harmonykit.tune.analysis import numerals
from harmonykit.tune.analysis.key_finding import is_tonic, key_pcs
from harmonykit.tune.analysis.numerals import Analysed

_NO_GOAL = "does not resolve"


class InKey:
    """Chords in a row, seen from a key."""

    def __init__(self, chords: Sequence[Chord | None], key: Key) -> None:
        self.chords = chords
        self.key = key
        self.pcs = key_pcs(key)
        self.blues = is_blues(chords)

    def entry(self, index: int) -> Analysed:
        """Return what the chord at a place does."""
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
        """Return the semitones of a note above the tonic."""
        return (root.pitch_class - self.key.tonic.pitch_class) % 12

    def inside(self, chord: Chord) -> bool:
        """Whether the key has all notes of a chord."""
        return set(chord.pcs) <= self.pcs

    def _is_dominant(self, chord: Chord) -> bool:
        if numerals.may_be_dominant(chord):
            return True
        above = set(chord.semitones)
        triad = 4 in above and not above & {3, 9, 11} and (7 in above or 8 in above)
        return triad and not self.inside(chord)

    def _dominant(self, index: int, chord: Chord, after: Chord | None) -> Analysed | None:
        if not self._is_dominant(chord):
            return None
        spot = index
        while after is not None and _holds(chord, after):
            spot = self._spot(spot, after)
            after = self.after(spot)
        place = self.above(chord.root)
        down = None if after is None else root_fall(chord, after)
        if place == 7 and down != 1:
            return Analysed(chord, numerals.numeral_of(chord, self.key), numerals.DOMINANT)
        if place == 0 and self.blues:
            return Analysed(chord, numerals.numeral_of(chord, self.key), numerals.TONIC)
        if after is not None and down == 7 and self._leads(chord, after):
            goal = numerals.name_of_goal(after.root, self.key, after)
            return self._to(chord, "V", goal)
        falls = after is not None and down == 1 and self._may_be_goal(index, after)
        if after is not None and falls and not self.inside(chord) and 10 in chord.semitones:
            goal = (
                ""
                if self.above(after.root) == 0
                else numerals.name_of_goal(after.root, self.key, after)
            )
            return self._to(chord, "subV", goal)
        if 10 not in chord.semitones:
            return None
        return self._unresolved(index, chord, after)

    def _may_be_goal(self, index: int, after: Chord) -> bool:
        """Return whether a chord can be rested on, or decorates one on its own root."""
        above = set(after.semitones)
        diminished = {3, 6} <= above and not above & {4, 10}
        return not diminished or self._stays(self._spot(index, after), after)

    def _leads(self, chord: Chord, after: Chord) -> bool:
        """Return whether a chord a fifth above the next is its dominant: a triad needs a goal."""
        return 10 in chord.semitones or numerals.is_own_degree(after.root, self.key)

    def _unresolved(self, index: int, chord: Chord, after: Chord | None) -> Analysed:
        """Name a dominant that does not go down a fifth or a semitone."""
        place, numeral = self.above(chord.root), numerals.numeral_of(chord, self.key)
        if place == 0:
            return Analysed(chord, numeral, numerals.TONIC, doubt="a seventh that does not resolve")
        if place == 5:
            return Analysed(chord, numeral, doubt="" if self._blue(after) else _NO_GOAL)
        if place == 10 and after is not None and is_tonic(after, self.key):
            # The backdoor: its third and seventh fall into the tonic chord.
            return Analysed(chord, numeral, numerals.DOMINANT)
        goal = Note.from_fifths(chord.root.fifths - 1)
        if self.inside(chord) or not numerals.is_own_degree(goal, self.key):
            return Analysed(chord, numeral, doubt=_NO_GOAL)
        name = numerals.name_of_goal(goal, self.key)
        if after is None and index + 1 == len(self.chords):
            return self._to(chord, "V", name, "nothing follows it")
        goes = "nothing" if after is None else after.unicode
        return self._to(
            chord, "V", name, f"{goes} follows where {numerals.printed_numeral(name)} was expected"
        )

    def _blue(self, after: Chord | None) -> bool:
        return after is not None and self.above(after.root) in (0, 7)

    def _to(self, chord: Chord, kind: str, goal: str, doubt: str = "") -> Analysed:
        numeral = kind.replace("V", numerals.with_kind("V", chord)) + (f"/{goal}" if goal else "")
        return Analysed(chord, numeral, numerals.DOMINANT, goal, doubt)

    def _diminished(self, index: int, chord: Chord, after: Chord | None) -> Analysed | None:
        above = set(chord.semitones)
        if not {3, 6} <= above or 4 in above:
            return None
        if self._pairs(chord, after):
            return None
        numeral, seventh = numerals.numeral_of(chord, self.key), chord.is_diminished_seventh
        if seventh and self._stays(index, chord):
            return Analysed(chord, numeral)
        if after is None:
            return self._unled(chord, after)
        goal = self._goal_root(after)
        rises = (goal.pitch_class - chord.root.pitch_class) % 12 == 1
        if rises and (seventh or 10 not in above or self.above(chord.root) == 11):
            return self._leading(chord, goal, after)
        if seventh and (goal.pitch_class in chord.pcs or after.root.pitch_class in chord.pcs):
            return Analysed(chord, numeral)
        if seventh and root_fall(chord, after) == 1:
            return Analysed(chord, numeral)
        if seventh and (goal.pitch_class - 1) % 12 in chord.pcs:
            return self._leading(chord, goal, after)
        if (whole := self._part_of(index, chord)) is not None:
            return Analysed(chord, numeral, whole.function, whole.goal)
        return None if 10 in above and self._is_second(chord) else self._unled(chord, after)

    def _is_second(self, chord: Chord) -> bool:
        return self.above(chord.root) == 2

    def _unled(self, chord: Chord, after: Chord | None) -> Analysed:
        """Name a diminished chord that leads nowhere; a half-diminished one may fall a fifth."""
        numeral = numerals.numeral_of(chord, self.key)
        if after is not None and 10 in chord.semitones and falls_a_fifth(chord, after):
            return Analysed(chord, numeral)
        own = self.above(chord.root) == 11
        return Analysed(
            chord, numeral, numerals.DOMINANT if own else "", doubt="" if own else _NO_GOAL
        )

    def _part_of(self, index: int, chord: Chord) -> Analysed | None:
        """Return what the dominant beside a ♭9 chord without its root does, if there is one."""
        beside = (place for place in (index + 1, index - 1) if 0 <= place < len(self.chords))
        for place in beside:
            dominant = self.chords[place]
            if dominant is not None and dominant.is_dominant and _without_root(dominant, chord):
                return self.entry(place)
        return None

    def _stays(self, index: int, chord: Chord) -> bool:
        """Return whether another chord on the root follows: the diminished one decorates it."""
        following = next((c for c in self.chords[index + 1 :] if c != chord), None)
        return following is not None and following.root.pitch_class == chord.root.pitch_class

    def _goal_root(self, after: Chord) -> Note:
        """Return what a leading-tone chord leads to: the bass of a tonic chord over its fifth."""
        six_four = is_tonic(after, self.key) and self.above(after.bass) == 7
        return after.bass if six_four else after.root

    def _leading(self, chord: Chord, goal: Note, after: Chord) -> Analysed:
        kind = numerals.with_kind("VII", chord)
        if self.above(goal) == 0:
            return Analysed(chord, kind, numerals.DOMINANT)
        name = numerals.name_of_goal(goal, self.key, after if goal == after.root else None)
        return Analysed(chord, f"{kind}/{name}", numerals.DOMINANT, name)

    def _pairs(self, chord: Chord, after: Chord | None) -> bool:
        """Return whether a chord is the ii of the dominant that follows."""
        if after is None or not numerals.is_minor_like(chord) or chord.is_diminished_seventh:
            return False
        return falls_a_fifth(chord, after) and numerals.may_be_dominant(after)

    def _predominant(self, index: int, chord: Chord, after: Chord | None) -> Analysed | None:
        if after is None or not self._pairs(chord, after):
            return None
        dominant = self.entry(self._spot(index, after))
        if dominant.function != numerals.DOMINANT or not dominant.goal:
            return None
        if is_tonic(chord, self.key) and self.inside(chord) and not index:
            return None
        if self.inside(chord):
            return Analysed(
                chord, numerals.numeral_of(chord, self.key), numerals.PREDOMINANT, dominant.goal
            )
        numeral = f"{numerals.with_kind('II', chord)}/{dominant.goal}"
        return Analysed(chord, numeral, numerals.PREDOMINANT, dominant.goal)

    def _own(self, index: int, chord: Chord, after: Chord | None) -> Analysed:
        """Name a chord by its place in the key."""
        place, numeral = self.above(chord.root), numerals.numeral_of(chord, self.key)
        if is_tonic(chord, self.key) or (place == 0 and {0, 3, 7} <= set(chord.semitones)):
            six_four = self.above(chord.bass) == 7 and after is not None
            waits = six_four and after is not None and self.above(after.root) == 7
            return Analysed(chord, numeral, numerals.DOMINANT if waits else numerals.TONIC)
        if place == 7:
            return Analysed(chord, numeral, numerals.DOMINANT if 4 in chord.semitones else "")
        if place in (1, 2, 5) and self._goes_on(index, after):
            return Analysed(chord, numeral, numerals.PREDOMINANT)
        if place == 9 and self._deceives(index):
            return Analysed(chord, numeral, numerals.TONIC)
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
        if place == 10 and numerals.may_be_dominant(after):
            home = self.after(self._spot(index, after))
            return home is not None and is_tonic(home, self.key)
        six_four = is_tonic(after, self.key) and self.above(after.bass) == 7
        leading = place == 11 and {3, 6} <= above
        substitute = place == 1 and numerals.may_be_dominant(after)
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


def _holds(dominant: Chord, chord: Chord) -> bool:
    """Return whether a dominant goes on: in a chord on its root, or as its ♭9 chord without it."""
    return _without_root(dominant, chord) or chord.root.pitch_class == dominant.root.pitch_class


def _without_root(dominant: Chord, chord: Chord) -> bool:
    """Return whether a chord is the ♭9 chord of a dominant without its root."""
    return {(pc - dominant.root.pitch_class) % 12 for pc in chord.pcs} == {1, 4, 7, 10}


def is_blues(chords: Sequence[Chord | None]) -> bool:
    """Return whether most chords are sevenths with a major third, as in a blues."""
    heard = [chord for chord in chords if chord is not None]
    return sum(chord.is_dominant for chord in heard) * 2 > len(heard)
