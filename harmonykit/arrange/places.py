"""What could stand at a place of an arrangement, with what it costs elsewhere.

All else stays as it is, chord by chord; the shapes of two bars on each side are found anew.  A
place is typed as ``8`` (bar 8, by its printed number), ``8.2`` (the tune's second chord in it) or
``8@3`` (what the tune has on beat 3, beats counted as in a tune).
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence, Set
from fractions import Fraction
from functools import partial

from harmonykit.arrange import demanded, functions, part_prices, revising
from harmonykit.arrange.arrangement import Arrangement, Step, is_foreign
from harmonykit.arrange.asked import Asked
from harmonykit.arrange.idioms.offering import nearest
from harmonykit.arrange.idioms.rule import IdiomMove
from harmonykit.arrange.moves import MOVES, MoveRule, Part, Refused
from harmonykit.arrange.network import Network
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.told_changes import beat_said
from harmonykit.arrange.wishes import Chosen, Demands
from harmonykit.errors import HarmonyError, need_whole
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import as_chords
from harmonykit.theory.printed import printed_chord
from harmonykit.tune.bar import beat_length
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import join_words


@dataclass(frozen=True, slots=True)
class Alternative:
    """One way to fill a place.

    Parameters
    ----------
    arrangement : Arrangement
        The whole, with it.
    steps : tuple of Step
        What is played at the place.
    extra : int
        By how much the whole costs more than with what stands there, below 0 where it costs less.
    """

    arrangement: Arrangement
    steps: tuple[Step, ...]
    extra: int

    @property
    def chords(self) -> str:
        """The chords at the place, in order."""
        return " ".join(printed_chord(step.chord) for step in self.steps)

    @property
    def bars(self) -> tuple[tuple[str, ...], ...]:
        """The chords at the place, bar after bar."""
        rows: dict[int, list[str]] = {}
        for step in self.steps:
            rows.setdefault(step.bar, []).append(printed_chord(step.chord))
        return tuple(map(tuple, rows.values()))

    @property
    def beats(self) -> tuple[Fraction, ...]:
        """On which beat each comes in, counted from the first bar's start, from 1."""
        first = self.arrangement.tune.playing[self.steps[0].bar]
        beat = beat_length(first.bar.meter)
        return tuple((step.onset - first.onset) / beat + 1 for step in self.steps)

    @property
    def placed(self) -> str:
        """The chords, all after the first with their beats: ``"A7 G♯°7@2 A7@3"``."""
        first, *rest = zip(self.chords.split(), self.beats, strict=True)
        return " ".join([first[0], *(f"{chord}@{beat_said(beat)}" for chord, beat in rest)])

    @property
    def chosen(self) -> Chosen:
        """The chords, each with its onset and its length: one of ``Demands.wanted``."""
        return tuple((step.chord, step.onset, step.beats) for step in self.steps)

    @property
    def reason(self) -> str:
        """Why they fit there; empty for the tune's own."""
        return " ".join(dict.fromkeys(step.reason for step in self.steps if step.reason))

    @property
    def costs(self) -> str:
        """What the whole costs beside what stands there."""
        return costs_said(self.extra)

    @property
    def not_in_use(self) -> str:
        """Why it stands nowhere though it costs less: which of its moves were not allowed."""
        used = {*self.arrangement.moves, "", demanded.CHOICE}
        other = [name for name in dict.fromkeys(s.move for s in self.steps) if name not in used]
        if self.extra >= 0 or not other:
            return ""
        named = ("the move " if len(other) == 1 else "the moves ") + join_words(other)
        return f"It costs less by {named}, not in use in this arrangement."

    @property
    def often(self) -> str:
        """How often the first added chord was heard between its neighbours; empty for none."""
        steps = self.arrangement.steps
        added = (place for place, step in enumerate(steps) if step in self.steps and step.move)
        place = next(added, None)
        return "" if place is None else functions.often_at(self.arrangement, place)

    def __str__(self) -> str:
        why = self.reason or "As written."
        return f"{self.chords} ({self.costs}): {why}"


