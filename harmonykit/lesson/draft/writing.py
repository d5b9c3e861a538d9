"""A first draft of a lesson on a tune: a file that builds as it is, for a teacher to go on from.

Its levels and its order come from what the tune offers: which moves find places in it, and how
many.  What is said of each stands in ``ideas``; notes, bars and numbers are put in by
calls, so that the draft stays true whatever the teacher changes above.

A move is offered at the first of two settings at which the search adds a chord by it: a usual reach
and a second for each chord, then a wide reach and half a second.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.moves import Refused, Setting, move_named
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.slots import slots_of
from harmonykit.arrange.wishes import FULL, Wishes
from harmonykit.errors import HarmonyError
from harmonykit.files import write_new
from harmonykit.files.toml import toml_string, toml_strings
from harmonykit.fretboard.hands.limits import REACHES, limits_at
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.lesson.draft import ideas
from harmonykit.lesson.plan.keys import FORMAT
from harmonykit.lesson.plan.levels import LEAST_SECONDS
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.plan.source import FENCE
from harmonykit.lesson.plan.starts import climbing_shape, movable_shape
from harmonykit.lesson.statements.counted import dominants_of
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Resolution, approach, resolutions
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.tune import Tune

SLOWEST = 40
SHARES = {1: 0.6, 2: 0.7, 3: 0.85}
"""The share of the tune's tempo for each reach of the hand, 1 to 3."""


@dataclass(frozen=True, slots=True)
class Offer:
    """One or several moves that find places in a tune, and how.

    Parameters
    ----------
    moves : tuple of str
    hand : int in 1..3
        The reach that it takes.
    added : tuple of Step
        What the search adds, in playing order.
    """

    moves: tuple[str, ...]
    hand: int
    added: tuple[Step, ...]

    @property
    def bars(self) -> tuple[int, ...]:
        """The bars with an added chord, in playing order from 0, each once."""
        return tuple(dict.fromkeys(step.bar for step in self.added))


def tempo_at(tune: Tune, hand: int) -> int:
    """Return the tempo of a draft's level, in quarter notes a minute."""
    return max(SLOWEST, round(tune.tempo * SHARES[hand]))


def offers(tune: Tune, instrument: Instrument, moves: Iterable[str]) -> tuple[Offer, ...]:
    """Return what the tune offers: for each move that finds a place, where.

    Those with few places come first, so that a lesson goes from a few added chords to many; of
    equal ones, that whose first place comes first.
    """
    found = [offer for move in moves if (offer := offer_of(tune, instrument, (move,)))]
    return tuple(sorted(found, key=lambda offer: (len(offer.bars), offer.bars)))


def offer_of(
    tune: Tune, instrument: Instrument, moves: tuple[str, ...], least: int = 2
) -> Offer | None:
    """Return where some moves find places, at the smallest reach that has one.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    moves : tuple of str
    least : int in 2..3
        The reach to begin with.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> blues = read_tune(find_data("tunes", "ropewalk_blues"))
    >>> offer = offer_of(blues, Instrument.named("ukulele"), ("tritone substitution",))
    >>> offer and (offer.hand, [bar + 1 for bar in offer.bars])
    (2, [4, 9, 10])
    >>> offer_of(blues, Instrument.named("ukulele"), ("descending passing diminished",)) is None
    True
    """
    for hand in range(least, 4):
        if any(_may_apply(tune, move, hand) for move in moves):
            added = _arranged(tune, instrument, moves, hand).added
            if added:
                return Offer(moves, hand, added)
    return None


def _may_apply(tune: Tune, move: str, hand: int) -> bool:
    """Whether a move's rules allow it anywhere, whatever the shapes are."""
    pace, least = tempo_at(tune, hand), LEAST_SECONDS[hand - 1]
    setting = Setting(tune.key, tune.melody, pace, least, across_sections=True)
    rule = move_named(move)
    return any(
        not isinstance(one, Refused) for slot in slots_of(tune) for one in rule.offer(slot, setting)
    )


def _arranged(tune: Tune, instrument: Instrument, moves: tuple[str, ...], hand: int) -> Arrangement:
    return reharmonise(
        tune,
        instrument,
        moves,
        1,
        wishes=Wishes(
            limits=limits_at(hand, instrument),
            tempo=tempo_at(tune, hand),
            least_seconds=LEAST_SECONDS[hand - 1],
            prefer=moves[0] if len(moves) == 1 else "",
            density=FULL,
        ),
    )[0]


MOST_MOVES = 3
"""How many moves have a level of their own: those that find most places."""
_REACH_OF = tuple(REACHES)
_WALKS = ("ascending walk", "descending walk")


def write_draft(
    path: Path,
    tune: TuneLike,
    tune_name: str,
    instrument: InstrumentLike,
    number: int | None = None,
) -> Path:
    """Write a draft to a new file.

    Parameters
    ----------
    path : Path
        A new file.
    tune : Tune
    tune_name : str
        The tune as the file names it: a shipped name, or a path.
    instrument : Instrument or str
    number : int, optional
        Which tune of a file that holds many.

    Returns
    -------
    Path

    Raises
    ------
    LessonError
        If the file exists already: a teacher's work is never written over.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import mkdtemp
    >>> path = Path(mkdtemp()) / "draft.md"
    >>> tune = hk.read_tune("heron_landing")
    >>> hk.lesson.write_first_draft(path, tune, "heron_landing", "ukulele").name
    'draft.md'
    """
    write_new(path, draft(tune, tune_name, instrument, number), LessonError)
    return path


