"""A tune played several times running, each chorus with a manner of its own.

Each manner differs from the tune as written in one thing: *walking* adds walks, *sparse* a chord
here and there toward a cadence, *rich* new harmony.  The bridge contrasts: under walks it is as
written, between few chords it walks, and amid new harmony it keeps to the tune's chords with a
few that lead to them.  The first eight bars of all are the tune (common practice, no source).

A bridge is a section that stands between two times of the first one.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction

from harmonykit.arrange import left_alone, offering, search
from harmonykit.arrange.arrangement import Arrangement, Chorus, Step, Tune
from harmonykit.arrange.demanded import written_in
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.arrange.space import search_space
from harmonykit.arrange.wishes import Chosen, Demands, Wishes
from harmonykit.errors import HarmonyError, need_one_of
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.tune.form import INTRO, PICKUP, TAG
from harmonykit.values import dataclass, replace

PLAIN = "plain"
MOST_CHORUSES = 8
# The style of the bridge for each manner; the tune as written where it is plain.
_BRIDGES = {PLAIN: PLAIN, "walking": PLAIN, "sparse": "walking", "rich": "sparse"}
MANNERS = tuple(_BRIDGES)
"""How a chorus may be played."""

_ABOUT = {
    PLAIN: "the tune as written",
    "walking": "lines up and down the neck",
    "sparse": "a chord added here and there",
    "rich": "new harmony",
}


@dataclass(frozen=True, slots=True)
class _Round:
    """One chorus before it stands among the others."""

    manner: str
    arrangement: Arrangement
    between: tuple[str, ...]


def arrange_choruses(
    tune: Tune,
    instrument: Instrument,
    manners: Sequence[str],
    wishes: Wishes,
    name: str = "",
    progress: Callable[[int, int], None] | None = None,
) -> Arrangement:
    """Return a tune arranged for as many choruses as manners are given.

    Parameters
    ----------
    tune : Tune
        Without a jump such as D.C.: it is played from its first bar each time.
    instrument : Instrument
    manners : sequence of str
        Of ``MANNERS``, 1 to 8.
    wishes : Wishes
        The hand, the tempo, the shapes.
    name : str
    progress : callable, optional
        Told how many choruses are done, and of how many; an exception raised in it ends the work.

    Raises
    ------
    HarmonyError
        If the tune jumps, a manner is unknown, or a chord has no shape.
    """
    for manner in manners:
        need_one_of(manner, "chorus", MANNERS)
    whole = repeated(tune, len(manners))
    rounds = []
    for number, manner in enumerate(manners):
        rounds.append(_round(tune, instrument, manner, wishes, first=not number))
        if progress is not None:
            progress(number + 1, len(manners))
    steps, spans = [], []
    for each, (first, onset) in zip(rounds, _starts(tune, len(manners)), strict=True):
        moved = list(_moved(each.arrangement, first, onset))
        steps += moved
        bridge = _BRIDGES[each.manner]
        stop = moved[-1].bar + 1
        spans.append(Chorus(each.manner, first, stop, _said(each), each.between, bridge))
    one = rounds[0].arrangement
    notes = tuple(dict.fromkeys(note for each in rounds for note in each.arrangement.notes))
    cost = sum(each.arrangement.cost for each in rounds)
    return replace(
        one,
        tune=whole,
        steps=tuple(steps),
        cost=cost,
        refusals=(),
        notes=notes,
        name=name,
        moves=tuple(dict.fromkeys(move for each in rounds for move in each.arrangement.moves)),
        choruses=tuple(spans),
    )


def repeated(tune: Tune, times: int) -> Tune:
    """Return a tune that is played several times running; a pick-up of rest comes once.

    Raises
    ------
    HarmonyError
        If it jumps: then it is not played alike each time.

    Examples
    --------
    >>> tune = Tune.parse("| C | F | G7 | C |", key="C")
    >>> repeated(tune, 3).bar_count
    12
    """
    if framing := [name for name in tune.order if name in (INTRO, TAG)]:
        raise HarmonyError(
            f"{tune.title!r} has the section {framing[0]!r}",
            rule="several choruses are played without intro and tag",
        )
    jump = next((bar.jump for bar in tune.bars if bar.jump), "")
    if jump:
        raise HarmonyError(
            f"{tune.title!r} has {jump}",
            rule="a tune of several choruses is played from its first bar each time",
            mend="the tune with repeats and sections in place of the jump",
        )
    again = [section for section in tune.order if section != PICKUP]
    return replace(tune, order=(*tune.order, *(again * (times - 1))))


def bridges(tune: Tune) -> frozenset[str]:
    """Return the sections that stand between two times of the first one.

    Examples
    --------
    >>> from harmonykit.score.files import as_tune
    >>> sorted(bridges(as_tune("heron_landing"))), sorted(bridges(as_tune("slack_water_waltz")))
    (['B'], [])
    """
    order = [section for section in tune.order if section != PICKUP]
    last = len(order) - 1 - order[::-1].index(order[0])
    return frozenset(order[:last]) - {order[0]}


def _round(
    tune: Tune, instrument: Instrument, manner: str, wishes: Wishes, *, first: bool
) -> _Round:
    """Return one chorus: its parts in its manner, its bridge in another.

    Where the bridge has chords of its own, the chords of both are found by themselves, then the
    shapes of all in one row.
    """
    bridge = _BRIDGES[manner]
    between = bridges(tune) if manner != bridge else frozenset[str]()
    rest = {section.name for section in tune.sections} - between
    slots = slots_of(tune)
    bars = left_alone.THEME_BARS if first else 0
    theme = {n: written_in(s) for n, s in enumerate(slots) if tune.numbers[s.bar][0] <= bars}
    asked = replace(wishes, chosen=theme or None, heard=not bars, across_sections=not between)
    parts = dict.fromkeys(rest, _moves(manner)), dict.fromkeys(between, _moves(bridge))
    found = _played(tune, instrument, manner, asked, parts[0] | dict.fromkeys(between, ()))
    if between and bridge != PLAIN:
        other = _played(tune, instrument, bridge, asked, parts[1] | dict.fromkeys(rest, ()))
        inside = [tune.playing[slot.bar].section in between for slot in slots]
        ways = _by_slot(found, slots), _by_slot(other, slots)
        chosen = {place: ways[where][place] for place, where in enumerate(inside)}
        asked = replace(asked, chosen=chosen | theme)
        found = _played(tune, instrument, bridge, asked, parts[0] | parts[1])
    return _Round(manner, found, tuple(sorted(between)))


def _by_slot(way: Arrangement, slots: Sequence[Slot]) -> list[Chosen]:
    """Return what an arrangement plays in each slot."""
    steps = [(step.chord, step.onset, step.beats) for step in way.steps]
    return [tuple(one for one in steps if slot.onset <= one[1] < slot.end) for slot in slots]


def _moves(manner: str) -> tuple[str, ...]:
    return () if manner == PLAIN else offering.moves_of(manner)


def _played(
    tune: Tune,
    instrument: Instrument,
    manner: str,
    wishes: Wishes,
    allowed: Mapping[str, tuple[str, ...]],
) -> Arrangement:
    """Return a tune in one manner, with other moves in some sections."""
    moves = dict.fromkeys(move for own in (_moves(manner), *allowed.values()) for move in own)
    asked = replace(
        wishes,
        style=wishes.style if manner == PLAIN else manner,
        demands=Demands(by_section=tuple(sorted(allowed.items()))),
    )
    space = search_space(tune, instrument, moves, asked)
    search.balance(space.network, space.moves)
    ways = space.network.cheapest(1)
    if not ways:
        raise search.nothing_fits(asked.demands)
    cost, way = ways[0]
    return space.arrangement(cost, way)


def _starts(tune: Tune, times: int) -> Iterator[tuple[int, Fraction]]:
    """Yield for each chorus what is added to its bars and to its onsets."""
    opening = tune.order[0] == PICKUP
    bars, length = len(tune.playing), tune.length
    silent = tune.playing[0].bar.length if opening else Fraction(0)
    for number in range(times):
        yield number * (bars - opening), number * (length - silent)


def _moved(way: Arrangement, bars: int, onset: Fraction) -> Iterator[Step]:
    """Yield the steps of a chorus at its place among all; a pick-up of rest is played once."""
    opening = bars > 0 and way.tune.order[0] == PICKUP
    for step in way.steps:
        if step.bar >= opening:
            yield replace(step, bar=step.bar + bars, onset=step.onset + onset)


def _said(each: _Round) -> str:
    """Return what a chorus is, in words."""
    about = _ABOUT[each.manner]
    if not each.between:
        return about
    bridge = _BRIDGES[each.manner]
    return f"{about}; {' and '.join(each.between)} {'as written' if bridge == PLAIN else bridge}"
