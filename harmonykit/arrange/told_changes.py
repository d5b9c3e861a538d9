"""What an arrangement changes, told at its place: bar, beat, chords, shapes, why, how often heard.

Conventions.  Bars bear their printed numbers.  Beats are those of the metre, dotted in 6/8, counted
from 1; a place is typed as in a tune, ``8@3`` for bar 8, beat 3.  Of a repeated bar it says which
times, unless it is every time.  Chords that one move puts in one after another, in place of one
chord, are one change.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import groupby

from harmonykit.arrange.arrangement import Arrangement, Step, Tune
from harmonykit.arrange.demanded import CHOICE, slot_at
from harmonykit.arrange.functions import bars_said, often_at
from harmonykit.arrange.slots import slots_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.printed import printed_chord
from harmonykit.tune.bar import beat_length
from harmonykit.values import dataclass, replace


@dataclass(frozen=True, slots=True)
class ChangeTold:
    """A change, and where it is made.

    Parameters
    ----------
    places : tuple of (int, Fraction)
        Printed numbers of bars with the beat, wherever the same is changed in the same way.
    written : Chord or None
        What the tune has there.
    steps : tuple of Step
        What is played instead, in order.
    move, reason, often : str
        By which move, why, and how often it was heard; ``often`` may be empty.
    times : tuple of tuple of int
        For each place the times that it is so, from 1; none where it is so every time.
    """

    places: tuple[tuple[int, Fraction], ...]
    written: Chord | None
    steps: tuple[Step, ...]
    move: str
    reason: str
    often: str
    times: tuple[tuple[int, ...], ...] = ()

    @property
    def typed(self) -> tuple[str, ...]:
        """The places as they are typed, with the times."""
        times = self.times or ((),) * len(self.places)
        return tuple(
            f"{bar}@{beat_said(beat)}" + (f" (time {', '.join(map(str, which))})" if which else "")
            for (bar, beat), which in zip(self.places, times, strict=True)
        )

    @property
    def where(self) -> str:
        """The places as they are typed, parted by commas.

        Examples
        --------
        >>> ChangeTold(((8, Fraction(3)), (16, Fraction(7, 2))), None, (), "", "", "").where
        '8@3, 16@3.5'
        """
        return ", ".join(self.typed)

    @property
    def said(self) -> str:
        """Which chords, in which shapes, stand in place of which."""
        chords = " ".join(_named(step) for step in self.steps)
        return f"{chords} for {self.written.unicode if self.written else 'silence'}"

    def __str__(self) -> str:
        why = f"{self.reason} {self.often}".strip() or self.move
        return f"{self.where}  {self.said}. {why.removesuffix('.')}."


def beat_said(beat: Fraction) -> str:
    """Return a beat as it is typed: whole, or with what it is after the point.

    Examples
    --------
    >>> beat_said(Fraction(3)), beat_said(Fraction(7, 2)), beat_said(Fraction(4, 3))
    ('3', '3.5', '4/3')
    """
    return str(beat) if beat.denominator not in (2, 4, 8) else f"{float(beat):g}"


def told_changes(way: Arrangement) -> tuple[ChangeTold, ...]:
    """Return what an arrangement changes, bar by bar, what is changed alike once.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> from harmonykit.arrange.wishes import Wishes
    >>> tune, full = "| C6 | Dm7 |", Wishes(density="full")
    >>> way = reharmonise(tune, "ukulele", ["passing diminished"], k=1, wishes=full)[0]
    >>> (one,) = told_changes(way)
    >>> one.where, [str(step.chord) for step in one.steps], str(one.written)
    ('1@3', ['C#dim7'], 'C6')
    """
    found: dict[object, tuple[ChangeTold, dict[tuple[int, Fraction], list[int]]]] = {}
    passes = passes_of(way.tune)
    for one in _each(way):
        sounds = tuple((step.chord, step.sounds, step.beats) for step in one.steps)
        key = (one.written, sounds, one.places[0][1], one.move, one.reason, one.often)
        _, times = found.setdefault(key, (one, {}))
        times.setdefault(one.places[0], []).append(passes[one.steps[0].bar])
    most = Counter(played.bar.number for played in way.tune.playing)
    told = (_gathered(one, times, most) for one, times in found.values())
    return tuple(sorted(told, key=lambda one: one.places))


def passes_of(tune: Tune) -> tuple[int, ...]:
    """Return for each bar in playing order which time it is played, from 1.

    Examples
    --------
    >>> passes_of(Tune.parse("|: Dm7 | G7 :| C6 |"))
    (1, 1, 2, 2, 1)
    """
    so_far = Counter[int]()
    found = list[int]()
    for played in tune.playing:
        so_far[played.bar.number] += 1
        found.append(so_far[played.bar.number])
    return tuple(found)


def _gathered(
    one: ChangeTold, times: Mapping[tuple[int, Fraction], list[int]], most: Mapping[int, int]
) -> ChangeTold:
    """Return a change with all its places, and at which times where it is not every time."""
    places = tuple(sorted(times))
    which = ((bar, tuple(times[bar, beat])) for bar, beat in places)
    return replace(
        one,
        places=places,
        times=tuple(() if len(each) == most[bar] else each for bar, each in which),
    )


def added_said(way: Arrangement) -> str:
    """Return which chords an arrangement puts in, each with its bars and beats.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> from harmonykit.arrange.wishes import Wishes
    >>> tune, full = "| C6 | Dm7 |", Wishes(density="full")
    >>> way = reharmonise(tune, "ukulele", ["passing diminished"], k=1, wishes=full)[0]
    >>> added_said(way)
    'C♯°7 1@3'
    """
    added: dict[str, dict[tuple[int, Fraction], None]] = {}
    for one in told_changes(way):
        chords = " ".join(printed_chord(step.chord) for step in one.steps)
        added.setdefault(chords, {}).update(dict.fromkeys(one.places))
    return "; ".join(
        f"{chord} {' '.join(f'{bar}@{beat_said(beat)}' for bar, beat in sorted(places))}"
        for chord, places in added.items()
    )


def basses_left(way: Arrangement) -> str:
    """Return which chords over a bass do not have it as their lowest note, or nothing.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> basses_left(reharmonise("| C | C/E | F |", "mandolin", (), k=1)[0])
    'The bass is for another player here, not the lowest note: C/E (bar 2).'
    """
    found: dict[str, dict[int, None]] = {}
    for step in way.sounding:
        chord, shape = step.chord, step.voicing
        if chord is None or shape is None or step.alone or chord.bass == chord.root:
            continue
        if min(shape.sounding) % 12 != chord.bass.pitch_class:
            number = way.tune.playing[step.bar].bar.number
            found.setdefault(chord.unicode, {})[number] = None
    if not found:
        return ""
    named = "; ".join(f"{chord} ({bars_said(tuple(bars))})" for chord, bars in found.items())
    return f"The bass is for another player here, not the lowest note: {named}."


def _each(way: Arrangement) -> Iterator[ChangeTold]:
    numbered = [*enumerate(way.steps)]
    for (move, _, _), run in groupby(numbered, key=lambda pair: _one_change(pair[1])):
        row = [*run]
        if not move:
            continue
        indices, steps = [index for index, _ in row], [step for _, step in row]
        often = next(filter(None, (often_at(way, index) for index in indices)), "")
        reason = " ".join(dict.fromkeys(step.reason for step in steps if step.reason))
        place = _place(way, steps)
        yield ChangeTold((place,), steps[0].written, tuple(steps), move, reason, often)


def _one_change(step: Step) -> tuple[str, Chord | None, int]:
    return step.move, step.written, step.bar


def gone_with(before: Arrangement, after: Arrangement) -> tuple[str, ...]:
    """Return the added chords that went where others were chosen, as they led to what stood there.

    What stood in the places of the chosen ones is none of them.
    """
    slots = slots_of(after.tune)
    onsets = {step.onset for step in after.steps if step.new}
    chosen = {slot_at(slots, step.onset) for step in after.steps if step.move == CHOICE}
    gone = (
        step
        for step in before.steps
        if step.new and step.onset not in onsets and slot_at(slots, step.onset) not in chosen
    )
    told = ((printed_chord(step.chord), *_place(before, [step])) for step in gone)
    return tuple(dict.fromkeys(f"{chord} {bar}@{beat_said(beat)}" for chord, bar, beat in told))


def _place(way: Arrangement, steps: Sequence[Step]) -> tuple[int, Fraction]:
    played = way.tune.playing[steps[0].bar]
    beat = (steps[0].onset - played.onset) / beat_length(played.bar.meter) + 1
    return played.bar.number, beat


def _named(step: Step) -> str:
    chord = printed_chord(step.chord)
    return f"{chord} {step.voicing.digits}" if step.voicing else chord
