"""What the ear hears in an arrangement, found in its notes: what a script says before the fingers.

Conventions.  A note goes where its string goes: what is said of it, a string does.  A leading tone
rises a half step, from letter to letter, to the root of the next chord; it is told of chords that
resolve.  A tritone resolves where its notes move by a step each, one up and one down, to notes of
the next chord (common practice, no source).  A chord without a shape is taken by its notes alone:
each goes by a half step before a whole one, downwards where both are as near.
"""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import pairwise

from harmonykit.arrange import arrangement, written
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.leading.staircase import voice_pairs
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass

_TRITONE, _FIFTH, _STEP, _DOWN = 6, 7, 2, 11


@dataclass(frozen=True, slots=True)
class Moment:
    """An added chord, or else the dominant of a tune as written, between its neighbours.

    Parameters
    ----------
    before, step, after : Step
    first, last : int
        The bars of its loop, in playing order from 0: those of the chord and of the next one.
    bars : tuple of int
        Their numbers as players count.
    opens : bool
        Whether it begins the first of them: then the chord before it is not heard in the loop.
    """

    before: arrangement.Step | None
    step: arrangement.Step
    after: arrangement.Step
    first: int
    last: int
    bars: tuple[int, int]
    opens: bool

    @property
    def chords(self) -> tuple[Chord | None, Chord | None]:
        """Its chord and the next one."""
        return self.step.chord, self.after.chord

    @property
    def loop(self) -> str:
        """The bars of the loop, in words."""
        first, last = self.bars
        return f"bars {first} and {last}" if first != last else f"bar {first}"


def moments(way: arrangement.Arrangement) -> tuple[Moment, ...]:
    """Return the moments of an arrangement, each pair of chords once, in playing order.

    Their bars have the numbers of the sheet.
    Those of added chords; where none is added, of dominants whose leading tone rises.
    """
    found: dict[tuple[Chord, Chord], Moment] = {}
    numbers = written.printed_numbers(way)
    steps = [step for step in way.steps if step.chord is not None]
    for index, (step, after) in enumerate(pairwise(steps)):
        if step.chord is None or after.chord is None or step.chord == after.chord:
            continue
        if step.added or (not way.added and _dominant(step.chord, after.chord)):
            before = steps[index - 1] if index else None
            last = after.bar if after.bar > step.bar else min(step.bar + 1, len(numbers) - 1)
            bars = numbers[step.bar][0], numbers[last][0]
            opens = step.onset <= way.tune.playing[step.bar].onset
            one = Moment(before, step, after, step.bar, last, bars, opens)
            found.setdefault((step.chord, after.chord), one)
    return tuple(found.values())


def _dominant(chord: Chord, after: Chord) -> bool:
    return leading_tone(chord, after) is not None and tritone(chord, after) is not None


def main_moment(way: arrangement.Arrangement) -> Moment | None:
    """Return the moment that tells most: the first with a leading tone, else the first of all."""
    found = moments(way)
    led = (one for one in found if _led(one))
    return next(led, found[0] if found else None)


def _led(moment: Moment) -> bool:
    return rising(moment) is not None


def rising(moment: Moment) -> tuple[Note, Note] | None:
    """Return the leading tone and its goal where a chord resolves and both sound in the shapes.

    A chord that holds a tritone resolves where that does, any other where its root falls a fifth.
    """
    chord, after = moment.chords
    led = leading_tone(chord, after) if chord and after else None
    if not (chord and after and led) or led[0].pitch_class in after.pcs:
        return None
    falls = (chord.root.pitch_class - after.root.pitch_class) % 12 == _FIFTH
    ways = string_ways(moment)
    heard = ways is None or (led[0].pitch_class, 1) in {
        (low % 12, high - low) for low, high in ways
    }
    return led if heard and (falls or tritone(chord, after) is not None) else None


Ways = frozenset[tuple[int, int]]


def string_ways(moment: Moment) -> Ways | None:
    """Return which pitch goes to which on a string, and by the least way; None without shapes."""
    one, other = moment.step.voicing, moment.after.voicing
    if one is None or other is None:
        return None
    near = voice_pairs(moment.step.sounds, moment.after.sounds)
    pairs = set(zip(one.midi, other.midi, strict=True))
    return frozenset(pair for pair in near if pair in pairs)


