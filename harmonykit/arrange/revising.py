"""An arrangement found anew where demands changed: at once around the place, then as a whole.

Around the place all moves are asked again, with so many bars on each side; chords and shapes
outside stay.  What is found so is the cheapest of all that leave them alone, exactly; the whole may
be cheaper still.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial
from itertools import pairwise

from harmonykit.arrange import demanded, search
from harmonykit.arrange.arrangement import Arrangement, as_arrangement
from harmonykit.arrange.asked import Asked
from harmonykit.arrange.changing import Changing
from harmonykit.arrange.idioms.rule import IdiomMove
from harmonykit.arrange.moves import Part, Variant, Web, as_written, move_named
from harmonykit.arrange.network import Network
from harmonykit.arrange.part_prices import Choice
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.arrange.space import search_space, steps_of
from harmonykit.arrange.wishes import Chosen, Demands
from harmonykit.errors import HarmonyError, need_whole, wrong_kind

AROUND = 2
"""So many bars on each side of a place are found anew with it."""


def chosen_at(way: Arrangement, moment: object) -> Chosen:
    """Return what an arrangement plays in the place that sounds at a moment, to keep it there.

    Parameters
    ----------
    way : Arrangement
    moment : Fraction or int
        Quarters from the start of the tune as played: the onset of a step.

    Returns
    -------
    tuple of (Chord, Fraction, Fraction)
        Chords, each with its onset and its length: one of ``Demands.wanted``.

    Raises
    ------
    HarmonyError
        If the moment is not in the tune.

    Examples
    --------
    >>> (way,) = hk.reharmonise("| Dm7 | G7 | C6 | C6 |", "ukulele", (), 1)
    >>> [(str(chord), int(onset)) for chord, onset, _ in hk.arrange.chosen_at(way, 5)]
    [('G7', 4)]
    """
    slots = slots_of(way.tune)
    return standing(way, slots[demanded.slot_at(slots, moment)])


def standing(way: Arrangement, slot: Slot) -> Chosen:
    """Return what an arrangement plays in a slot."""
    steps = (step for step in way.steps if slot.onset <= step.onset < slot.end)
    return tuple((step.chord, step.onset, step.beats) for step in steps)


def revise(
    way: Arrangement,
    demands: Demands,
    around: int | None = AROUND,
    progress: Callable[[int, int], None] | None = None,
) -> Arrangement:
    """Return an arrangement that meets other demands.

    Parameters
    ----------
    way : Arrangement
        One that a search found.
    demands : Demands
        All that is demanded from now on; ``way.asked.demands`` is what was until now.
    around : int, optional
        So many bars on each side of every place whose demands changed are found anew; chords and
        shapes outside stay.  With ``None``, and where a demand on the whole changed, all is found
        anew, as ``hk.reharmonise`` does.
    progress : callable, optional
        As in ``hk.reharmonise``; told of a whole.

    Returns
    -------
    Arrangement

    Raises
    ------
    HarmonyError
        If nothing meets the demands, or no search found the arrangement.

    Examples
    --------
    >>> from dataclasses import replace
    >>> (way,) = hk.reharmonise("| C6 | A7 | Dm7 | G7 | C6 |", "ukulele", k=1)
    >>> step = way.added[0]
    >>> refused = ((step.onset, step.chord),) if step.chord else ()
    >>> without = hk.Demands(refused=refused)
    >>> other = hk.arrange.revise(way, without)
    >>> step.chord in [each.chord for each in other.added if each.bar == step.bar]
    False
    """
    as_arrangement(way)
    if not isinstance(demands, Demands):
        raise wrong_kind(demands, "demands", "hk.Demands(locked=frozenset({3}))")
    need_found(way)
    slots, before = slots_of(way.tune), way.asked.demands or Demands()
    places = sorted(set(_changed(before, demands, slots)))
    asked = replace(way.asked, demands=demands)
    if way.asked.chosen is not None:
        kept = {place: row for place, row in way.asked.chosen.items() if place not in places}
        asked = replace(asked, chosen=kept)
    places_alone = replace(
        before, locked=demands.locked, refused=demands.refused, wanted=demands.wanted
    )
    if around is None or places_alone != demands:
        asked = replace(asked, dear=None, name=way.name)
        space = search_space(way.tune, way.instrument, way.moves, asked)
        return search.best_of(space, 1, progress)[0]
    need_whole(around, "around", 0)
    old = Asked(way.tune, way.instrument, way.moves, way.asked)
    _ = old.alone, old.line  # Found once for both.
    new = old.demanding(demands, asked)
    choices, cost = choices_of(way, slots), way.cost
    tied = tied_slots(new, choices)
    for span in _windows(new, tied, places, around):
        choices, more = _within(choices, span, tied, old, new)
        cost += more
    return replace(spliced(way, choices, cost), asked=asked)


def need_found(way: Arrangement) -> None:
    """Refuse an arrangement that no search found, as a chord melody: its places hold no choice.

    Raises
    ------
    HarmonyError
        If it is one.
    """
    if len(way.parts) != len(way.steps):
        what = f"{way.name or way.tune.title!r} was not found by a search for chords to add"
        rule = "no chord in it can be refused or exchanged; others can be changed place by place"
        raise HarmonyError(what, rule=rule, mend="the arrangement rich or walking")


def _changed(before: Demands, after: Demands, slots: Sequence[Slot]) -> Iterator[int]:
    """Yield the slots about which other things are demanded."""
    bars = before.locked ^ after.locked
    moments = [at for at, _ in set(before.refused) ^ set(after.refused)]
    moments += [row[0][1] for row in set(before.wanted) ^ set(after.wanted)]
    yield from (demanded.slot_at(slots, moment) for moment in moments)
    for place, slot in enumerate(slots):
        if any(piece.number in bars for piece in slot.pieces):
            yield place


def _windows(
    asked: Asked, tied: frozenset[int], places: Sequence[int], around: int
) -> Iterator[tuple[int, int]]:
    """Yield stretches of slots, whole bars, that hold the places with the bars around them."""
    spans = [window(asked, tied, place, around) for place in places]
    while spans:
        first, last = spans.pop(0)
        while spans and spans[0][0] < last:
            last = max(last, spans.pop(0)[1])
        yield first, last


def window(asked: Asked, tied: frozenset[int], place: int, around: int) -> tuple[int, int]:
    """Return the first slot of the bars around a place, and the slot after the last.

    They begin and end where a bar does, and where nothing that spans several slots is cut.
    """
    slots = asked.slots
    low, high = slots[place].bar - around, slots[place].pieces[-1].bar + around
    inside = [n for n, slot in enumerate(slots) if slot.pieces[-1].bar >= low and slot.bar <= high]
    first, last = inside[0], inside[-1] + 1
    while first in tied:
        first -= 1
    while last in tied:
        last += 1
    return first, last


def tied_slots(asked: Asked, choices: Sequence[Choice]) -> frozenset[int]:
    """Return the slots that cannot be parted from the one before: of one bar, or of one idiom."""
    slots = asked.slots
    one_bar = {
        n for n, (a, b) in enumerate(pairwise(slots), 1) if a.pieces[-1].bar == b.pieces[0].bar
    }
    return frozenset(one_bar | idiom_slots(asked, choices))


def idiom_slots(asked: Asked, choices: Sequence[Choice]) -> set[int]:
    """Return the slots that an idiom of an arrangement goes on into from the one before."""
    slots, found = asked.slots, set[int]()
    parts = {choice.part for choice in choices}
    names = dict.fromkeys(part.move for part in parts if part.move not in ("", demanded.CHOICE))
    for rule in (one for one in map(_rule_of(asked), names) if isinstance(one, IdiomMove)):
        for index in range(len(slots)):
            for each in asked.answers.of(rule, index, asked.setting.moves):
                if isinstance(each, Variant) and each.slots > 1 and parts.issuperset(each.parts):
                    found |= set(range(index + 1, index + each.slots))
    return found


def _rule_of(asked: Asked) -> Callable[[str], object]:
    """Return what finds a rule by its name, those of a user's own idioms too."""
    rules, own = {rule.name: rule for rule in asked.rules}, asked.wishes.own
    return lambda name: rules[name] if name in rules else move_named(own.get(name, name))


