"""What is done for one task, wherever it is done: read a tune; measure its best arrangements.

Both functions take and give plain values, so that they can be sent to another process or machine.
What goes wrong is given back as words: no tune ends a survey.

A row is one cell: a tune in a key on an instrument at a level.  ``cost`` is in the units of
``costs.Weights``: what hand and ear do in the best arrangement, and a price for each *place*, a
slot for which the rules of the moves offer something, in which nothing is put.  The search itself
asks no price where only the shapes are missing; here it counts as well, for else a key would look
cheap because little can be played in it.  Places follow from the tune alone, so that keys and
levels can be compared.  The ``written_`` columns are of the best way to play the tune's own chords.
"""

from dataclasses import fields, replace
from types import MappingProxyType

from harmonykit.arrange import layout, part_prices, search
from harmonykit.arrange.answers import answers_in
from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.arrange.measures import UNITS, Measures, measure
from harmonykit.arrange.moves import MOVES, Refused
from harmonykit.arrange.playability import open_share, playability
from harmonykit.arrange.slots import Slot
from harmonykit.arrange.space import Search, search_space
from harmonykit.arrange.survey.plan import one_line
from harmonykit.arrange.wishes import FULL, Wishes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands import hand, holding
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.files import tune_from
from harmonykit.theory.key import Key, key_on, shift

Value = str | int | float | None
Row = dict[str, Value]

PLAYABILITY, OPEN = "playability", "written_open"
_PLACES = 4
_BOTH = ("mean_movement", "travel_mm", "shapes", "highest_fret")
_MEASURES = {
    field.name: f"{field.metadata['about']} ({field.metadata['unit']})"
    for field in fields(Measures)
}

COLUMNS = MappingProxyType(
    {
        "title": "the tune",
        "written": "the key in which it is written",
        "key": "the key in which it is played here",
        "instrument": "the instrument",
        "level": "the level of the hand, as in harmonykit chord --level",
        "bars": "bars as played (count)",
        "cost": "sum of weights of the best arrangement, and of each place left as written",
        "places": "places where the rules allow a move (count)",
        "taken": "places where the best arrangement uses one (count)",
        "past": "shapes of the best arrangement beyond the limits of the level (count)",
        PLAYABILITY: _MEASURES[PLAYABILITY],
        **_MEASURES,
        "written_playability": "how hard the tune's own chords are in their usual shapes (rating)",
        OPEN: "how long an open string sounds in these shapes (% of time)",
        "written_cost": "sum of weights of the tune as written",
        "written_past": "shapes beyond the limits in the tune as written (count)",
        **{f"written_{name}": f"as written: {_MEASURES[name]}" for name in _BOTH},
        "error": "why the numbers are missing",
    }
)
"""The columns of a row, and what each tells."""

WHOLE = (
    "level", "bars", "cost", "places", "taken", "past", "written_cost", "written_past",
    "written_shapes", "written_highest_fret",
    *(field.name for field in fields(Measures) if field.type == "int"),
)  # fmt: skip
"""The columns of whole numbers."""

NUMBERS = tuple(
    name
    for name in COLUMNS
    if name in WHOLE or name.removeprefix("written_") in (*UNITS, PLAYABILITY)
)
"""The columns by which keys can be compared."""


def read(name: str, data: bytes) -> Tune | str:
    """Return the tune that a file holds, or why there is none.

    Parameters
    ----------
    name : str
        The file's name; its suffix says what it holds.
    data : bytes
        The tune's own bytes.
    """
    try:
        tune = tune_from(name, data)
        # Repeats that nobody would play, or a jump that leads nowhere, come to light here.
        return tune if tune.playing else "the tune has no bars"
    except Exception as error:  # noqa: BLE001  one tune must not end the survey
        return _said(error)


