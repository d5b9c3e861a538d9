"""Grips: shapes under the names by which somebody knows them, and what a new shape has of them.

A grip without an open string is movable: whoever knows it knows it at every fret (common practice,
no source).
"""

from collections.abc import Iterable, Iterator

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.change import ROLLS, STAYS, Change, FingerMove, change, change_of
from harmonykit.fretboard.hands.hand import Fingering, limits_at
from harmonykit.fretboard.hands.travel import ways_of
from harmonykit.fretboard.shapes import frettings, reading
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing, as_voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.spelling import usual_root
from harmonykit.theory.typed import Told
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import join_words, number

_TOLD = 2
_FINGERS = ("first", "second", "third", "fourth", "thumb")


@dataclass(frozen=True, slots=True)
class Grip:
    """A shape that a class knows, under the chord's name by which it knows it.

    Parameters
    ----------
    chord : Chord
    shape : Voicing
    held : Fingering, optional
        The fingers that it was learnt with.
    """

    chord: Chord
    shape: Voicing
    held: Fingering | None = None

    @property
    def movable(self) -> bool:
        """Whether it may be played at another fret: no string of it is open."""
        return 0 not in self.shape.frets

    def __str__(self) -> str:
        return f"{self.chord.unicode} {self.shape.digits}"


@dataclass(frozen=True, slots=True, repr=False)
class Kin(Told):
    """A new shape beside the grip that it differs from by the fewest fingers.

    Parameters
    ----------
    grip : Grip
        What the class knows.
    start : Voicing
        That grip where it is taken: as it is known, or at another fret if it is movable.
    change : Change
        From it to the new shape, finger by finger.
    """

    grip: Grip
    start: Voicing
    change: Change

    @property
    def fingers(self) -> tuple[int, ...]:
        """The fingers that do not stay where they are."""
        return tuple(move.finger for move in self.change.moves if move.what != STAYS)

    @property
    def is_near(self) -> bool:
        """Whether so few fingers move that words tell it."""
        return len(self.fingers) <= _TOLD

    @property
    def helps(self) -> bool:
        """Whether the known grip helps: not where a finger is to be laid flat that was not."""
        return len(self.change.after.barres) <= len(self.change.before.barres)

    @property
    def words(self) -> str:
        """What to tell the class: ``"your F (2-0-1-0), first finger lifts"``.

        Of more than two fingers no more than how many they are.
        """
        return self._said(f" ({self.grip.shape.digits})")

    @property
    def beside(self) -> str:
        """The same for who sees the grip as well: without its frets."""
        return self._said("")

    @property
    def start_name(self) -> str:
        """What the grip is called where it is taken: at another fret it is another chord."""
        chord, known = self.grip.chord, self.grip.shape
        up = next(
            (
                there - fret
                for there, fret in zip(self.start.frets, known.frets, strict=True)
                if there is not None and fret is not None
            ),
            0,
        )
        if not up:
            return chord.unicode
        root = usual_root(chord.root.pitch_class + up)
        moved = replace(chord, root=root, bass=root)
        return moved.over(moved.spell((chord.bass.pitch_class + up) % 12)).unicode

    def _said(self, frets: str) -> str:
        shape = self.grip.shape
        moved = "" if self.start == shape else f" at fret {self.start.lowest_fret}"
        grip = f"your {self.grip.chord.unicode}{frets}{moved}"
        if not self.is_near:
            return f"from {grip}, {number(len(self.fingers))} fingers change"
        alike = "the same fingers" if self.start.highest_fret else "on fewer strings"
        return f"{grip}, {', '.join(self._moves) or alike}"

    @property
    def _moves(self) -> list[str]:
        done: dict[str, list[str]] = {}
        for move in self.change.moves:
            if move.what != STAYS:
                done.setdefault(_said(move), []).append(_FINGERS[move.finger - 1])
        return [_together(fingers, what) for what, fingers in done.items()]

    def __str__(self) -> str:
        return self.words


def _said(move: FingerMove) -> str:
    """Return what a finger does in one word or two: to another place it moves, whatever the way."""
    went = {"slides": "moves", "crosses": "moves", "lands": "is added"}.get(move.what, move.what)
    if not (move.start and move.end):
        return went
    was, now = move.start.width, move.end.width
    if move.what != ROLLS:
        turns = (now > 1) - (was > 1)
        return went + {1: " and is laid flat", -1: " and is put upright"}.get(turns, "")
    if now == 1:
        return "is put upright"
    if was == 1:
        return "is laid flat"
    return f"lies over {'more' if now > was else 'fewer'} strings"


def _together(fingers: list[str], what: str) -> str:
    if len(fingers) == 1:
        return f"{fingers[0]} {what}" if fingers == ["thumb"] else f"{fingers[0]} finger {what}"
    verb = f"are{what[2:]}" if what.startswith("is ") else what.removesuffix("s")
    return f"{join_words(fingers)} fingers {verb}"