def rising_said(moment: Moment) -> str:
    """Say which note rises to the next root; empty where none does."""
    led, chord, after = rising(moment), *moment.chords
    if led is None or chord is None or after is None:
        return ""
    return (
        f"{led[0].unicode} of {chord.unicode} rises a half step to {led[1].unicode}, "
        f"the root of {after.unicode}: the leading tone."
    )


def leading_tone(chord: Chord, after: Chord) -> tuple[Note, Note] | None:
    """Return the note that rises a half step to the next root, and that root; None without one.

    Two chords of one root have none: the major seventh over a root that stays may as well fall.

    Examples
    --------
    >>> [str(note) for note in leading_tone(Chord.parse("D7"), Chord.parse("Gm")) or ()]
    ['F#', 'G']
    >>> leading_tone(Chord.parse("C"), Chord.parse("G")) is None
    True
    >>> leading_tone(Chord.parse("Am(maj7)"), Chord.parse("Am7")) is None
    True
    """
    root = after.root
    if chord.root.pitch_class == root.pitch_class:
        return None
    for note in chord.notes:
        if (root.pitch_class - note.pitch_class) % 12 == 1 and note.letter != root.letter:
            return note, root
    return None


_Resolved = tuple[tuple[Note, Note], tuple[Note, Note]]


def tritone(chord: Chord, after: Chord, ways: Ways | None = None) -> _Resolved | None:
    """Return two notes a tritone apart, each with the note of the next chord to which it steps.

    Of the notes of both chords, or as the ``ways`` of strings have it: then one that resolves, else
    one that moves to another tritone.

    Examples
    --------
    >>> found = tritone(Chord.parse("G7"), Chord.parse("C"))
    >>> [[str(note) for note in pair] for pair in found or ()]
    [['B', 'C'], ['F', 'E']]
    """
    left = [note for note in chord.notes if note.pitch_class not in after.pcs]
    found = []
    for low in left:
        for high in left:
            if _up(low, high) != _TRITONE:
                continue
            goal, other = _step_to(low, after, ways), _step_to(high, after, ways)
            if goal and other and goal != other:
                found.append(((low, goal), (high, other)))
    if ways is None:
        return next(iter(found), None)
    return next(filter(_resolves, found), None) or next(filter(_again, found), None)


def _resolves(pair: _Resolved) -> bool:
    """Whether one note rises and the other falls, to no tritone."""
    one, other = (_up(*each) <= _STEP for each in pair)
    return one != other and not _again(pair)


def _again(pair: _Resolved) -> bool:
    (_, goal), (_, other) = pair
    return _up(goal, other) == _TRITONE


def _up(note: Note, goal: Note) -> int:
    return (goal.pitch_class - note.pitch_class) % 12


def _step_to(note: Note, after: Chord, ways: Ways | None) -> Note | None:
    """Return the nearest note within a whole step; of two the root above, else the lower one."""
    near = [
        (min(up, 12 - up), not (up == 1 and goal == after.root), up <= _STEP, goal)
        for goal in after.notes
        if min(up := _up(note, goal), 12 - up) in range(1, _STEP + 1) and _has(ways, note, up)
    ]
    return min(near, key=lambda one: one[:3])[3] if near else None


def _has(ways: Ways | None, note: Note, up: int) -> bool:
    """Whether a string takes a note so many semitones up, or as many less than an octave down."""
    by = up if up <= _STEP else up - 12
    return ways is None or any(
        low % 12 == note.pitch_class and high - low == by for low, high in ways
    )


def said_of(moment: Moment) -> Iterator[str]:
    """Yield what the ear hears at a moment, a sentence each: leading tone, tritone, top line."""
    chord, after = moment.step.chord, moment.after.chord
    if chord is None or after is None:
        return
    ways = string_ways(moment)
    if told := rising_said(moment) or _root_said(moment, chord, after, ways):
        yield told
    if told := _tritone_said(chord, after, ways) or _together(moment):
        yield told
    line = list(top_line(moment))
    if len(set(line)) > 1:
        yield f"The highest notes go {' – '.join(line)}."
    elif line:
        yield f"The highest note stays on {line[0]}."


def _root_said(moment: Moment, chord: Chord, after: Chord, ways: Ways | None) -> str:
    """Say that the root falls a half step, that one note moves alone, or that the root stays."""
    root, end = chord.root, after.root
    if _up(root, end) == _DOWN and _has(ways, root, _DOWN):
        falls = f"The root {root.unicode} falls a half step to {end.unicode}"
        return f"{falls}, the root of {after.unicode}."
    alone = _one_moves(chord, after)
    if alone is not None and _has(ways, alone[0], _up(*alone)) and _stays(moment, alone[0]):
        return f"Only one note moves: {_goes(*alone)}."
    if root.pitch_class != end.pitch_class:
        return ""
    stays = _has(ways, root, 0)
    return f"The root {root.unicode} stays." if stays else f"Both have the root {root.unicode}."