def choices_of(way: Arrangement, slots: Sequence[Slot]) -> list[Choice]:
    """Return the steps of an arrangement as a search chose them."""
    need_found(way)
    place, last, found = 0, len(slots) - 1, []
    for part, step in zip(way.parts, way.steps, strict=True):
        end = part.onset + part.beats
        while place < last and slots[place + 1].onset < end:
            place += 1
        found.append(Choice(part, slots[place], step.voicing))
    return found


def laid_out(
    asked: Asked,
    choices: Sequence[Choice],
    span: tuple[int, int],
    tied: frozenset[int],
    beside: Network | None = None,
) -> tuple[Network, int, int]:
    """Return all ways through some slots, what stands before and after them held.

    Held is no more than is needed to know what the ear keeps of the highest pitch.  What is
    laid out ``beside`` another network has the choices alone, to be priced as they stand.

    Returns
    -------
    Network, int, int
        And which of the choices is the first that it holds, and the one after the last.
    """
    slots, network, (first, last) = asked.slots, asked.network(beside), span
    begin, end = slots[first].onset, slots[last - 1].end
    if beside is not None:
        network.given |= {
            slot.onset: frozenset(told_in(slot, choices)) for slot in slots[first:last]
        }
    left, right = range(_first_from(choices, begin)), range(_first_from(choices, end), len(choices))
    needed = partial(_as_needed, choices, network.changing)
    before, after = needed(left[::-1])[::-1], needed(right)
    if before:
        sounded = any(choices[n].voicing is not None for n in left)
        stands = _played_until(asked, choices, first, tied)
        needs_next = all(each.needs_next for each in stands)
        held = [choices[n] for n in before]
        network.hold(held, sounded=sounded, needs_next=needs_next)
    for index in range(first, last):
        for _ in asked.add(network, index, last):
            pass
    if after:
        network.hold([choices[n] for n in after], _played(asked, choices, last), sounded=False)
    start = before[0] if before else 0
    return network, start, after[-1] + 1 if after else len(choices)