def costs_said(extra: int) -> str:
    """Return what something costs beside something else.

    Examples
    --------
    >>> costs_said(15), costs_said(-40), costs_said(0)
    ('costs 15 more', 'costs 40 less', 'costs the same')
    """
    return f"costs {abs(extra)} {'more' if extra > 0 else 'less'}" if extra else "costs the same"


def prices_said(way: Arrangement, found: Iterable[Alternative] = ()) -> str:
    """Return two prices of an arrangement's style, by which its costs can be judged.

    Where something else costs less by moves that are in use, it says why that does not stand.
    """
    prices = way.asked.weights or STYLES[way.asked.style].weights
    said = (
        f"The style counts {prices.semitone} for each half step that a voice moves, "
        f"and about {prices.chance} for a place left as written."
    )
    less = any(each.extra < 0 and not each.not_in_use for each in found)
    return f"{said} {_KEPT_OUT}" if less else said


_KEPT_OUT = (
    "What costs less is part of another arrangement, or kept out by the style: phrases rest, "
    "and no move comes too often."
)


def alternatives(
    way: Arrangement, bar: int, chord: int = 1, moves: Iterable[str] | None = None, most: int = 12
) -> tuple[Alternative, ...]:
    """Return what fits in the place of a chord of the tune, the cheapest first.

    Parameters
    ----------
    way : Arrangement
    bar : int
        A bar as played, from 1.
    chord : int
        Which chord of the tune in that bar, from 1.
    moves : iterable of str, optional
        Moves and idioms by name; all moves and the user's own idioms where not given.
    most : int
        How many of the cheapest.

    Returns
    -------
    tuple of Alternative
        Those with other chords; the tune's own, and the present one, are always among them.

    Raises
    ------
    HarmonyError
        If there is no such bar or chord.

    Examples
    --------
    >>> (way,) = hk.reharmonise("| Dm7 | G7 | C6 | C6 |", "ukulele", k=1)
    >>> found = hk.arrange.alternatives(way, bar=2, moves=["rootless dominant"])
    >>> sorted(each.chords for each in found)
    ['B°7', 'G7', 'G7 B°7', 'G7 F♯°7 G7']
    """
    place, slot = _slot_at(way, need_whole(bar, "bar", 1), need_whole(chord, "chord", 1))
    most = need_whole(most, "most", 1)
    offered = (*MOVES, *way.asked.own) if moves is None else moves
    names = tuple(dict.fromkeys([*way.moves, *offered]))
    rules = Asked(way.tune, way.instrument, names, way.asked).rules
    return _filled(way, place, slot, rules, most)


def _filled(
    way: Arrangement,
    place: int,
    slot: Slot,
    rules: Sequence[MoveRule],
    most: int,
    typed: Chosen = (),
) -> tuple[Alternative, ...]:
    """Return the cheapest ways to fill a slot, with what is typed for it among them."""
    slots = slots_of(way.tune)
    chosen = {n: revising.standing(way, one) for n, one in enumerate(slots) if n != place}
    demands = way.asked.demands or Demands()
    wanted = tuple(row for row in demands.wanted if row[0][1] != slot.onset)
    wishes = replace(way.asked, chosen=chosen, demands=replace(demands, wanted=wanted))
    asked = Asked(way.tune, way.instrument, way.moves, wishes)
    choices = revising.choices_of(way, slots)
    stands = revising.told_in(slot, choices)
    mine = any(c.part.move == demanded.CHOICE and c.slot == slots[place] for c in choices)
    own = dict.fromkeys(row for row in (typed, stands if mine else ()) if row)
    asked.open[place] = [*rules, *(demanded.YourChoice(row) for row in own)]
    tied = revising.tied_slots(asked, choices)
    for other in _with_it(place, revising.idiom_slots(asked, choices)):
        asked.may[other].add(demanded.written_in(slots[other]))
    if typed and place:
        # What leads to the tune's own chord has nothing to lead to.
        asked.may[place - 1].add(demanded.written_in(slots[place - 1]))
    span = revising.window(asked, tied, place, revising.AROUND)
    network, start, stop = revising.laid_out(asked, choices, span, tied)
    ways = _ways(network, most, slot, dict.fromkeys([*own, stands]))
    was = network.price_of(choices[start:stop])
    known = ways[0][0] if was is None else was
    now = next((cost for cost, each in ways if revising.told_in(slot, each) == stands), known)
    # What stands there is perhaps told by a move that is offered otherwise here: its chords count.
    was = now if was is None else was
    found = []
    for cost, each in ways:
        # What comes next knows by it which moves may stand there.
        kept = replace(demands, wanted=(*wanted, revising.told_in(slot, each)))
        whole = replace(way, asked=replace(way.asked, demands=kept))
        whole = revising.spliced(
            whole, choices[:start] + each + choices[stop:], way.cost + cost - was
        )
        steps = tuple(s for s in whole.steps if slot.onset <= s.onset < slot.end)
        found.append(Alternative(whole, steps, cost - now))
    return tuple(found)


