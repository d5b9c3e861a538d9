"""A diminished seventh with one note lowered or raised, and where that leads, string by string.

The pure part of the panel of one moved note: its state, and what the state comes to.
"""

from functools import lru_cache

from harmonykit.about.names import list_notes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move, Resolution, resolutions
from harmonykit.theory.kin import Raising, raisings
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words
from harmonykit.workbook.panels.neck import check_neck

MOVES = ("none", "lower", "raise")
ROOTS = "C C# D Eb E F F# G G# A Bb B".split()
CHORDS = tuple(f"{root}dim7" for root in ROOTS)


@dataclass(frozen=True, slots=True)
class OneNoteState:
    """What the panel's controls set.

    Parameters
    ----------
    chord : str
        A diminished seventh, by symbol.
    move : {"none", "lower", "raise"}
    note : int in 0..11
        The pitch class of the chord that is moved.
    onward : bool
        Whether the target is reached.
    instrument : str
    """

    chord: str = "Adim7"
    move: str = "none"
    note: int = 3
    onward: bool = False
    instrument: str = "ukulele"

    def __post_init__(self) -> None:
        chord = Chord.parse(self.chord)
        if not chord.is_diminished_seventh:
            raise HarmonyError(f"{self.chord} is not a diminished seventh", mend="Adim7")
        if self.move not in MOVES:
            raise HarmonyError(f"unknown move {self.move!r}", mend=", ".join(MOVES))
        check_neck(self.instrument)
        if self.note not in chord.pcs:
            notes = ", ".join(map(str, chord.pcs))
            raise HarmonyError(
                f"{self.note} is not a note of {self.chord}", rule=f"its notes are {notes}"
            )


@dataclass(frozen=True, slots=True)
class OneNote:
    """What a state comes to.

    Parameters
    ----------
    state : OneNoteState
    chords : tuple of Chord
        The diminished seventh; what is left of it; the triad on the target.
    shapes : tuple of Voicing
        One for each chord: each string moves by a few frets, or not at all.
    stage : int in 0..2
        Which of them is seen.
    way : Resolution or Raising or None
    moves : tuple of Move
        The voices on the way to the target, by string.
    """

    state: OneNoteState
    chords: tuple[Chord, ...]
    shapes: tuple[Voicing, ...]
    stage: int
    way: Resolution | Raising | None
    moves: tuple[Move, ...]

    @property
    def moved(self) -> Move | None:
        """The one note's step."""
        if isinstance(self.way, Resolution):
            return self.way.lowered
        return self.way.raised if self.way else None

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        first = self.chords[0]
        if self.way is None:
            notes = list_notes([note.pitch_class for note in first.tones], first)
            return f"{first.unicode} is {notes}: lower or raise one of its notes"
        if self.stage < 2:
            return self.way.lowering if isinstance(self.way, Resolution) else self.way.reason
        second, third = self.chords[1:]
        also = ""
        if isinstance(self.way, Raising):
            also = f", which is {self.parent.root.unicode}9 without its root,"
        steps = join_words([str(move) for move in dict.fromkeys(self.moves)])
        return f"{second.unicode}{also} resolves to {third.unicode}: {steps}."

    @property
    def parent(self) -> Chord:
        """The dominant seventh on the semitone below the note that is moved."""
        return _resolution(self.state).parent


def compute(state: OneNoteState) -> OneNote:
    """Return what a state comes to.

    Examples
    --------
    >>> print(compute(OneNoteState("Adim7", "lower", 3)).facts)
    Lower E♭ of A°7 by a semitone to D: the chord becomes D7.
    >>> print(compute(OneNoteState("Adim7", "raise", 3, onward=True)).facts)
    Am6, which is D9 without its root, resolves to G: A falls to G, E falls to D, F♯ rises to G and C falls to B.
    """  # noqa: E501
    chord, instrument = Chord.parse(state.chord), Instrument.named(state.instrument)
    shape = first_shape(chord, instrument)
    if state.move == "none":
        return OneNote(state, (chord,), (shape,), 0, None, ())
    way: Resolution | Raising = _resolution(state) if state.move == "lower" else _raising(state)
    left = way.parent if isinstance(way, Resolution) else way.sixth
    target = Chord.of(_resolution(state).target, "")
    step = -1 if state.move == "lower" else 1
    second = _moved(shape, {state.note: step})
    ends = {move.start.pitch_class: move.end for move in _resolution(state).moves}
    ends[(state.note + step) % 12] = ends.pop(state.note)
    moves = tuple(
        Move(note.at(None), ends[note.pitch_class]) for note in second.spelled(left) if note
    )
    third = _moved(second, {move.start.pitch_class: move.semitones for move in moves})
    stage = 2 if state.onward else 1
    return OneNote(state, (chord, left, target), (shape, second, third), stage, way, moves)


def _resolution(state: OneNoteState) -> Resolution:
    ways = resolutions(Chord.parse(state.chord))
    return next(way for way in ways if way.lowered.start.pitch_class == state.note)


def _raising(state: OneNoteState) -> Raising:
    ways = raisings(Chord.parse(state.chord))
    return next(way for way in ways if way.raised.start.pitch_class == state.note)


@lru_cache(maxsize=64)
def first_shape(chord: Chord, instrument: Instrument) -> Voicing:
    """Return the lowest shape that leaves room for every note to fall by two frets.

    Examples
    --------
    >>> first_shape(Chord.parse("Adim7"), Instrument.named("ukulele")).digits
    '2-3-2-3'
    """
    shapes = find_voicings(
        chord, instrument, wanted=Wanted(omit=(), mutes=len(instrument.strings) > 4)
    )
    roomy = [shape for shape in shapes if _has_room(shape)]
    fullest = max(len(shape.sounding) for shape in roomy)
    full = [shape for shape in roomy if len(shape.sounding) == fullest]
    return min(full, key=lambda shape: (shape.stretch_mm // 20, shape.highest_fret))


def _has_room(shape: Voicing) -> bool:
    """Return whether every string that sounds has a note two frets lower."""
    frets = enumerate(shape.frets)
    return all(fret is None or shape.instrument.has_fret(s, fret - 2) for s, fret in frets)


def _moved(shape: Voicing, steps: dict[int, int]) -> Voicing:
    """Return a shape with the strings that sound a pitch class moved by so many frets."""
    frets = [
        fret if fret is None or midi is None else fret + steps.get(midi % 12, 0)
        for fret, midi in zip(shape.frets, shape.midi, strict=True)
    ]
    return Voicing(shape.instrument, tuple(frets))