def nearest_grip(
    shape: Voicing, grips: Iterable[Grip], held: Fingering | None = None
) -> Kin | None:
    """Return the grip from which a shape differs by the fewest fingers; None of none.

    Of several the one whose hand moves least; a movable grip may stand at any fret.

    Parameters
    ----------
    shape : Voicing
    grips : iterable of Grip
        On its instrument.
    held : Fingering, optional
        The fingers that the shape is played with; those that suit each grip best where not given.
    """
    found: list[tuple[int, bool, float, int, int, Kin]] = []
    for place, grip in enumerate(grips):
        for start in _places(grip, shape):
            try:
                ways = list(_changes(grip, start, shape, held))
            except HarmonyError:
                continue
            for way in ways:
                kin = Kin(grip, start, way)
                away = start != grip.shape
                found.append((len(kin.fingers), away, kin.change.mm, place, len(found), kin))
    return min(found, key=lambda one: one[:5])[-1] if found else None


def _changes(
    grip: Grip, start: Voicing, shape: Voicing, held: Fingering | None
) -> Iterator[Change]:
    """Yield the change from a grip to a shape, for each way in which the grip may be held.

    Raises
    ------
    HarmonyError
        If four fingers cannot hold one of them.
    """
    if held is None and grip.held is None:
        yield change(start, shape)
        return
    ways = ways_of(start, None)
    learnt = [way for way in ways if grip.held and way.fingering.fingers == grip.held.fingers]
    least = min(way.points for way in ways)
    for way in learnt or [way for way in ways if way.points == least]:
        after = held or change(start, shape).after
        yield change_of(start, way.fingering, shape, after)


def grip_form(shape: Voicing) -> frettings.Fretting:
    """Return the frets of a shape, a movable one put at the first fret: equal for one grip.

    Parameters
    ----------
    shape : Voicing

    Examples
    --------
    >>> grip_form(Voicing.parse("4545")), grip_form(Voicing.parse("0232"))
    ((1, 2, 1, 2), (0, 2, 3, 2))
    """
    if 0 in shape.frets or not shape.fretted:
        return shape.frets
    return frettings.shifted(shape.frets, 1 - shape.lowest_fret)


def _places(grip: Grip, shape: Voicing) -> Iterable[Voicing]:
    """Yield a grip as it is known, and a movable one where its fingers fall on a shape's frets."""
    yield grip.shape
    if not grip.movable:
        return
    for down in sorted({fret - own for fret in shape.fretted for own in grip.shape.fretted} - {0}):
        frets = frettings.shifted(grip.shape.frets, down)
        if all(fret is None or 1 <= fret <= shape.instrument.frets for fret in frets):
            yield Voicing(shape.instrument, frets)


def read_grip(text: str, instrument: Instrument) -> Grip:
    """Return the grip of a text: a chord, then its frets.

    Parameters
    ----------
    text : str
    instrument : Instrument

    Raises
    ------
    HarmonyError
        If it sounds a note that the chord does not have.

    Examples
    --------
    >>> str(read_grip("Bb 3211", Instrument.named("ukulele")))
    'B♭ 3-2-1-1'
    """
    name, _, frets = text.strip().rpartition(" ")
    if not name:
        raise HarmonyError(f"{text!r} is not a grip", rule="a chord, then its frets", mend="C 0003")
    chord, shape = Chord.parse(name), as_voicing(frets, instrument)
    foreign = reading.makeup(shape, chord).foreign
    if foreign:
        notes = " and ".join(note.unicode for note in foreign)
        raise HarmonyError(
            f"{shape.digits} on the {instrument.name} is not {chord.unicode}: it has {notes}",
            rule=f"the notes of {chord.unicode} are {', '.join(n.unicode for n in chord.notes)}",
        )
    return Grip(chord, shape)


def known_grip(chord: Chord, grips: Iterable[Grip]) -> Voicing | None:
    """Return the lowest place at which one of some grips sounds a chord, whole; None if none does.

    A movable grip is taken to another fret as far as a first hand goes, not higher up the neck.

    Parameters
    ----------
    chord : Chord
    grips : iterable of Grip

    Examples
    --------
    >>> known = [read_grip("Bb 3211", Instrument.named("ukulele"))]
    >>> [known_grip(Chord.parse(name), known) for name in ("C", "Cm", "D")]
    [Voicing.parse('5-4-3-3', 'ukulele'), None, None]
    """
    found = []
    for grip in grips:
        shape = grip.shape
        highest = max(shape.highest_fret, limits_at(1, shape.instrument).max_fret)
        for up in range(-11, 12) if grip.movable else (0,):
            frets = frettings.shifted(shape.frets, up)
            if all(fret is None or grip.movable <= fret <= highest for fret in frets):
                there = Voicing(shape.instrument, frets)
                if there.pcs == chord.pcs:
                    found.append(there)
    return min(found, key=lambda shape: (shape.highest_fret, shape.digits), default=None)
