"""Statements that are counted: about a level, a tune and its dominants, a change of shape.

Each function gives a sentence whose numbers it has counted, and how; what is said so is true of the
chart whatever the teacher changes in the header.  A *change* is a moment at which the hand takes
another shape than it held just before, without a silence between.  Bars bear their printed numbers;
a passage that is played twice counts twice.  A *dominant* is a chord that charts
write as one, with a minor seventh over a third or a suspension.
"""

from collections.abc import Iterator
from itertools import pairwise

from harmonykit.arrange.arrangement import Arrangement, Step, Tune, is_foreign
from harmonykit.arrange.moves.dominants import is_called_dominant
from harmonykit.arrange.slots import melody_between, slots_of
from harmonykit.arrange.written import printed_numbers, tune_numbers
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.text import spans
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import every_root, laws
from harmonykit.lesson.statements.facts import Proved
from harmonykit.theory.chord import Chord, Note
from harmonykit.tune.form import INTRO
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted_word, join_words, plural

_COUNTED = "counted in the level as it is played"
_AND_NO_MORE = ("", ", and no other does", ", and no others do")


def strings_stay(arrangement: Arrangement, level: int, strings: int) -> Proved:
    """State in how many changes so many strings stay on their frets, or more."""
    most = len(arrangement.instrument.strings)
    if not 1 <= strings <= most:
        raise LessonError(
            f"{strings} strings cannot stay",
            rule=f"1 to {most} on the {arrangement.instrument.name}",
        )
    changes = list(shape_changes(arrangement))
    found = sum(len(held_strings(before, after)) >= strings for before, after in changes)
    verb = "stays" if strings == 1 else "stay"
    where = "on its fret." if strings == 1 else "on their frets."
    least = f"at least {counted_word(strings)} {plural(strings, 'string')}"
    said = f"{least} {verb} {where}"
    if len(changes) == 1:
        fewer = "no string stays on its fret." if strings == 1 else f"fewer than {said[9:]}"
        only = f"In the only change of shape at level {level}"
        return f"{only} {said if found else fewer}", _COUNTED
    of = f"{_how_many(found)} of the {counted_word(len(changes))} changes of shape"
    if not found:
        does = "does" if strings == 1 else "do"
        return f"In {of} at level {level} {does} {least} stay {where}", _COUNTED
    return f"In {of} at level {level}, {said}", _COUNTED


def half_step_below(arrangement: Arrangement, level: int) -> Proved:
    """State how many added chords have their root a half step below the root that follows."""
    pairs = [(a, b) for a, b in followed(arrangement) if is_added(a)]
    found = sum(rises_a_half_step(a, b) for a, b in pairs)
    where = "a half step below the root that follows."
    if len(pairs) == 1:
        only = f"The only chord added at level {level}"
        return f"{only} {'has' if found else 'does not have'} its root {where}", _COUNTED
    if found == len(pairs) > 1:
        every = f"{_all(found)} chords added at level {level} have their root"
        return f"{every} {where}", _COUNTED
    stand = "has its root" if found < 2 else "have their root"
    of = f"Of the {counted_word(len(pairs))} chords added at level {level}"
    said = f"{of}, {_how_many(found)} {stand}"
    return f"{said} {where}", _COUNTED


def prepared(arrangement: Arrangement, level: int) -> Proved:
    """State how many chords of the tune have an added chord just before them."""
    own = [(a, b) for a, b in followed(arrangement) if b is not None and not is_added(b)]
    found = sum(is_added(a) for a, _ in own)
    if len(own) == 1:
        only = f"The only change to a chord of the tune at level {level}"
        return f"{only} {'comes' if found else 'does not come'} from an added chord.", _COUNTED
    changes = f"changes to a chord of the tune at level {level}"
    some = f"{_how_many(found)} of the {counted_word(len(own))}"
    said = f"{_all(found) if found == len(own) > 1 else some} {changes}"
    verb = "comes" if found < 2 else "come"
    return f"{said[0].upper()}{said[1:]} {verb} from an added chord.", _COUNTED


def added(arrangement: Arrangement, level: int) -> Proved:
    """State how many chords a level adds, and in which bars."""
    numbers = printed_numbers(arrangement)
    new = [step for step in events_of(arrangement) if is_added(step) and step.chord is not None]
    if not new:
        return f"Level {level} adds no chord.", _COUNTED
    bars = spans([numbers[step.bar][0] for step in new])
    return (
        f"Level {level} adds {counted_word(len(new))} {plural(len(new), 'chord')}, in {bars}.",
        _COUNTED,
    )