def cells(
    tune: Tune, instrument: Instrument, level: int, tonics: tuple[int, ...], moves: tuple[str, ...]
) -> tuple[Row, ...]:
    """Return a row for each key: a tune on an instrument at a level.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    level : int
    tonics : tuple of int
        Pitch classes; none for the tune's own key alone.
    moves : tuple of str

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> tune = read_tune(find_data("tunes", "slack_water_waltz"))
    >>> rows = cells(tune, Instrument.named("ukulele"), 1, (5, 7), ("leading-tone diminished",))
    >>> [(row["key"], row["places"], row["added"]) for row in rows]
    [('F major', 7, 7), ('G major', 7, 7)]
    """
    keys = [key_on(tonic, tune.key.mode) for tonic in tonics] or [tune.key.readable()]
    return tuple(_cell(tune, key, instrument, level, moves) for key in keys)


def empty_row(title: str, error: str) -> Row:
    """Return a row without numbers."""
    return dict.fromkeys(COLUMNS) | {"title": _plain(title), "error": _plain(error)}


def _cell(tune: Tune, key: Key, instrument: Instrument, level: int, moves: tuple[str, ...]) -> Row:
    row = empty_row(tune.title, "") | {
        "written": str(tune.key),
        "key": str(key),
        "instrument": instrument.name,
        "level": level,
        "bars": tune.bar_count,
    }
    try:
        return row | _numbers(tune.transpose(shift(tune.key, key)), instrument, level, moves)
    except Exception as error:  # noqa: BLE001  one cell must not end the survey
        return row | {"error": _plain(_said(error))}


def _numbers(tune: Tune, instrument: Instrument, level: int, moves: tuple[str, ...]) -> Row:
    limits = hand.limits_at(level, instrument)
    space = search_space(tune, instrument, moves, Wishes(limits=limits, density=FULL))
    best = space.arrangement(*space.network.cheapest(1)[0])
    plain = search.reharmonise(tune, instrument, (), k=1, wishes=Wishes(limits=limits))[0]
    places, playable = _places(space, moves)
    of_best, of_plain = measure(best), measure(plain)
    missed = part_prices.URGENT * space.network.prices.weights.chance * len(places - playable)
    row: Row = {"cost": best.cost + missed}
    row |= {"places": len(places), "taken": _taken(places, best), "past": _past(best)}
    row |= {name: _rounded(getattr(of_best, name)) for name in _MEASURES}
    row[f"written_{PLAYABILITY}"] = _rounded(playability(tune, instrument, limits).number)
    row[OPEN] = _rounded(open_share(tune, instrument, limits))
    row |= {"written_cost": plain.cost, "written_past": _past(plain)}
    return row | {f"written_{name}": _rounded(getattr(of_plain, name)) for name in _BOTH}


def _places(space: Search, moves: tuple[str, ...]) -> tuple[set[Slot], set[Slot]]:
    """Return the slots for which a move is offered, and those in which one can be played."""
    network, setting = space.network, space.network.prices.setting
    places: set[Slot] = set()
    playable: set[Slot] = set()
    if setting is None:
        return places, playable
    answers = answers_in(space.tune, replace(setting, moves=frozenset()))
    for index, slot in enumerate(answers.slots):
        offers = [each for move in moves for each in answers.of(MOVES[move], index, setting.moves)]
        variants = [
            offer
            for offer in offers
            if not isinstance(offer, Refused) and not layout.is_free(offer)
        ]
        if variants:
            places.add(slot)
        if any(network.rows(variant, [slot]) is not None for variant in variants):
            playable.add(slot)
    return places, playable


def _taken(places: set[Slot], arrangement: Arrangement) -> int:
    onsets = [step.onset for step in arrangement.added]
    return sum(any(slot.onset <= onset < slot.end for onset in onsets) for slot in places)


def _past(arrangement: Arrangement) -> int:
    """Count the shapes that a hand of the level should not be asked for."""
    return sum(
        not holding.can_hold(shape.frets, arrangement.instrument, arrangement.limits)
        for shape in arrangement.shapes
    )


def _rounded(value: float) -> float:
    return round(value, _PLACES)


def _plain(text: str) -> str:
    """Return a text on one line, without what is no letter or sign."""
    return "".join(sign for sign in " ".join(text.split()) if sign.isprintable())


def _said(error: Exception) -> str:
    if isinstance(error, HarmonyError):
        return one_line(error)
    return f"stopped by an error: {type(error).__name__}: {error}"