def _tritone_said(chord: Chord, after: Chord, ways: Ways | None) -> str:
    pair = tritone(chord, after, ways)
    if pair is None:
        return ""
    (low, _), (high, _) = pair
    goes = ", ".join(_goes(*each) for each in pair)
    said = "moves to another" if _again(pair) else "resolves"
    return f"The tritone {low.unicode} and {high.unicode} {said}: {goes}."


def _one_moves(chord: Chord, after: Chord) -> tuple[Note, Note] | None:
    """Return the note that moves by a step, and its goal, where all others stay."""
    left = [n for n in chord.notes if n.pitch_class not in {m.pitch_class for m in after.notes}]
    new = [n for n in after.notes if n.pitch_class not in {m.pitch_class for m in chord.notes}]
    if len(left) != 1 or len(new) != 1:
        return None
    up = (new[0].pitch_class - left[0].pitch_class) % 12
    return (left[0], new[0]) if min(up, 12 - up) <= _STEP else None


def _together(moment: Moment) -> str:
    """Say that all strings rise or fall, where the same ones sound in both shapes."""
    one, other = moment.step.voicing, moment.after.voicing
    if one is None or other is None:
        return ""
    pairs = [pair for pair in zip(one.frets, other.frets, strict=True) if pair != (None, None)]
    moves = [high - low for low, high in pairs if low is not None and high is not None]
    if len(moves) < len(pairs) or not (all(m > 0 for m in moves) or all(m < 0 for m in moves)):
        return ""
    return f"All strings {'rise' if moves[0] > 0 else 'fall'}."


def _stays(moment: Moment, but: Note) -> bool:
    """Whether all strings stay but those that have one note; true without shapes."""
    one, other = moment.step.voicing, moment.after.voicing
    if one is None or other is None:
        return True
    pairs = zip(one.midi, other.midi, strict=True)
    return all(low == high or (low or 0) % 12 == but.pitch_class for low, high in pairs)


def top_line(moment: Moment) -> Iterator[str]:
    """Yield the highest note of each shape that is heard in the loop, as its chord spells it."""
    before = None if moment.opens else moment.before
    for step in (before, moment.step, moment.after):
        if step is not None and step.chord is not None and step.voicing is not None:
            shape = step.voicing
            pairs = zip(shape.midi, shape.spelled(step.chord), strict=True)
            yield next(
                note.at(None).plain().unicode for midi, note in pairs if note and midi == shape.top
            )


def _goes(note: Note, goal: Note) -> str:
    return f"{note.unicode} {'rises' if _up(note, goal) <= _STEP else 'falls'} to {goal.unicode}"


def sung_leads(tune: Tune) -> set[tuple[int, Fraction]]:
    """Return where a leading tone is sung that rises to the root of the next chord.

    Each by the number of its written bar and its place there.
    """
    placed = [
        (place.bar.number, note.at, place.onset + note.at, note)
        for place in tune.playing
        for note in place.bar.melody
    ]
    changes = [change for change in tune.changes if change.chord is not None]
    found = set()
    for (number, at, onset, note), (_, _, later, goal) in pairwise(placed):
        here = next((c.chord for c in changes if c.onset <= onset < c.onset + c.beats), None)
        there = next((c.chord for c in changes if c.onset <= later < c.onset + c.beats), None)
        pair = leading_tone(here, there) if here and there and here != there else None
        up = goal.note.midi - note.note.midi == 1
        if pair is not None and up and pair[0].pitch_class == note.note.pitch_class:
            found.add((number, at))
    return found


def line_leads(tune: Tune, line: Mapping[Chord, Note]) -> set[tuple[int, Fraction]]:
    """Return where a line of chord tones has a leading tone that rises."""
    places = [
        (place.bar.number, change.at, change.chord)
        for place in tune.playing
        for change in place.bar.changes
        if change.chord is not None
    ]
    found = set()
    for (number, at, here), (_, _, there) in pairwise(places):
        pair = leading_tone(here, there)
        if pair is not None and (line[here].midi % 12, line[there].midi % 12) == (
            pair[0].pitch_class,
            pair[1].pitch_class,
        ):
            found.add((number, at))
    return found
