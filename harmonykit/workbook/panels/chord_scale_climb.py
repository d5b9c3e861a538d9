"""A shape that climbs a sixth-diminished scale, one voice against the others, and what it borrows.

The pure part of the chord scale panel: its state, and what the state comes to.
"""

from functools import lru_cache

from harmonykit.draw.base.given import string_names
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.leading.ladder import Borrowed, borrow, contrary
from harmonykit.theory.naming import exact_names
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words
from harmonykit.workbook.panels.neck import check_neck
from harmonykit.workbook.panels.scenes import FRETS

STEPS = 8
TONICS = tuple("C Db D Eb E F F# G Ab A Bb B".split())
NOBODY, PLAIN = "none", "nothing"
_SIGNS = {-1: "-", 0: "0", 1: "+"}


@dataclass(frozen=True, slots=True)
class ChordScaleState:
    """What the panel's controls set.

    Parameters
    ----------
    tonic : str
    kind : {"major", "minor", "dominant", "dominant flat five"}
    shape : str
        Where the climb begins, as frets.
    step : int in 0..8
    falling : int
        The string that goes against the others, counted from 1; 0 for none.
    borrowed : str
        What each string borrows, ``-``, ``0`` or ``+``; nothing for none.
    instrument : str
    """

    tonic: str = "C"
    kind: str = "major"
    shape: str = "0-0-0-0"
    step: int = 0
    falling: int = 0
    borrowed: str = ""
    instrument: str = "ukulele"

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise HarmonyError(f"unknown kind of scale {self.kind!r}", mend=", ".join(KINDS))
        check_neck(self.instrument)
        strings = len(Instrument.named(self.instrument).strings)
        if not 0 <= self.falling <= strings:
            raise HarmonyError(f"unknown string {self.falling}", rule=f"1 to {strings}")
        reached = len(climb_of(self)) - 1
        if not 0 <= self.step <= reached:
            steps = f"steps go from 0, the first shape, to {reached}"
            raise HarmonyError(
                f"step {self.step} cannot be: {steps if reached else 'there is one shape'}",
                rule="" if reached else _stuck(self),
            )
        if self.borrowed and self.borrowed not in borrowings(self):
            raise HarmonyError(
                f"{self.borrowed!r} cannot be borrowed", rule="-, 0 or + for each string"
            )


@dataclass(frozen=True, slots=True)
class ChordScale:
    """What a state comes to.

    Parameters
    ----------
    state : ChordScaleState
    scale : SixthDiminished
    shapes : tuple of Voicing
        The climb, as far as the neck goes, at most nine.
    shape : Voicing
        What is held now, with what is borrowed.
    chord : Chord or None
        Its name, if it has one.
    """

    state: ChordScaleState
    scale: SixthDiminished
    shapes: tuple[Voicing, ...]
    shape: Voicing
    chord: Chord | None

    @property
    def name(self) -> str:
        """The chord's printed symbol, else that of which it is a part, or its notes."""
        if self.chord:
            return self.chord.unicode
        held = (self.scale.diminished, self.scale.chord)
        whole = next((chord for chord in held if self.shape.pcs <= chord.pcs), None)
        return f"part of {whole.unicode}" if whole else self.notes

    @property
    def notes(self) -> str:
        """The notes by string, in words."""
        return join_words([self.scale.spell(pitch % 12).unicode for pitch in self.shape.sounding])

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        state, names = self.state, string_names(self.shape.instrument)
        reached = len(self.shapes) - 1
        where = f"step {state.step} of {reached}" if reached else _stuck(state)
        parts = [f"{self.scale.title}, {where}: {self.name}, {self.shape.digits}"]
        if self.name != self.notes:
            parts.append(self.notes)
        if state.falling and reached:
            parts.append(f"the {names[state.falling - 1]} falls while the others rise")
        if state.borrowed:
            before = self.shapes[state.step]
            moved = [
                f"{self.scale.spell(new % 12).unicode} for {self.scale.spell(old % 12).unicode}"
                for old, new in zip(before.sounding, self.shape.sounding, strict=True)
                if old != new
            ]
            parts.append(f"borrowed: {join_words(moved)}")
        return "; ".join(parts)


def compute(state: ChordScaleState) -> ChordScale:
    """Return what a state comes to.

    Examples
    --------
    >>> print(compute(ChordScaleState(step=3)).facts)
    C major sixth-diminished, step 3 of 8: B°7, 4-5-4-5; B, F, A♭ and D
    """
    scale, shapes = _scale(state), climb_of(state)
    shape = shapes[state.step]
    if state.borrowed:
        shape = borrowings(state)[state.borrowed]
    return ChordScale(state, scale, shapes, shape, chord_in(scale, shape.pcs))


def _stuck(state: ChordScaleState) -> str:
    """Return what is said where the first shape of a climb is its last."""
    names = string_names(Instrument.named(state.instrument))
    falls = f" while the {names[state.falling - 1]} falls" if state.falling else ""
    return f"no step up from here fits this neck{falls}"


def _scale(state: ChordScaleState) -> SixthDiminished:
    return SixthDiminished(Note.parse(state.tonic), state.kind)