def draft(
    tune: TuneLike,
    tune_name: str,
    instrument: InstrumentLike,
    number: int | None = None,
    idea: ideas.Idea = ideas.OFFERED,
) -> str:
    """Return a lesson's text for a tune on an instrument.

    Parameters
    ----------
    tune : Tune
    tune_name : str
        The tune as the file names it: a shipped name, or a path.
    instrument : Instrument or str
    number : int, optional
        Which tune of a file that holds many.
    idea : Idea
        What the lesson is about.

    Returns
    -------
    str

    Examples
    --------
    >>> tune = hk.read_tune("heron_landing")
    >>> text = hk.lesson.first_draft(tune, "heron_landing", "ukulele")
    >>> text.splitlines()[2]
    'title = "What Heron Landing offers"'
    """
    tune, instrument = as_tune(tune), as_instrument(instrument)
    levels = _levels(tune, instrument, idea)
    chord, scale = _chord(tune, instrument), _scale(tune, instrument, levels)
    front = [
        FENCE,
        f"format = {FORMAT}",
        f"title = {toml_string(idea.title.format(tune=tune.title))}",
        f"subtitle = {toml_string(idea.subtitle)}",
        f"tune = {toml_string(tune_name)}",
        *([] if number is None else [f"tune_number = {number}"]),
        f"instrument = {toml_string(instrument.name)}",
        f"chord = {toml_string(chord.symbol)}",
        f"scale = {toml_string(f'{scale.tonic.name} {scale.kind}')}",
    ]
    for station, offer in levels:
        front += _level(tune, station, offer)
    home = next(way for way in resolutions(chord) if leads_home(chord, way))
    names = {"chord": chord.symbol, "parent": home.parent.symbol, "target": home.target.name}
    body = "\n\n".join(_sections(tune, levels)).format(**names)
    return "\n".join([*front, FENCE, "", body, ""])


Levels = list[tuple[ideas.Station, Offer]]


def _levels(tune: Tune, instrument: Instrument, idea: ideas.Idea) -> Levels:
    """Return the levels: the tune as written, then what it offers, the least first."""
    found = offers(tune, instrument, idea.moves)[-MOST_MOVES:]
    levels = [(ideas.AS_WRITTEN, Offer((), 1, ()))]
    levels += [(ideas.STATIONS[offer.moves[0]], offer) for offer in found]
    if len(found) > 1:
        moves = tuple(move for offer in found for move in offer.moves)
        every = offer_of(tune, instrument, moves, max(offer.hand for offer in found))
        # Where all of them stand in the same bars, one more level would show nothing new.
        if every and len(every.bars) > len(found[-1].bars):
            levels.append((ideas.TOGETHER, every))
    return levels


def _level(tune: Tune, station: ideas.Station, offer: Offer) -> list[str]:
    lines = ["", "[[levels]]", f"name = {toml_string(station.name)}"]
    lines.append(f"moves = {toml_strings(offer.moves)}")
    lines += [f"prefer_move = {toml_string(offer.moves[0])}"] if len(offer.moves) == 1 else []
    lines += [
        f"reach = {toml_string(_REACH_OF[offer.hand - 1])}",
        f"tempo = {tempo_at(tune, offer.hand)}",
    ]
    return [*lines, f"watch = {toml_string(station.watch)}"]


def _chord(tune: Tune, instrument: Instrument) -> Chord:
    """Return the diminished seventh of the dominant that lasts longest, or of the tonic's own."""
    lead = [one for one in dominants_of(tune) if one.resolves and one.target]
    longest = max(lead, key=lambda one: one.longest, default=None)
    root = longest.target.root if longest and longest.target else tune.key.tonic
    chord = approach(root.plain())
    movable_shape(chord, instrument)
    return chord


def _scale(tune: Tune, instrument: Instrument, levels: Levels) -> SixthDiminished:
    """Return the scale of the first walk that can start from a shape, or of the tonic."""
    kind = "minor" if tune.key.mode == "minor" else "major"
    walked = [
        scales_for(step.written)[0]
        for _, offer in levels
        for step in offer.added
        if step.move in _WALKS and step.written is not None
    ]
    tonic = SixthDiminished(tune.key.tonic, kind)
    for scale in dict.fromkeys(walked):
        try:
            climbing_shape(scale, instrument)
        except HarmonyError:
            continue
        return scale
    climbing_shape(tonic, instrument)
    return tonic


def _sections(tune: Tune, levels: Levels) -> Iterator[str]:
    """Yield the sections in order, a shape or a scale before the first move that needs it."""
    shown: set[str] = set()
    for place, (station, offer) in enumerate(levels, start=1):
        if station.needs and station.needs not in shown:
            shown.add(station.needs)
            yield ideas.SHAPE if station.needs == "shape" else ideas.SCALE
        yield _section(station, offer, place)
        if place == 1 and dominants_of(tune):
            yield ideas.DOMINANTS
    if "shape" in shown:
        yield ideas.REASON
    yield "## By numbers\n\n{{{{ comparison() }}}}"


def _section(station: ideas.Station, offer: Offer, place: int) -> str:
    text = station.text.replace("{level}", str(place))
    counted = f" {{{{{{{{ added({place}) }}}}}}}}" if offer.added else ""
    parts = [f"## {station.name}", text + counted, f"{{{{{{{{ chart({place}) }}}}}}}}"]
    parts += [f"{{{{{{{{ added_chords({place}) }}}}}}}}"] if offer.added else []
    return "\n\n".join(parts)


def leads_home(chord: Chord, way: Resolution) -> bool:
    """Whether a diminished seventh's own root is the leading note of where it goes."""
    return (chord.root.pitch_class + 1 - way.target.pitch_class) % 12 == 0
