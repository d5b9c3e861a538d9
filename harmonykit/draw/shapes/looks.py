"""How shapes look: the sizes of a box and all that can be set about it, and strings as drawn.

Conventions.  Lengths are in mm, those of a box at the plain size; type is in points.  Strings are
counted from 0 in the instrument's order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from harmonykit.draw.base import fonts, given
from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SMALL_PT, Canvas, Drawing
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.change import Change
from harmonykit.fretboard.hands.hand import Fingering
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.theory.typed import as_typed
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words

Frets = tuple[int | None, ...]

# The o and x above an open and a muted string, and how high they stand above the nut.
SIGN_MM, SIGN_LINE_MM, SIGN_UP_MM = 1.9, 0.35, 3.2
CAP_EM = 0.66


@dataclass(frozen=True, slots=True)
class BoxSize:
    """How large a box is: geometry, lines, sides as multiples, type in points, mark ``d`` in mm."""

    scale: float
    line: float
    name_pt: float
    note_pt: float
    mark: float
    finger_pt: float
    side: float

    @property
    def name_up(self) -> float:
        """From the top fret line up to the name's baseline, in mm: clear of o and x."""
        return (SIGN_UP_MM + SIGN_MM / 2 + SIGN_LINE_MM / 2) * self.scale + 1.6

    @property
    def notes_down(self) -> float:
        """From the lowest line down to the baseline of the notes' names, in mm."""
        gap = 2.1 + 2.5 * (max(self.scale, 1) - 1)
        return gap + CAP_EM * self.note_pt / fonts.POINTS_PER_MM


BOX_SIZES = {
    "plain": BoxSize(1.0, 1.0, 13.0, NOTE_PT, 4.2, SMALL_PT, 1.0),
    "chart": BoxSize(0.74, 1.0, 13.0, SMALL_PT, 3.2, SMALL_PT, 0.84),
    "source": BoxSize(1.5, 1.2, 17.0, 10.0, 6.3, 12.0, 1.5),
    "large": BoxSize(2.0, 1.8, 26.0, 16.0, 8.4, 16.0, 2.0),
    # Over the bar of a chart that brings the shape, and the same shape to play from.
    "over": BoxSize(0.8, 1.0, 13.0, 9.0, 3.5, 9.0, 0.84),
    "play": BoxSize(1.2, 1.2, 17.0, 10.0, 5.6, 10.0, 1.2),
    # On a sheet in large print five stand side by side; no text is under 16 points.
    "sheet": BoxSize(1.4, 1.6, 22.0, 16.0, 6.4, 16.0, 1.6),
}


@dataclass(frozen=True, slots=True)
class BoxLook:
    """How a chord diagram looks beside its marks and its colours.

    Parameters
    ----------
    size : {"plain", "chart", "over", "play", "source", "large", "sheet"}
        A chart's box is small, and has neither name nor notes unless they are asked for.
    notes : bool, optional
        Note names below the box; unless given, under all boxes but a chart's.
    degrees : bool
        Degrees of the chord below, in place of the names.
    barre : bool, optional
        A bar behind what one finger presses; drawn with fingers unless given.
    fingering : Fingering, optional
        Fingers and barres to draw in place of the shape's own: those of a progression, say.
    change : Change, optional
        What the fingers did on the way to the shape.  Among fingers an open mark is one that
        stayed, and a tail shows from which fret one slid; they press as the change has it.
    third : bool
        Whether the third of the chord is a square among fingers too, and a small one above the nut
        where its string is open.
    blank : bool
        Empty, with a line for the name: to fill in with shapes that lie where this one does.
    left_handed : bool, optional
        As the instrument is strung unless given.
    reverse_strings : bool
        The order of the strings turned round, for an instrument strung the other way.
    places : bool
        Whether every string, fret and empty place has an id and an area to click on.

    Raises
    ------
    HarmonyError
        For an unknown size.

    Examples
    --------
    >>> hk.draw.BoxLook(size="large", degrees=True)
    BoxLook(size='large', degrees=True)
    """

    size: str = "plain"
    notes: bool | None = None
    degrees: bool = False
    barre: bool | None = None
    fingering: Fingering | None = None
    change: Change | None = None
    third: bool = False
    blank: bool = False
    left_handed: bool | None = None
    reverse_strings: bool = False
    places: bool = False

    def __post_init__(self) -> None:
        check_known("size of chord diagram", self.size, BOX_SIZES)

    def __repr__(self) -> str:
        return as_typed(self)


@dataclass(frozen=True, slots=True)
class Drawn:
    """All that is settled about a box before it is drawn."""

    name: str
    marks: str
    below: str
    was: Frets | None
    left_handed: bool
    reverse_strings: bool
    size: str
    blank: bool
    barre: bool
    fingering: Fingering | None
    kept: tuple[int, ...]
    slid: tuple[tuple[int, int], ...]
    third: bool
    places: bool
    palette: str


