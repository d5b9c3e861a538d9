"""The dominants of a tune: where they stand, where they go, and what the melody has over them.

Bars bear their printed numbers.  A *dominant* is a chord that charts write as one, with a minor
seventh over a third or a suspension.
"""

from dataclasses import dataclass

from harmonykit.arrange.moves.dominants import is_called_dominant
from harmonykit.arrange.slots import melody_between, slots_of
from harmonykit.draw.base.style import join_words
from harmonykit.lesson.handout.text import spans
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements.every_root import from_every_root
from harmonykit.lesson.statements.facts import Proved
from harmonykit.lesson.statements.general import kind_word
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.tune.tune import Tune


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
    """Return the dominants of a tune in the order in which they first come.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> found = dominants_of(read_tune(find_data("tunes", "ropewalk_blues")))
    >>> [(one.chord.symbol, str(one.target), one.bars) for one in found]
    [('D7', 'Gm6', (4,)), ('Bb7', 'A7', (8,)), ('A7', 'Dm6', (9, 10))]
    """
    numbers = [number for number, _ in tune.numbers]
    found: dict[tuple[Chord, Chord | None], Dominant] = {}
    for slot in slots_of(tune):
        if slot.chord is None or not is_called_dominant(slot.chord):
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
    numbers = [number for number, _ in tune.numbers]
    slots = [slot for slot in slots_of(tune) if slot.chord == wanted]
    if not slots:
        known = dict.fromkeys(change.chord.symbol for change in tune.changes if change.chord)
        raise LessonError(
            f"{tune.title} has no {wanted.symbol}", rule=f"its chords are {join_words(list(known))}"
        )
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
    chords = from_every_root(quality)
    found = [chord for chord in chords if wanted.keys() <= set(chord.pcs)]
    told = join_words([chord.unicode for chord in found]) or "none"
    kind = f"Of all {kind_word(chords[0])}s"
    verb = "holds" if len(found) < 2 else "hold"
    said = f"{kind}, {told} {verb} {_notes(tuple(wanted.values()))}"
    return f"{said}{', and no other does' if found else ''}.", "tried from all twelve roots"


def _notes(notes: tuple[Note, ...]) -> str:
    return join_words([note.unicode for note in notes]) or "–"