def highest_fret(arrangement: Arrangement, level: int) -> Proved:
    """State the highest fret that a level uses."""
    highest = max((shape.highest_fret for shape in arrangement.shapes), default=0)
    if not highest:
        return f"Level {level} uses only open strings.", _COUNTED
    return f"The highest fret at level {level} is {highest}.", _COUNTED


def shortest_chord(arrangement: Arrangement, level: int) -> Proved:
    """State how long the shortest chord of a level lasts at its tempo."""
    events = [step for step in events_of(arrangement) if step.voicing is not None]
    if not events:
        raise LessonError(f"no chord sounds at level {level}")
    seconds = float(min(step.beats for step in events)) * 60 / arrangement.tempo
    said = f"{seconds:.1f}".removesuffix(".0")
    unit = "second" if said == "1" else "seconds"
    return f"The shortest chord at level {level} lasts {said} {unit}.", "length over tempo"


def strings_move(before: Voicing, after: Voicing) -> Proved:
    """State how many strings stay and how many move from one shape to another."""
    pairs = zip(before.frets, after.frets, strict=True)
    strings = sum(not (a is None and b is None) for a, b in pairs)
    stay = len(held_strings(before, after))
    move = strings - stay
    said = [
        f"{counted_word(n)} {plural(n, 'string')} {verb}" for n, verb in _stay_and_move(stay, move)
    ]
    proof = "fret by fret, string by string"
    return f"From {before.digits} to {after.digits} {join_words(said)}.", proof


def bars_of(tune: Tune, chord: str) -> Proved:
    """State in which bars of the tune a chord sounds."""
    wanted = Chord.parse(chord)
    numbers = tune_numbers(tune)
    found: list[int] = []
    known: dict[str, None] = {}
    for place, (number, _) in zip(tune.playing, numbers, strict=True):
        for change in tune.changes:
            start, end = place.onset, place.onset + place.bar.length
            if change.chord and change.onset < end and change.onset + change.beats > start:
                known[change.chord.symbol] = None
                found += [number] if change.chord == wanted else []
    if not found:
        raise LessonError(
            f"{tune.title} has no {wanted.symbol}", rule=f"its chords are {join_words(list(known))}"
        )
    return f"{wanted.unicode} occurs in {spans(found)}.", "read from the tune"


def _how_many(number: int) -> str:
    return counted_word(number) if number else "none"


def _all(number: int) -> str:
    return "Both" if number == 2 else f"All {counted_word(number)}"


def _stay_and_move(stay: int, move: int) -> Iterator[tuple[int, str]]:
    if stay:
        yield stay, "stays" if stay == 1 else "stay"
    if move:
        yield move, "moves" if move == 1 else "move"


def held_strings(before: Voicing, after: Voicing) -> list[int]:
    """Return the strings that sound in both shapes at one and the same fret."""
    pairs = zip(before.frets, after.frets, strict=True)
    return [s for s, (a, b) in enumerate(pairs) if a is not None and a == b]


def is_added(step: Step) -> bool:
    """Whether a chord has other notes, or another bass, than the tune's own."""
    return is_foreign(step.chord, step.written)


def events_of(arrangement: Arrangement) -> list[Step]:
    """Return the chords as steps: one that lasts on, in the next bar or another shape, is one."""
    found: list[Step] = []
    for step in arrangement.steps:
        last = found[-1] if found else None
        if last and (last.chord, is_added(last)) == (step.chord, is_added(step)):
            found[-1] = _longer(last, step)
        else:
            found.append(step)
    return found


def _longer(step: Step, more: Step) -> Step:
    return replace(step, beats=step.beats + more.beats)


def shape_changes(arrangement: Arrangement) -> Iterator[tuple[Voicing, Voicing]]:
    """Yield each change of shape: before and after."""
    for a, b in pairwise(arrangement.steps):
        if a.voicing is not None and b.voicing is not None and a.voicing != b.voicing:
            yield a.voicing, b.voicing


def followed(arrangement: Arrangement) -> Iterator[tuple[Step, Step | None]]:
    """Yield each chord with the chord that follows, ``None`` at a silence and at the end."""
    events = [*events_of(arrangement), None]
    for a, b in pairwise(events):
        if a is not None and a.chord is not None:
            yield a, b if b is not None and b.chord is not None else None


def rises_a_half_step(step: Step, after: Step | None) -> bool:
    """Whether the next root lies a half step above."""
    if step.chord is None or after is None or after.chord is None:
        return False
    return (after.chord.root.pitch_class - step.chord.root.pitch_class) % 12 == 1


