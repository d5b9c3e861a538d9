"""A handful of arrangements that differ in kind, and the steps of density of one.

Each offer has a name and a sentence.  One is left out where a quarter of its bars or more do not
differ, by chord, shape or top line, from an offer before it: nothing is shown to fill a place.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from harmonykit.arrange import demanded, revising, search, styles
from harmonykit.arrange.arrangement import Arrangement, Step, Tune
from harmonykit.arrange.block.melody import melody_on_top
from harmonykit.arrange.idioms.rule import idiom_moves
from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.moves.fourths import has_place
from harmonykit.arrange.one_shape import one_shape_each
from harmonykit.arrange.slots import Slot, phrasing, slots_of
from harmonykit.arrange.space import search_space
from harmonykit.arrange.wishes import Chosen, Wishes
from harmonykit.errors import HarmonyError, need_one_of
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted

PLAIN, MELODY, TWO_STRINGS, FOURTHS = "plain", "chord melody", "two strings", "fourths"
ALL_IDIOMS = "idioms"
STEPS = (0, 2, 4, 8)
"""Added chords in eight bars at each step of density; then all."""

_QUARTER = 4
_EIGHT = 8

ABOUT = {
    PLAIN: "The tune as written, each chord in one shape throughout.",
    TWO_STRINGS: "Guide tones on two strings: third and seventh (or sixth; in a triad the root).",
    FOURTHS: "Stacked fourths over chords that stay: the grip goes up a step and comes back.",
    MELODY: "The melody on top, with chords under its long notes.",
}
"""What each arrangement is that no style makes."""
_STYLED = ("sparse", "walking", "rich", "low on the neck")
OFFERS = (PLAIN, TWO_STRINGS, *_STYLED, FOURTHS, MELODY)
"""The names of the arrangements that are offered, where a tune and an instrument have them."""


def way_title(tune: str, way: str) -> str:
    """Return the title of an arrangement: the tune's, and in brackets what the arrangement is.

    A tune that was an arrangement before has the name of the last alone.

    Examples
    --------
    >>> way_title("Tar Barrel (walking)", "plain"), way_title("Ferry (old)", "rich")
    ('Tar Barrel (plain)', 'Ferry (old) (rich)')
    """
    names = (*OFFERS, *styles.STYLES, "as written", "arrangement")
    name = rf"(?:all moves, )?(?:{'|'.join(map(re.escape, names))})(?: \d+)?"
    one = rf"{name}(?:, {name})?"
    return re.sub(rf"(?: \({one}\))+$", "", tune) + (f" ({way})" if way else "")


@dataclass(frozen=True, slots=True)
class Offer:
    """An arrangement that is offered.

    Parameters
    ----------
    name : str
        Of ``OFFERS``.
    about : str
        What it is, in a sentence.
    arrangement : Arrangement
    """

    name: str
    about: str
    arrangement: Arrangement

    def __str__(self) -> str:
        return f"{self.name}: {self.about} {counted(len(self.arrangement.added), 'chord')} added."


def moves_of(style: str) -> tuple[str, ...]:
    """Return the moves and idioms that a style's arrangement may use.

    Examples
    --------
    >>> moves_of("usual")
    ('leading-tone diminished', 'rootless dominant', 'ascending walk')
    """
    named = styles.STYLES[style].moves or USUAL
    idioms = [move.name for move in idiom_moves().values()] if ALL_IDIOMS in named else []
    return tuple(dict.fromkeys([*(move for move in named if move != ALL_IDIOMS), *idioms]))


def offers(
    tune: TuneLike,
    instrument: InstrumentLike,
    names: Iterable[str] = OFFERS,
    *,
    limits: Limits | None = None,
    bass_player: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Offer, ...]:
    """Return arrangements of a tune that differ in kind, the plainest first.

    Parameters
    ----------
    tune : Tune, str or Path
        A tune, the name of one that ships, a file, or its chords.
    instrument : Instrument or str
    names : iterable of str
        Which to look for; all where not given.
    limits : Limits, optional
        What the hand may do; a wide hand where not given.
    bass_player : bool
        Whether somebody else sounds the roots.
    progress : callable, optional
        Told how many are done, and of how many; an exception raised in it ends the work.

    Returns
    -------
    tuple of Offer
        Without those that the tune or the instrument does not have, or that come out as another.

    Raises
    ------
    HarmonyError
        If a name is unknown, or a chord has no shape on the instrument.

    Examples
    --------
    >>> [offer.name for offer in hk.arrange.offers("slack_water_waltz", "ukulele")][:2]
    ['plain', 'two strings']
    """
    tune, neck = as_tune(tune), as_instrument(instrument)
    asked = [need_one_of(name, "offer", OFFERS) for name in names]
    wishes = Wishes(limits=limits, bass_player=bass_player)
    return tuple(each_offer(tune, neck, asked, wishes, progress))


def each_offer(
    tune: Tune,
    instrument: Instrument,
    names: Sequence[str] = OFFERS,
    wishes: Wishes | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[Offer]:
    """Yield what ``offers`` returns as each is found."""
    kept: list[Offer] = []
    for done, name in enumerate(names, 1):
        found = _offer(name, tune, instrument, wishes or Wishes())
        if found is not None and all(_differs(found, other) for other in kept):
            kept.append(found)
            yield found
        if progress is not None:
            progress(done, len(names))


def _offer(name: str, tune: Tune, instrument: Instrument, wishes: Wishes) -> Offer | None:
    if name == MELODY:
        if not tune.melody:
            return None
        top = melody_on_top(tune, instrument, limits=wishes.limits, name=name)
        return Offer(name, ABOUT[name], top.arrangement)
    if name == FOURTHS and not has_place(slots_of(tune)):
        return None
    if name == TWO_STRINGS and len(instrument.strings) <= 2:
        return None
    style = name if name in styles.STYLES else "usual"
    texture = name if name in (TWO_STRINGS, FOURTHS) else ""
    asked = Wishes(
        limits=wishes.limits, bass_player=wishes.bass_player, style=style, texture=texture
    )
    if name == PLAIN:
        plain = one_shape_each(tune, instrument, asked, name)
        return None if plain is None else Offer(name, ABOUT[name], plain)
    space = search_space(tune, instrument, moves_of(style) if name in styles.STYLES else (), asked)
    search.balance(space.network, space.moves)
    ways = space.network.cheapest(1)
    if not ways:
        return None
    cost, way = ways[0]
    found = space.arrangement(cost, way, name)
    adds = name == FOURTHS or (name in styles.STYLES and styles.STYLES[name].moves)
    if adds and not found.added:
        return None
    return Offer(name, ABOUT.get(name, styles.STYLES[style].about), found)


def _differs(offer: Offer, other: Offer) -> bool:
    """Whether a quarter of the bars or more differ by chord, shape or highest pitch."""
    bars = [*zip(offer.arrangement.bars(), other.arrangement.bars(), strict=True)]
    changed = sum(heard(one) != heard(two) for one, two in bars)
    return _QUARTER * changed >= len(bars)


Heard = tuple[tuple[object, ...], ...]


def heard(steps: Iterable[Step]) -> Heard:
    """Return what tells steps from others: moments, chords, and the frets of their shapes."""
    return tuple((step.onset, step.chord, step.voicing and step.voicing.frets) for step in steps)


def densities(way: Arrangement, most: Iterable[int] = STEPS) -> tuple[Arrangement, ...]:
    """Return an arrangement with few of its added chords, with more, and with all.

    Each keeps the chords of the one before; an idiom is added whole.  Those toward
    the end of a phrase come first.

    Parameters
    ----------
    way : Arrangement
    most : iterable of int
        How many added chords there are in eight bars at most, at each step; then all.

    Returns
    -------
    tuple of Arrangement
        As many as differ, the plainest first.

    Raises
    ------
    HarmonyError
        If the arrangement is not one of a search.

    Examples
    --------
    >>> (best,) = hk.reharmonise("heron_landing", "ukulele", k=1, style="walking")
    >>> counts = [len(way.added) for way in hk.arrange.densities(best)]
    >>> counts == sorted(counts), counts[0], counts[-1] == len(best.added)
    (True, 0, True)
    """
    slots = slots_of(way.tune)
    groups, places = [*_groups(way, slots)], phrasing(way.tune)[2]
    found: list[Arrangement] = []
    for count in sorted(set(most)):
        kept = {place for group in _chosen(groups, slots, places, count) for place in group}
        found.append(with_places(way, kept))
    found.append(way)
    return _distinct(found)


def _distinct(ways: Sequence[Arrangement]) -> tuple[Arrangement, ...]:
    kept: list[Arrangement] = []
    for way in ways:
        if not kept or len(way.added) > len(kept[-1].added):
            kept.append(way)
    return tuple(kept)


def with_places(way: Arrangement, places: Iterable[int]) -> Arrangement:
    """Return an arrangement with what it adds in some slots, and the tune's own in the others.

    Parameters
    ----------
    way : Arrangement
    places : iterable of int
        The indices of slots.

    Raises
    ------
    HarmonyError
        If what it adds there is not what its moves offer.
    """
    slots, kept = slots_of(way.tune), set(places)
    chosen = {
        place: revising.standing(way, slot) if place in kept else demanded.written_in(slot)
        for place, slot in enumerate(slots)
    }
    return resolved(way, chosen)


def resolved(way: Arrangement, chosen: Mapping[int, Chosen]) -> Arrangement:
    """Return an arrangement found anew with the same moves and wishes, some slots given.

    Raises
    ------
    HarmonyError
        If what is given is not what the moves offer there.
    """
    asked = replace(way.asked, chosen=chosen)
    space = search_space(way.tune, way.instrument, way.moves, asked)
    ways = space.network.cheapest(1)
    if not ways:
        raise HarmonyError(
            "these moves do not offer the chord given for this place",
            rule="a place has the chord of the tune, or of an arrangement with these moves",
        )
    cost, found = ways[0]
    return space.arrangement(cost, found, way.name)


def _groups(way: Arrangement, slots: Sequence[Slot]) -> Iterator[tuple[int, ...]]:
    """Yield the slots with added chords, those that one idiom covers together."""
    idioms = {move.name for move in idiom_moves().values()}
    last: list[int] = []
    name = ""
    for place, slot in enumerate(slots):
        steps = [s for s in way.steps if slot.onset <= s.onset < slot.end]
        moves = {step.move for step in steps if step.move}
        spans = len(moves) == 1 and moves <= idioms and steps[0].move == name
        if last and not spans:
            yield tuple(last)
            last = []
        if moves:
            last.append(place)
            name = steps[-1].move
    if last:
        yield tuple(last)


def _chosen(
    groups: Sequence[tuple[int, ...]], slots: Sequence[Slot], places: Mapping[int, int], most: int
) -> Iterator[tuple[int, ...]]:
    """Yield the groups that stand where so many may be added in eight bars."""
    by_stretch: dict[int, list[tuple[int, ...]]] = defaultdict(list)
    for group in groups:
        by_stretch[slots[group[0]].bar // _EIGHT].append(group)
    for stretch in by_stretch.values():
        # Toward the end of a phrase first, and of equals the later one.
        order = sorted(stretch, key=lambda g: (-places.get(slots[g[-1]].bar, 0), -g[0]))
        yield from order[:most]
