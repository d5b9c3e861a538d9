"""A change of shapes as it is practised: what is set, what follows, and its picture on two necks.

All of it is pure: the rounds that were played are handed in.  Lengths are in mm.
"""

from collections.abc import Sequence
from datetime import date
from functools import lru_cache

from harmonykit.about.names import NO_NOTES
from harmonykit.draw.base.canvas import HUB_PT, NOTE_PT, Canvas
from harmonykit.draw.tree import Outline
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.practice.changes import Change, ChangeStanding, change_standings, named_changes
from harmonykit.practice.rounds import BEATS, FASTEST, SLOWEST, Round
from harmonykit.practice.theme import Theme, instrument_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import chord_words
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted, lasting
from harmonykit.workbook.base.scene import Look, Scene, Shown, Spot
from harmonykit.workbook.panels.scenes import NECK_LINES, WIDE_MM, Neck, Spread, place_of

TURNS = 4
STEP = 4
_HEAD_MM, _APART_MM, _FOOT_MM = 14.0, 6.0, 15.0
_FEWEST_FRETS = 5
_ROUNDS, _ROUND_MM = 12, 13.0
_SIDES = ("before", "after")


@dataclass(frozen=True, slots=True)
class ChangeState:
    """What is set of a change.

    Parameters
    ----------
    before, after : str
        The two shapes: ``"0-0-0-0"``.
    first, second : str
        Their chords; empty where they have no name.
    instrument : str
    tempo : int
        Quarters a minute; 0 for what follows from the rounds that were played.
    heard : bool
        Whether the loop was played and nothing was said of it yet.
    """

    before: str = "0-0-0-0"
    after: str = "0-2-1-2"
    first: str = "C6"
    second: str = "G7"
    instrument: str = "ukulele"
    tempo: int = 0
    heard: bool = False

    def __post_init__(self) -> None:
        for shape in (self.before, self.after):
            Voicing.parse(shape, self.neck)
        for chord in filter(None, (self.first, self.second)):
            Chord.parse(chord)
        if self.tempo and not SLOWEST <= self.tempo <= FASTEST:
            raise HarmonyError(
                f"a tempo of {self.tempo} is out of range", rule=f"{SLOWEST} to {FASTEST}"
            )

    @property
    def neck(self) -> Instrument:
        """The instrument."""
        return instrument_of(self.instrument)

    @property
    def change(self) -> Change:
        """The change."""
        return Change(self.before, self.after, self.first, self.second)

    @property
    def sides(self) -> tuple[tuple[Voicing, Chord | None], ...]:
        """Each shape with its chord, if it has a name."""
        rows = ((self.before, self.first), (self.after, self.second))
        return tuple(
            (Voicing.parse(shape, self.neck), Chord.parse(name) if name else None)
            for shape, name in rows
        )


def blank_on(instrument: str) -> ChangeState:
    """Return what is set on an instrument before a change is chosen."""
    usual = ChangeState()
    if instrument == usual.instrument:
        return usual
    neutral = "-".join("0" for _ in instrument_of(instrument).strings)
    return ChangeState(neutral, neutral, "", "", instrument)


def at(state: ChangeState, change: Change) -> ChangeState:
    """Return the state in which a change is practised."""
    return replace(
        state, before=change.before, after=change.after, first=change.first,
        second=change.second, tempo=0, heard=False,
    )  # fmt: skip


def standing(state: ChangeState, rounds: Sequence[Round], today: date) -> ChangeStanding:
    """Return how one stands with the change."""
    (found,) = change_standings(rounds, [(state.before, state.after)], state.instrument, today)
    return found


def tempo_of(state: ChangeState, rounds: Sequence[Round], today: date) -> int:
    """Return the tempo of the next round."""
    return state.tempo or standing(state, rounds, today).tempo


def seconds_of(tempo: int) -> int:
    """Return how long the loop lasts, its bar of clicks among it."""
    return round((1 + 2 * TURNS) * BEATS * 60 / tempo)


def own_change(text: str, state: ChangeState) -> Change:
    """Read a change as it is typed: two shapes, or two chords, of which the nearest are taken.

    Raises
    ------
    HarmonyError
        If it is not two shapes or two chords.

    Examples
    --------
    >>> own_change("2-2-2-3 to 0-2-1-2", ChangeState())
    Change(before='2-2-2-3', after='0-2-1-2', first='D7', second='G7')
    >>> own_change("C6 to G7", ChangeState()).after
    '0-2-1-2'
    """
    words = [word[0] for word in chord_words(text) if word[0] != "to"]
    if len(words) != 2:
        raise HarmonyError(
            f"{text!r} is not a change", rule="two shapes, or two chords", mend="C6 to G7"
        )
    if not words[0][0].isalpha() or words[0][0] in "xX":
        shapes = [Voicing.parse(word, state.neck) for word in words]
        names = [_name(shape) for shape in shapes]
        change = Change(shapes[0].digits, shapes[1].digits, *names)
    else:
        symbols = [Chord.parse(word).symbol for word in words]
        theme = Theme(instrument=state.instrument, pairs=(">".join(symbols),))
        found = named_changes(theme) or named_changes(theme, 3)
        if not found:
            raise HarmonyError(f"{' and '.join(words)} have no two shapes that differ here")
        change = found[0]
    if change.before == change.after:
        raise HarmonyError("the two shapes are the same", mend="0-0-0-0 to 0-2-1-2")
    return change


