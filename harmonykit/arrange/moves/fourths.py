"""Stacked fourths over a chord that stays: the grip goes up a step and comes back."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant
from harmonykit.arrange.slots import Piece, Slot, bars_that_stay, melody_between
from harmonykit.fretboard.shapes.fourths import named_in_fourths, no_fourths, stack_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.spelling import usual_root
from harmonykit.tune.bar import beat_length
from harmonykit.values import dataclass

NO_VAMP = "a chord must last two bars, and not lead to its dominant as a ii"
_STEP = 2

_Put = tuple[Piece, Fraction, Fraction, bool]


@dataclass(frozen=True, slots=True)
class StackedFourths:
    """A chord that stays, played in stacked fourths that go up a whole step and come back.

    Over Dm7 the grip D G C F (Dm11, with the third) is carried to E A D G (Em11) and back: the
    same grip two frets higher on every string, so that the line on top moves while the bass player
    or the ear keeps the chord.  A minor chord, or one with a suspended fourth and a minor seventh,
    that lasts two bars; no ii on its way to V, and in a key only where it has the step.  In the
    first pair of bars of a phrase the step comes at the second bar line, in the other half a bar
    before it.  The last chord is held, and one over whose step the melody would clash (common
    practice, no source).
    """

    name: str = "stacked fourths"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot in fourths, or the rule against it."""
        if slot.chord is None:
            return
        if rule := _broken(slot, slot.chord, setting):
            yield Refused(rule)
            return
        home = named_in_fourths(slot.chord)
        away = raised(home)
        puts = [*_puts(slot, setting)]
        if any(_clash(away, put, setting) for put in puts if put[-1]):
            puts = [(piece, piece.onset, piece.beats, False) for piece in slot.pieces]
        clashes = (_clash(home, put, setting) for put in puts if not put[-1])
        if clash := next(filter(None, clashes), ""):
            yield Refused(clash)
            return
        if not all(setting.lasts(beats) for _, _, beats, _ in puts):
            yield Refused(placing.too_short(setting))
            return
        moving = {piece.bar for piece, _, _, moved in puts if moved}
        told = {bar: _reason(slot.chord, home, moves=bar in moving) for bar in _bars(slot)}
        parts = (
            Part(
                away if moved else home, onset, beats, piece.bar, self.name, told[piece.bar],
                fourths=True,
            )
            for piece, onset, beats, moved in puts
        )  # fmt: skip
        yield Variant(tuple(parts), keeps_first=False)


def raised(home: Chord) -> Chord:
    """Return the same kind of chord a whole step higher.

    Examples
    --------
    >>> [raised(Chord.parse(name)).symbol for name in ("Dm11", "Ebm11", "D7sus4")]
    ['Em11', 'Fm11', 'E7sus4']
    """
    root = usual_root(home.root.pitch_class + _STEP)
    return Chord.build(root, home.degrees, root)


def _bars(slot: Slot) -> set[int]:
    return {piece.bar for piece in slot.pieces}


def _broken(slot: Slot, chord: Chord, setting: Setting) -> str:
    """Return the rule that keeps the fourths from a slot."""
    if why := no_fourths(chord):
        return why
    if not setting.stays >= _bars(slot):
        return NO_VAMP
    if slot.fermata:
        return "a fermata holds it"
    scale = {note.pitch_class for note in setting.key.scale}
    root = chord.root.pitch_class
    if root in scale and (root + _STEP) % 12 not in scale:
        return f"the key of {setting.key.unicode} has no whole step above {chord.root.unicode}"
    return ""


def _puts(slot: Slot, setting: Setting) -> Iterator[_Put]:
    """Yield where each grip stands: its bar, onset and length, and whether it is the higher one."""
    pair = len(slot.pieces) == 2 and not slot.ends_sound
    second = bool(setting.places.get(slot.bar, 0) // 2 % 2)
    for number, piece in enumerate(slot.pieces):
        late = placing.late_beats(piece)
        if not pair or late is None or number == second:
            yield piece, piece.onset, piece.beats, False
            continue
        early = piece.beats - late
        yield piece, piece.onset, early, not second
        yield piece, piece.onset + early, late, second


def _clash(home: Chord, put: _Put, setting: Setting) -> str:
    """Return the rule against a melody note a semitone from a note of the stack."""
    piece, onset, beats, _ = put
    stack, beat = stack_of(home), beat_length(piece.meter)
    for sung in melody_between(setting.melody, onset, onset + beats):
        pc = sung.note.pitch_class
        rubs = {(pc - 1) % 12, (pc + 1) % 12} & {*stack}
        if rubs and sung.beats >= beat / 2:
            note = home.spell(min(rubs)).plain().unicode
            return f"the melody's {sung.note.unicode} is a semitone from {note} of {home.unicode}"
    return ""


def _reason(chord: Chord, home: Chord, *, moves: bool) -> str:
    """Return what the fourths of a bar do: they stand, or go up a step and come back."""
    notes = _notes(home)
    if moves:
        up = _notes(raised(home))
        return f"{notes} in fourths go up a whole step on every string, {up}, and come back"
    third = ", its third among them" if 3 in chord.semitones else ""
    return f"{notes}, stacked in fourths, stand over {chord.unicode}{third}"


def _notes(chord: Chord) -> str:
    return " ".join(chord.spell(tone).plain().unicode for tone in stack_of(chord))


def has_place(slots: Sequence[Slot]) -> bool:
    """Whether some chord of a tune lasts long enough for stacked fourths.

    Examples
    --------
    >>> from harmonykit.arrange.slots import slots_of
    >>> from harmonykit.tune.tune import Tune
    >>> tunes = map(Tune.parse, ("| Dm7 | Dm7 |", "| Dm7 | G7 | C | C |"))
    >>> [has_place(slots_of(tune)) for tune in tunes]
    [True, False]
    """
    stays = bars_that_stay(slots)
    return any(slot.chord and slot.bar in stays and not no_fourths(slot.chord) for slot in slots)