def _with_it(place: int, goes_on: Set[int]) -> Iterator[int]:
    """Yield the other slots of the idiom that covers a slot."""
    first, last = place, place + 1
    while first in goes_on:
        first -= 1
    while last in goes_on:
        last += 1
    yield from (other for other in range(first, last) if other != place)


def _ways(
    network: Network, most: int, slot: Slot, own: Iterable[Chosen]
) -> list[tuple[int, list[part_prices.Choice]]]:
    """Return the cheapest ways to fill a slot, the tune's own and some chosen ones with them."""

    def outside(part: Part) -> bool:
        return not slot.onset <= part.onset < slot.end

    ways = [
        *network.cheapest(most, apart=slot),
        *network.cheapest(1, only=lambda part: not part.move or outside(part)),
    ]
    for row in own:
        ways += network.cheapest(1, only=partial(_is_of, row, slot))
    found: dict[Chosen, tuple[int, list[part_prices.Choice]]] = {}
    for cost, way in ways:
        found.setdefault(revising.told_in(slot, way), (cost, way))
    return sorted(found.values(), key=lambda each: each[0])


def _is_of(row: Chosen, slot: Slot, part: Part) -> bool:
    """Whether a part is one of a row of chords in a slot, or beside the slot."""
    return _told(part) in row or not slot.onset <= part.onset < slot.end


def _told(part: Part) -> tuple[Chord | None, Fraction, Fraction]:
    return part.chord, part.onset, part.beats


def _slots_in(way: Arrangement, bar: int) -> list[tuple[int, Slot]]:
    """Return the slots that sound in a bar as played, counted from 1, each with its place."""
    return [
        (place, slot)
        for place, slot in enumerate(slots_of(way.tune))
        if any(piece.bar == bar - 1 for piece in slot.pieces)
    ]


def _slot_at(way: Arrangement, bar: int, chord: int) -> tuple[int, Slot]:
    inside = _slots_in(way, bar)
    if not inside:
        raise HarmonyError(
            f"bar {bar} is not in {way.tune.title!r}", rule=f"bars 1 to {len(way.tune.playing)}"
        )
    if chord > len(inside):
        raise HarmonyError(f"bar {bar} has no chord {chord}", rule=f"chords 1 to {len(inside)}")
    return inside[chord - 1]


_BEAT = re.compile(r"@(\d+(?:[./]\d+)?)")
_TYPED = re.compile(r"(\d{1,4})(?:\.(\d{1,2})|@(\d{1,3}(?:\.\d{1,3})?))?")


def places_at(way: Arrangement, typed: str) -> tuple[tuple[int, int], ...]:
    """Return a typed place as bars as played and chords in them, both from 1.

    There are as many as the bar is played.

    Raises
    ------
    HarmonyError
        If it is not a place, or the tune has no such bar, chord or beat.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("|: Dm7 G7 | C6 :|", "ukulele", k=1)
    >>> places_at(way, "1.2"), places_at(way, "1@3"), places_at(way, "2")
    (((1, 2), (3, 2)), ((1, 2), (3, 2)), ((2, 1), (4, 1)))
    """
    found = _TYPED.fullmatch(typed.strip())
    if found is None:
        rule = "a bar, or a bar and a chord or a beat in it"
        raise HarmonyError(f"{typed!r} is not a place", rule=rule, mend="8, 8.2 or 8@3")
    number, chord, beat = int(found[1]), found[2], found[3]
    playing = way.tune.playing
    bars = [n for n, played in enumerate(playing, 1) if played.bar.number == number]
    if not bars:
        numbers = [played.bar.number for played in playing]
        raise HarmonyError(
            f"bar {number} is not in {way.tune.title!r}",
            rule=f"bars {min(numbers)} to {max(numbers)}",
        )
    if beat is None:
        return tuple((bar, int(chord or 1)) for bar in bars)
    return tuple((bar, _chord_on(way, bar, Fraction(beat))) for bar in bars)