def check_known(what: str, value: str, known: Iterable[str]) -> None:
    """Refuse a word that is unknown.

    Raises
    ------
    HarmonyError
        With the words that there are.
    """
    if value not in known:
        raise HarmonyError(f"unknown {what} {value!r}", mend=", ".join(map(repr, known)))


# From one line to the next of strings that are pressed together.
_BESIDE_MM = 0.8


def strands(instrument: Instrument, string: int, scale: float = 1.0) -> tuple[float, ...]:
    """Return where the lines of one string lie beside its middle, in mm: two for a double one.

    Examples
    --------
    >>> strands(Instrument.named("ukulele"), 0), strands(Instrument.named("mandolin"), 0)
    ((0.0,), (-0.4, 0.4))
    """
    count = 1 + (len(instrument.doubles[string]) if instrument.doubles else 0)
    return tuple(_BESIDE_MM * scale * (line - (count - 1) / 2) for line in range(count))


def whole_strings(instrument: Instrument, wire: int = 0) -> tuple[int, ...]:
    """Return the strings that lie on a wire; not those that start at a higher fret.

    Examples
    --------
    >>> banjo = Instrument.named("five-string banjo")
    >>> whole_strings(banjo), whole_strings(banjo, 5)
    ((1, 2, 3, 4), (0, 1, 2, 3, 4))
    """
    return tuple(s for s in range(len(instrument.strings)) if instrument.start(s) <= wire)


def drawn_order(count: int, *turned: bool) -> tuple[int, ...]:
    """Return the strings as they are drawn, each turn the other way round.

    Examples
    --------
    >>> drawn_order(4), drawn_order(4, True), drawn_order(4, True, True)
    ((0, 1, 2, 3), (3, 2, 1, 0), (0, 1, 2, 3))
    """
    order = tuple(range(count))
    return order[::-1] if sum(turned) % 2 else order


def is_left_handed(instrument: Instrument, *, asked: bool | None) -> bool:
    """Return the hand that is asked for, else the one that the instrument is strung for."""
    return instrument.left_handed if asked is None else asked


def span(places: Iterable[float]) -> tuple[float, float]:
    """Return the least and the greatest of some places.

    Examples
    --------
    >>> span([3.0, 1.0, 2.0])
    (1.0, 3.0)
    """
    listed = list(places)
    return min(listed), max(listed)


_APART_MM, _SIDE_MM = 8.0, 4.0
_LEAST_MM, _MOST_MM, _SEMITONE_MM = 1.2, 9.5, 0.93
_GROUND_MM, _POST_MM = 0.6, 0.25


def draw_tuning(
    instrument: InstrumentLike, *, left_handed: bool | None = None, palette: str = "colour"
) -> Drawing:
    """Draw each open string as a column as high as it sounds, in the order of a chord diagram.

    ``left_handed`` is the mirror image; as the instrument is strung unless given.

    Parameters
    ----------
    instrument : Instrument or str
    left_handed : bool, optional
        Whether it is the mirror image; as the instrument is strung where not given.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing

    Examples
    --------
    >>> hk.draw.tuning("ukulele").alt.split(": ")[1]
    'G, C, E and A; the C string is the lowest'
    """
    instrument = as_instrument(instrument)
    order = drawn_order(len(instrument.strings), is_left_handed(instrument, asked=left_handed))
    lowest, highest = min(instrument.midi), max(instrument.midi)
    step = min(_SEMITONE_MM, (_MOST_MM - _LEAST_MM) / max(highest - lowest, 1))
    width = 2 * _SIDE_MM + _APART_MM * (len(instrument.strings) - 1)
    ground = _MOST_MM + 4.6
    canvas = Canvas(width, ground + _GROUND_MM, palette)
    labels = instrument.printed_labels
    for index, string in enumerate(order):
        x = _SIDE_MM + index * _APART_MM
        top = ground - _LEAST_MM - (instrument.midi[string] - lowest) * step
        canvas.lines([[(x, ground), (x, top)]], _POST_MM)
        canvas.text(x, top - 1.3, labels[string], LABEL_PT, weight=fonts.SEMIBOLD)
    canvas.lines([[(0, ground), (width, ground)]], _GROUND_MM)
    return canvas.drawing(f"tuned {' '.join(labels)}", _describe(instrument, order))


def _describe(instrument: Instrument, order: Sequence[int]) -> str:
    notes = join_words([given.spoken(instrument.strings[string]) for string in order])
    low = given.string_names(instrument)[instrument.midi.index(min(instrument.midi))]
    head = "The open strings from left to right, each at its pitch"
    verb = "are" if low.endswith("strings") else "is"
    return f"{head}: {notes}; the {low} {verb} the lowest"