def _name(shape: Voicing) -> str:
    from harmonykit.theory.naming import name_chords

    named = name_chords(shape.pcs)
    return named[0].chord.symbol if named and not named[0].missing else ""


def moved(state: ChangeState, part: str) -> ChangeState:
    """Return the state after a fret of one of the two necks was pressed: the finger moves there.

    Examples
    --------
    >>> moved(ChangeState(), "after-string-4-fret-3").after
    '0-2-1-3'
    """
    side, _, place = part.partition("-")
    string, fret = place_of(place)
    shape = Voicing.parse(getattr(state, side), state.neck)
    frets = [fret if n == string else old for n, old in enumerate(shape.frets)]
    new = Voicing(state.neck, tuple(frets))
    name = {"before": "first", "after": "second"}[side]
    values = {side: new.digits, name: _name(new)}
    return replace(state, tempo=0, heard=False, **values)


def told(state: ChangeState, rounds: Sequence[Round], today: date) -> str:
    """Return what is said of a change: what to do next, and how one stands."""
    now, tempo = standing(state, rounds, today), tempo_of(state, rounds, today)
    if state.heard:
        line = (
            "How did it go? It was clean if every note sounded, in time. "
            "Two clean rounds in a row lead to a faster one."
        )
    else:
        line = (
            f"Play the loop at {tempo}: a bar of clicks, then a bar of each chord, "
            f"{TURNS} times; {lasting(seconds_of(tempo))}."
        )
    return f"{line}\n{_stands(now)}\n{_CARE}"


_CARE = "Rest between rounds. Stop if it hurts; if pain, numbness or tingling lasts, see a doctor."


def _stands(now: ChangeStanding) -> str:
    if now.days is None:
        return "Not practised yet."
    when = {0: "today", 1: "yesterday"}.get(now.days, f"{now.days} days ago")
    best = f"Best clean tempo {now.best}" if now.best else "Not clean yet"
    minutes = counted(round(now.minutes), "minute") if now.minutes >= 1 else "less than a minute"
    return f"{best}; last practised {when}; {minutes} in all."


def scene_of(state: ChangeState) -> Scene:
    """Return the picture for an instrument and the frets that are needed."""
    highest = max((fret or 0 for shape, _ in state.sides for fret in shape.frets), default=0)
    return _scene(state.instrument, max(_FEWEST_FRETS, highest))


@lru_cache(maxsize=16)
def _scene(instrument: str, frets: int) -> Scene:
    necks = _necks(instrument, frets)
    high = _HEAD_MM + necks[0].high
    canvas = Canvas(WIDE_MM, high + _FOOT_MM)
    words = "your last rounds at their tempo: solid was clean, open not yet"
    canvas.letter(0.5, high + 1.5, words, NOTE_PT, colour="soft", anchor="left")
    spots: list[Spot] = []
    for side, neck in zip(_SIDES, necks, strict=True):
        neck.draw(canvas)
        x = neck.corner[0]
        spots.append(Spot(f"{side}-name", x + 3.0, 6.0, point=HUB_PT, press=False, anchor="start"))
        spots += [replace(spot, id=f"{side}-{spot.id}") for spot in neck.spots()]
    spots += [
        Spot(f"round-{n}", 5.0 + n * _ROUND_MM, high + 9.5, 8.0, NOTE_PT, press=False)
        for n in range(_ROUNDS)
    ]
    lines = [replace(line, id=f"{side}-{line.id}") for side in _SIDES for line in NECK_LINES]
    return Scene(
        WIDE_MM, canvas.height, canvas.parts, tuple(spots), tuple(lines), title="a change of shapes"
    )


def _necks(instrument: str, frets: int) -> tuple[Neck, ...]:
    wide = (WIDE_MM - _APART_MM) / 2
    return tuple(
        Neck(
            instrument_of(instrument), (n * (wide + _APART_MM), _HEAD_MM), wide, Spread(frets=frets)
        )
        for n in range(2)
    )


def show(state: ChangeState, rounds: Sequence[Round], today: date) -> Shown:
    """Return how the parts of the picture look."""
    scene = scene_of(state)
    frets = max(int(spot.id.rpartition("-")[2]) for spot in scene.spots if "-fret-" in spot.id)
    looks: dict[str, Look] = {}
    lines: dict[str, Outline] = {}
    for side, neck, (shape, chord) in zip(
        _SIDES, _necks(state.instrument, frets), state.sides, strict=True
    ):
        name = f"{chord.unicode}  {shape.digits}" if chord is not None else shape.digits
        looks[f"{side}-name"] = Look("none", name)
        own = neck.looks(NO_NOTES, chord, shape)
        looks |= {f"{side}-{part}": look for part, look in own.items()}
        lines |= {f"{side}-{line}": course for line, course in neck.courses(shape).items()}
    mine = [each for each in rounds if each.change == _key(state)][-_ROUNDS:]
    for n, each in enumerate(mine):
        said = f"round at {each.tempo}, {'clean' if each.clean else 'not yet clean'}"
        looks[f"round-{n}"] = Look("note" if each.clean else "fifth", str(each.tempo), said)
    lead = f"{state.change.label}, at {tempo_of(state, rounds, today)} quarter notes a minute"
    return Shown(looks, lines, told(state, rounds, today), lead)


def _key(state: ChangeState) -> tuple[str, str, str]:
    one, other = sorted((state.before, state.after))
    return state.instrument, one, other