def _chord_on(way: Arrangement, bar: int, beat: Fraction) -> int:
    """Return which chord of the tune sounds in a bar on a beat, both from 1."""
    at = _offset_of(way, bar, beat)
    starts = [
        piece.onset for slot in slots_of(way.tune) for piece in slot.pieces if piece.bar == bar - 1
    ]
    return sum(start <= way.tune.playing[bar - 1].onset + at for start in starts)


def _offset(way: Arrangement, bar: int, typed: str) -> Fraction:
    """Return how long after the start of its bar a typed place begins; 0 where no beat is named."""
    _, at, beat = typed.partition("@")
    return _offset_of(way, bar, Fraction(beat.strip())) if at else Fraction(0)


def _offset_of(way: Arrangement, bar: int, beat: Fraction) -> Fraction:
    """Return how long after the start of a bar a beat comes, in quarters."""
    played = way.tune.playing[bar - 1]
    at = (beat - 1) * beat_length(played.bar.meter)
    if not 0 <= at < played.bar.length:
        most = played.bar.length / beat_length(played.bar.meter)
        raise HarmonyError(
            f"bar {played.bar.number} has no beat {float(beat):g}",
            rule=f"beats 1 to {float(most):g}",
        )
    return at


def refused_at(way: Arrangement, typed: str) -> Arrangement:
    """Return an arrangement without the chords that are added at a place, each time it is played.

    They are refused, and all is found anew: another chord may come there, or the tune's own.

    Raises
    ------
    HarmonyError
        If there is no such place, nothing is added there, or no search found the arrangement.
    """
    revising.need_found(way)
    slots = slots_of(way.tune)
    places = (slots[_slot_at(way, *place)[0]] for place in places_at(way, typed))
    refused = tuple(
        (slot.onset, chord)
        for slot in places
        for chord, *_ in revising.standing(way, slot)
        if chord is not None and is_foreign(chord, slot.chord)
    )
    if not refused:
        bars = dict.fromkeys(str(way.tune.playing[step.bar].bar.number) for step in way.added)
        rule = "a bar with an added chord" if bars else "this arrangement adds no chord"
        raise HarmonyError(f"{typed}: nothing is added there", rule=rule, mend=" or ".join(bars))
    demands = way.asked.demands or Demands()
    return revising.revise(way, replace(demands, refused=(*demands.refused, *refused)), around=None)


def replaced_at(way: Arrangement, typed: str, chords: str) -> Arrangement:
    """Return an arrangement with other chords at a place, each time that it is played.

    Parameters
    ----------
    way : Arrangement
    typed : str
        The place.
    chords : str
        All that is to stand in that bar, from the beat on that is named, in place of the tune's
        chord: ``"Db7"``, ``"G7 Bdim7"``;
        those of more bars between bar lines, ``"G7 | Db7"``.  Where no move offers them they share
        its beats, and their reason is that they were chosen.  A chord that goes on comes back
        after them.  Of several that differ by beats, ``"A7 G#dim7@3 A7@4"`` is one.

    Raises
    ------
    HarmonyError
        If there is no such place, or these chords cannot be played there; with those that could.
    """
    beats = _BEAT.findall(chords)
    wanted = [as_chords(_BEAT.sub("", each)) for each in chords.split("|") if each.strip()]
    names = [one.unicode for row in wanted for one in row]
    _need_one_chord(way, typed)
    for bar, chord in places_at(way, typed):
        found = alternatives(way, bar, chord, most=_MOST_ASKED)
        place, slot = _slot_at(way, bar, chord)
        if beats:
            offered = (
                each
                for each in found
                if each.chords.split() == names and _BEAT.findall(each.placed) == beats
            )
            best = next(offered, None)
        else:
            row = demanded.chosen_row(slot, bar - 1, wanted, _offset(way, bar, typed))
            bars = _bars_of(row, slot)
            best = next((each for each in found if each.bars == bars), None)
            if best is None:
                own = _filled(way, place, slot, (), _MOST_TOLD, row)
                best = next((each for each in own if each.chosen == row), None)
        if best is None:
            symbols = " ".join(names)
            if beats:
                raise HarmonyError(
                    f"{typed}: {chords} is not offered on these beats",
                    rule="--at lists what fits there; chords without beats share the place",
                    mend=f'"{symbols}"',
                )
            raise HarmonyError(
                f"{typed}: {symbols} has no shape that the hand holds beside the others",
                rule="--at lists the chords that fit there, each with its reason",
                mend=", ".join(dict.fromkeys(each.chords for each in found[:_MOST_TOLD])),
            )
        way = best.arrangement
    return way