def chord_in(scale: SixthDiminished, pcs: PcSet) -> Chord | None:
    """Return what some notes of a scale are: its chord, its diminished seventh, or another chord.

    The name is taken whose notes are spelled most as the scale spells them.  A part of the
    diminished seventh that is spelled as a chord on none of its notes is only a part of it.

    Examples
    --------
    >>> chord_in(SixthDiminished("C"), PcSet.of(2, 5, 8, 11))
    Chord.parse('Bdim7')
    >>> chord_in(SixthDiminished("Eb"), PcSet.of(3, 7, 11))
    Chord.parse('Cb+')
    >>> chord_in(SixthDiminished("Eb"), PcSet.of(2, 5, 11))
    """
    for own in (scale.chord, scale.diminished):
        if own.pcs == pcs:
            return own
    usual = exact_names(pcs)
    ours = [Chord.of(scale.spell(name.root.pitch_class), name.quality) for name in usual]
    strange = {name: len({*name.tones} - {*scale.notes}) for name in (*ours, *usual)}
    found = min(strange, key=lambda name: strange[name], default=None)
    part = found is not None and strange[found] and pcs <= scale.diminished.pcs
    return None if part else found


def climb_of(state: ChordScaleState) -> tuple[Voicing, ...]:
    """Return the climb from a state's shape, as far as the neck goes.

    Raises
    ------
    HarmonyError
        If a note of the shape is outside the scale.

    Examples
    --------
    >>> [shape.digits for shape in climb_of(ChordScaleState(shape="5-5-5-7", falling=2))]
    ['5-5-5-7', '7-4-7-8', '9-2-8-10', '10-0-10-11']
    """
    return _climb(state.tonic, state.kind, state.shape, state.falling, state.instrument)


@lru_cache(maxsize=256)
def _climb(
    tonic: str, kind: str, digits: str, falling: int, instrument: str
) -> tuple[Voicing, ...]:
    scale = SixthDiminished(Note.parse(tonic), kind)
    start = Voicing.parse(digits, Instrument.named(instrument))
    strings = [string for string, fret in enumerate(start.frets) if fret is not None]
    falls = [strings.index(falling - 1)] if falling - 1 in strings else []
    shapes = []
    for pitches in contrary(scale, start.sounding, falls, STEPS):
        shape = _on_neck(start, strings, pitches)
        if shape is None:
            break
        shapes.append(shape)
    return tuple(shapes)


def _on_neck(start: Voicing, strings: list[int], pitches: tuple[int, ...]) -> Voicing | None:
    frets: list[int | None] = [None] * len(start.frets)
    for string, pitch in zip(strings, pitches, strict=True):
        fret = start.instrument.fret_at(string, pitch)
        if fret is None or fret > FRETS:
            return None
        frets[string] = fret
    return Voicing(start.instrument, tuple(frets))


def borrowings(state: ChordScaleState) -> dict[str, Voicing]:
    """Return the shapes with one borrowed note at the step of a state, by what they are called."""
    shape = climb_of(state)[state.step]
    return _borrowed(state.tonic, state.kind, shape)


@lru_cache(maxsize=256)
def _borrowed(tonic: str, kind: str, shape: Voicing) -> dict[str, Voicing]:
    """Return what can be borrowed at a shape and stays on the neck, those of few strings first."""
    scale = SixthDiminished(Note.parse(tonic), kind)
    strings = [string for string, fret in enumerate(shape.frets) if fret is not None]
    if len(strings) > 4:  # of a guitar's six strings two double others; what is borrowed parts them
        return {}
    found = ((each, _on_neck(shape, strings, each.pitches)) for each in _of(scale, shape))
    return {"".join(_SIGNS[n] for n in each.steps): held for each, held in found if held}


def _of(scale: SixthDiminished, shape: Voicing) -> tuple[Borrowed, ...]:
    return borrow(scale, shape.sounding).chords


def begun(tonic: str, kind: str, instrument: str) -> ChordScaleState:
    """Return a climb from the lowest shape of a scale's chord.

    Examples
    --------
    >>> begun("G", "minor", "ukulele").shape
    '0-2-0-1'
    """
    shape = lowest_shape(SixthDiminished(Note.parse(tonic), kind), instrument)
    return ChordScaleState(tonic, kind, shape.digits, instrument=instrument)


@lru_cache(maxsize=128)
def lowest_shape(scale: SixthDiminished, instrument: str) -> Voicing:
    """Return the lowest shape of a scale's chord.

    Examples
    --------
    >>> lowest_shape(SixthDiminished("C"), "ukulele").digits
    '0-0-0-0'
    """
    neck = Instrument.named(instrument)
    shapes = find_voicings(scale.chord, neck, wanted=Wanted(omit=(), mutes=len(neck.strings) > 4))
    four = [shape for shape in shapes if len(shape.sounding) == 4] or list(shapes)
    if not four:
        raise HarmonyError(
            f"{scale.chord.unicode} has no shape with all its notes on the {neck.name}",
            mend="another tonic or kind of scale",
        )

    def key(shape: Voicing) -> tuple[bool, int, float, str]:
        """Put shapes last that need a short string, which has no frets where the row begins."""
        short = any(f is not None and neck.start(string) for string, f in enumerate(shape.frets))
        return short, shape.highest_fret, shape.stretch_mm, shape.digits

    return min(four, key=key)