@dataclass(frozen=True, slots=True)
class Dominant:
    """A dominant of a tune with one chord that follows it.

    Parameters
    ----------
    chord : Chord
    target : Chord or None
        What follows; ``None`` for silence, and at the end.
    bars : tuple of int
        The printed numbers of its bars, in playing order, each once.
    longest : int
        Over how many bars it lasts, at the longest.
    sung : tuple of Note
        The melody's notes over it, in the order in which they first come.
    """

    chord: Chord
    target: Chord | None
    bars: tuple[int, ...]
    longest: int
    sung: tuple[Note, ...] = ()

    @property
    def resolves(self) -> bool:
        """Whether it goes down a fifth."""
        root = self.target.root.pitch_class if self.target else None
        return (self.chord.root.pitch_class + 5) % 12 == root


def dominants_of(tune: Tune) -> tuple[Dominant, ...]:
    """Return the dominants of a tune in the order in which they first come, an intro's left out.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> found = dominants_of(read_tune(find_data("tunes", "ropewalk_blues")))
    >>> [(one.chord.symbol, str(one.target), one.bars) for one in found]
    [('D7', 'Gm6', (4,)), ('Bb7', 'A7', (8,)), ('A7', 'Dm6', (9, 10))]
    """
    numbers = [number for number, _ in tune_numbers(tune)]
    found: dict[tuple[Chord, Chord | None], Dominant] = {}
    for slot in slots_of(tune):
        if slot.section == INTRO or slot.chord is None or not is_called_dominant(slot.chord):
            continue
        sung = [one.note.plain() for one in melody_between(tune.melody, slot.onset, slot.end)]
        bars = [numbers[piece.bar] for piece in slot.pieces]
        key = slot.chord, slot.after
        old = found.get(key, Dominant(*key, (), 0))
        found[key] = Dominant(
            *key,
            tuple(dict.fromkeys((*old.bars, *bars))),
            max(old.longest, len(bars)),
            tuple({note.pitch_class: note for note in (*sung, *old.sung)}.values()),
        )
    return tuple(found.values())


def dominant_rows(tune: Tune) -> list[tuple[str, ...]]:
    """Return the rows of a table: dominant, bars, what follows, and the melody where there is one.

    Raises
    ------
    LessonError
        If the tune has no dominant.
    """
    dominants = dominants_of(tune)
    if not dominants:
        raise LessonError(
            f"{tune.title} has no dominant",
            mend="the lesson without {{ dominants() }}, or another tune",
        )
    rows: list[tuple[str, ...]] = []
    for one in dominants:
        target = one.target.unicode if one.target else "–"
        row = (one.chord.unicode, spans(list(one.bars)), target)
        rows.append((*row, _notes(one.sung)) if tune.melody else row)
    return rows


def melody_over(tune: Tune, chord: str) -> Proved:
    """State which notes the melody has over a chord of the tune, and in which bars."""
    wanted = Chord.parse(chord)
    numbers = [number for number, _ in tune_numbers(tune)]
    slots = [slot for slot in slots_of(tune) if slot.chord == wanted]
    if not slots:
        known = join_words([chord.symbol for chord in tune.chords])
        raise LessonError(f"{tune.title} has no {wanted.symbol}", rule=f"its chords are {known}")
    sung = [
        one.note.plain()
        for slot in slots
        for one in melody_between(tune.melody, slot.onset, slot.end)
    ]
    if not sung:
        raise LessonError(
            f"{tune.title} has no melody over {wanted.symbol}",
            mend='melody = "| C5 r G4:2 |" in a section of the tune\'s file',
        )
    bars = spans([numbers[piece.bar] for slot in slots for piece in slot.pieces])
    notes = _notes(tuple({note.pitch_class: note for note in sung}.values()))
    return f"Over {wanted.unicode} the melody has {notes}, in {bars}.", "read from the tune"


def holding(quality: str, *notes: str) -> Proved:
    """State which chords of a quality hold some notes: these and no others."""
    if not notes:
        raise LessonError("chords_holding names no note", mend='chords_holding("7", "G", "Bb")')
    wanted = {Note.parse(note).pitch_class: Note.parse(note) for note in notes}
    chords = every_root.from_every_root(quality)
    found = [chord for chord in chords if wanted.keys() <= set(chord.pcs)]
    told = join_words([chord.unicode for chord in found]) or "none"
    kind = f"Of all {laws.kind_word(chords[0])}s"
    verb = "holds" if len(found) < 2 else "hold"
    said = f"{kind}, {told} {verb} {_notes(tuple(wanted.values()))}"
    return f"{said}{_AND_NO_MORE[min(len(found), 2)]}.", "tried on all twelve roots"


def _notes(notes: tuple[Note, ...]) -> str:
    return join_words([note.unicode for note in notes]) or "–"