def _need_one_chord(way: Arrangement, typed: str) -> None:
    """Refuse a bar alone that has several chords: which of them is meant is not said."""
    if typed.strip().isdecimal():
        (bar, _), *_ = places_at(way, typed)
        inside = _slots_in(way, bar)
        if len(inside) > 1:
            every = [f"{typed.strip()}.{n}" for n in range(1, len(inside) + 1)]
            raise HarmonyError(
                f"bar {typed.strip()} has {len(inside)} chords, and which is meant is not said",
                rule="a chord in a bar is 8.2, a beat in it 8@3; --choose may stand several times",
                mend=join_words(every, "or"),
            )


def _bars_of(row: Chosen, slot: Slot) -> tuple[tuple[str, ...], ...]:
    """Return the names of chords that are chosen for a slot, bar after bar."""
    return tuple(
        tuple(
            printed_chord(chord)
            for chord, at, _ in row
            if piece.onset <= at < piece.onset + piece.beats
        )
        for piece in slot.pieces
    )


def why_nothing(way: Arrangement, bar: int, chord: int) -> str:
    """Return why a place takes no other chord: no chord sounds, or the rule that keeps most out.

    Parameters
    ----------
    way : Arrangement
    bar, chord : int
        As ``places_at`` reads a place.
    """
    place, slot = _slot_at(way, bar, chord)
    if slot.chord is None:
        return "no chord sounds there"
    asked = Asked(way.tune, way.instrument, tuple(MOVES), way.asked)
    asked.open[place] = asked.rules
    offered = asked.offered(place, len(asked.slots))
    rules = Counter(each.rule for _, each in offered if isinstance(each, Refused))
    return rules.most_common(1)[0][0] if rules else ""


def why_none(way: Arrangement) -> str:
    """Return a sentence about the nearest place of a move that found none: the bar, and why not.

    Parameters
    ----------
    way : Arrangement
        With one move, which added nothing.
    """
    asked = Asked(way.tune, way.instrument, way.moves, way.asked)
    (rule,) = asked.rules
    rules = Counter(each.rule for each in way.refusals)
    if rules:
        why = rules.most_common(1)[0][0]
        return _said_at(way, (each.bar for each in way.refusals if each.rule == why), why)
    for left in (False, True):
        if left:
            asked.open.update(dict.fromkeys(asked.alone, asked.rules))
        for index, slot in enumerate(asked.slots):
            if [*asked.offered(index, len(asked.slots))]:
                why = asked.alone.get(index, "what it changes costs more than it gains")
                return _said_at(way, [slot.bar], why)
    if not isinstance(rule, IdiomMove):
        return "The tune has no chord for it."
    place, why = nearest(rule.idiom, asked.slots, asked.setting)
    if place is None:
        return f"{why[0].upper()}{why[1:]}."
    return _said_at(way, [asked.slots[place].bar], why)


def _said_at(way: Arrangement, bars: Iterable[int], why: str) -> str:
    numbers = sorted({way.tune.playing[bar].bar.number for bar in bars})
    return f"Nearest in {functions.bars_said(tuple(numbers))}: {why}."


_MOST_ASKED, _MOST_TOLD = 48, 6