def _as_needed(choices: Sequence[Choice], changing: Changing, places: Sequence[int]) -> list[int]:
    """Return the first places up to one whose highest pitch differs, or to a silence.

    Where phrases are to turn, all of a phrase, and what follows it first.
    """
    found: list[int] = []
    tops: set[int] = set()
    if changing.ear.phrased:
        phrases = [changing.phrase(choices[place].part.bar) for place in places]
        whole = sum(phrase == phrases[0] for phrase in phrases)
        onward = len(places) > 1 and places[1] > places[0]
        return [*places[: whole + onward]]
    for place in places:
        found.append(place)
        voicing = choices[place].voicing
        if voicing is None:
            break
        tops.add(max(voicing.sounding))
        if len(tops) > 1:
            break
    return found


def _played_until(
    asked: Asked, choices: Sequence[Choice], place: int, tied: frozenset[int]
) -> Iterator[Variant]:
    """Yield the ways to fill slots that an arrangement plays and that end before a slot."""
    begin = place - 1
    while begin in tied:
        begin -= 1
    for index in range(begin, place):
        for each in _played(asked, choices, index):
            if index + each.slots == place:
                yield each


def _played(asked: Asked, choices: Sequence[Choice], place: int) -> list[Variant]:
    """Return the ways to fill a slot, or it and others after it, that an arrangement plays."""
    slots = asked.slots
    inside = tuple(choice.part for choice in _inside(slots[place], choices))
    found = [as_written(slots[place])]
    for _, each in asked.offered(place, len(slots)):
        if isinstance(each, Variant):
            found.append(each)
        elif isinstance(each, Web) and all(part in each.parts for part in inside):
            rested = each.parts.index(inside[0]) in each.rested
            found.append(Variant(inside, needs_next=inside[-1].into is not None, rested=rested))
    return [each for each in found if all(_is_played(choices, part) for part in each.parts)]


def _is_played(choices: Sequence[Choice], part: Part) -> bool:
    place = _first_from(choices, part.onset)
    return place < len(choices) and choices[place].part == part


def _first_from(choices: Sequence[Choice], moment: Fraction) -> int:
    """Return the place of the first choice that begins at a moment or after it."""
    return bisect_left(choices, moment, key=_onset)


def _onset(choice: Choice) -> Fraction:
    return choice.part.onset


def _inside(slot: Slot, choices: Sequence[Choice]) -> Sequence[Choice]:
    return choices[_first_from(choices, slot.onset) : _first_from(choices, slot.end)]


def told_in(slot: Slot, choices: Sequence[Choice]) -> Chosen:
    """Return what some choices play in a slot."""
    parts = (choice.part for choice in _inside(slot, choices))
    return tuple((part.chord, part.onset, part.beats) for part in parts)


def _within(
    choices: list[Choice], span: tuple[int, int], tied: frozenset[int], old: Asked, new: Asked
) -> tuple[list[Choice], int]:
    """Return the cheapest for some slots, all else as it was, and what it costs more."""
    network, start, stop = laid_out(new, choices, span, tied)
    ways = network.cheapest(1)
    if not ways:
        raise search.nothing_fits(new.demands)
    cost, found = ways[0]
    was = laid_out(old, choices, span, tied, network)[0].price_of(choices[start:stop])
    more = 0 if was is None else cost - was
    return choices[:start] + found + choices[stop:], more


def spliced(way: Arrangement, choices: Sequence[Choice], cost: int) -> Arrangement:
    """Return an arrangement with other choices, and what it costs with them."""
    parts = tuple(choice.part for choice in choices)
    return replace(way, steps=steps_of(choices), parts=parts, cost=cost)
