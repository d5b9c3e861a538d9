"""Chords and shapes chosen together: the k best arrangements of a tune.

The tune is cut into slots; moves offer variants of each; a variant is a row of parts, and a part
has the shapes that may play its chord.  A way through one variant of every slot, one shape a part,
is an arrangement; its cost is the sum of what shapes and changes cost (``costs``), and ``network``
finds the cheapest.

Two arrangements are the same when their chords and sounding notes are the same; of each such class
the cheapest counts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from harmonykit.arrange.arrangement import (
    Arrangement,
    Refusal,
    Step,
    delayed_step,
    leading_reason,
)
from harmonykit.arrange.beside import Beside
from harmonykit.arrange.contour import line_of
from harmonykit.arrange.demands import Demands
from harmonykit.arrange.idioms.rule import IdiomMove
from harmonykit.arrange.left_alone import left_alone_in
from harmonykit.arrange.moves import (
    USUAL,
    MoveRule,
    Offered,
    Refused,
    Setting,
    Variant,
    Web,
    move_named,
)
from harmonykit.arrange.network import Choice, Network
from harmonykit.arrange.phrasing import phrasing
from harmonykit.arrange.shapes import ShapeBook
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.unusual import counted_style, extra_bits
from harmonykit.arrange.walked import told_walks
from harmonykit.arrange.wishes import FULL, Chosen, Wishes, as_wishes
from harmonykit.errors import HarmonyError, need_whole, wrong_kind
from harmonykit.fretboard.given import InstrumentLike, as_instrument
from harmonykit.fretboard.hands.limits import Limits, as_limits
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.tune.tune import Tune


@dataclass(frozen=True, slots=True, eq=False)
class Search:
    """All ways to play a tune with some moves, and what is known of them.

    Parameters
    ----------
    network : Network
    refusals : tuple of Refusal
    tune, instrument, limits, tempo, moves, wishes
        As they were asked for.
    """

    network: Network
    refusals: tuple[Refusal, ...]
    tune: Tune
    instrument: Instrument
    limits: Limits
    tempo: float
    moves: tuple[str, ...] = ()
    wishes: Wishes = field(default_factory=Wishes)

    def arrangement(self, cost: int, way: list[Choice], name: str = "") -> Arrangement:
        """Return a way through the network as an arrangement."""
        notes = tuple(self.network.book.notes)
        steps = _steps(way)
        return Arrangement(
            self.tune, self.instrument, steps, cost, self.tempo, self.refusals, notes, name,
            self.limits, self.moves, self.wishes,
        )  # fmt: skip


def search_space(
    tune: TuneLike,
    instrument: InstrumentLike,
    moves: Iterable[str] = USUAL,
    wishes: Wishes | None = None,
) -> Search:
    """Return all ways to play a tune with some moves; the parameters are ``reharmonise``'s."""
    wishes = as_wishes(wishes)
    style = STYLES[wishes.style]
    tune, instrument = as_tune(tune), as_instrument(instrument)
    pace = tune.tempo if wishes.tempo is None else wishes.tempo
    moves = list(moves) if isinstance(moves, Iterable) and not isinstance(moves, str) else moves
    rules = _rules(moves, wishes.prefer)
    own = style.prefer
    prefer = wishes.prefer or (own if own in {rule.name for rule in rules} else "")
    setting = Setting(
        tune.key,
        tune.melody,
        pace,
        wishes.least_seconds,
        wishes.across_sections,
        wishes.bass_player,
        frozenset(rule.name for rule in rules),
        *phrasing(tune),
    )
    hand = as_limits(wishes.limits, Limits())
    urgent = bool(wishes.prefer) or wishes.density == FULL
    # Where a move is asked for wherever it fits, its own rule about the melody is enough.
    own_prices = replace(style.weights, clash=0) if urgent else style.weights
    prices = wishes.weights or own_prices
    contours = wishes.contours or style.contours
    if wishes.contours:
        prices = replace(prices, contour=prices.contour or CONTOUR)
    asked = wishes.demands or Demands()
    _check_demands(asked, tune, instrument)
    line = line_of(tune, instrument, sorted(setting.rests), contours, style.span)
    network = Network(
        ShapeBook(instrument, hand, prices, wishes.texture or style.texture, dict(wishes.known)),
        prices,
        asked,
        setting,
        line,
        style.places,
        partial(extra_bits, tune, counted_style(tune)),
    )
    network.urgent = urgent
    refusals: list[Refusal] = []
    slots = slots_of(tune)
    heeds = () if network.urgent or not rules else style.heeds
    heeds = tuple(rule for rule in heeds if not (wishes.heard and rule == "theme"))
    alone = left_alone_in(tune, slots, heeds, pace) if heeds else {}
    alone = {place: why for place, why in alone.items() if place not in (wishes.chosen or {})}
    beside = Beside(wishes.beside, tune.changes) if wishes.beside else None
    for index, slot in enumerate(slots):
        allowed = [rule for rule in rules if index not in alone and _is_allowed(slot, rule, asked)]
        here = replace(setting, moves=frozenset(rule.name for rule in allowed))
        offered = [
            (rule.name, found)
            for rule in allowed
            for found in _offered(rule, slots, index, here)
            if isinstance(found, Refused) or _is_free(found, slots, index, rule, asked, alone)
        ]
        refusals += [_refusal(slot, move, r) for move, r in offered if isinstance(r, Refused)]
        variants = [(move, found) for move, found in offered if not isinstance(found, Refused)]
        if beside is not None:
            sounding = [(move, beside.kept(found)) for move, found in variants]
            variants = [(move, found) for move, found in sounding if found is not None]
        given = None if wishes.chosen is None else wishes.chosen.get(index)
        if given is not None:
            variants = [*_as_chosen(variants, wishes.chosen or {}, index)]
        network.add(slots[index:], variants, prefer, written=given is None or not variants)
    names = tuple(rule.name for rule in rules)
    return Search(network, tuple(refusals), tune, instrument, hand, pace, names, wishes)


def reharmonise(
    tune: TuneLike,
    instrument: InstrumentLike,
    moves: Iterable[str] = USUAL,
    k: int = 5,
    *,
    style: str = "",
    wishes: Wishes | None = None,
    progress: Callable[[int, int], None] | None = None,
    **options: Any,
) -> tuple[Arrangement, ...]:
    """Return the k best arrangements of a tune on an instrument, the best first.

    Parameters
    ----------
    tune : Tune, str or Path
        A tune, the name of one that ships, a file, or its text ("| Dm7 | G7 | C6 |").
    instrument : Instrument or str
        An instrument, its name, or its open strings.
    moves : iterable of str
        Names of moves that may be used, of ``hk.arrange.MOVES``; the three of the diminished
        seventh where not given; none plays the tune as written.
    k : int
        How many, at most; two that sound the same count once.
    style : str
        What is cared for, of ``hk.arrange.STYLES``; that of the wishes where empty.
    wishes : Wishes, optional
        All else that is asked: how much is added, which shapes, the hand, the tempo, and what must
        be kept.
    progress : callable, optional
        Told the number of layers that are done and of all; an exception raised in it
        stops the search.
    **options
        Wishes one by one, as in 0.1.0.

    Returns
    -------
    tuple of Arrangement
        At most ``k``, the best first.

    Raises
    ------
    HarmonyError
        If a chord has no playable shape on the instrument, a move is unknown, or nothing keeps
        all the demands.

    Examples
    --------
    >>> best = hk.reharmonise("heron_landing", "ukulele", ["leading-tone diminished"], k=1)[0]
    >>> print(best.added[0].reason)
    D♯°7 passes up to Em7 by half steps; in these shapes D♯ falls to D, ...
    >>> slow = hk.Wishes(tempo=60, limits=hk.Limits(max_fret=5))
    >>> hk.reharmonise("heron_landing", "ukulele", k=1, style="sparse", wishes=slow)[0].tempo
    60
    """
    need_whole(k, "k", 1)
    wishes = replace(as_wishes(wishes), **options)
    if style:
        wishes = replace(wishes, style=style)
    space = search_space(tune, instrument, moves, wishes)
    balance(space, len(space.moves))
    ways = space.network.cheapest(k, progress)
    if not ways:
        raise nothing_fits(wishes.demands)
    return tuple(space.arrangement(cost, way, wishes.name) for cost, way in ways)


CONTOUR = 30
"""What a semitone off a contour costs that was asked for, where the weights have no price."""

SHARE, MANY = 0.3, 5
"""Of what more than so many moves add, at most this share is by one of them."""

_ROUNDS, _DEARER = 5, 40


def balance(space: Search, moves: int) -> None:
    """Price the moves so that none is used all the time.

    Where the best has too much by one of many moves, that one is made dearer, and the best is
    sought anew.

    Parameters
    ----------
    space : Search
    moves : int
        How many may be used.
    """
    network = space.network
    for number in range(1, 1 + (_ROUNDS if moves > MANY else 0)):
        ways = network.cheapest(1)
        added = [choice.part for choice in ways[0][1] if choice.part.move] if ways else []
        counts = Counter(part.move for part in added)
        most = max(2.0, SHARE * len(added))
        over = [move for move, count in counts.items() if count > most]
        for move in over:
            network.dear[move] = network.dear.get(move, 0) + number * _DEARER
        if not over:
            return


def nothing_fits(demands: Demands | None) -> HarmonyError:
    """Return the error for demands that no arrangement keeps."""
    return HarmonyError(
        "no arrangement meets all demands",
        rule=str(demands or Demands()),
        mend="a first or last shape that plays the tune's own chord, within the hand's limits",
    )


def _rules(moves: Iterable[str], prefer: str) -> list[MoveRule]:
    if isinstance(moves, str):
        raise HarmonyError(
            f"moves is the text {moves!r}", rule="it is a list of names", mend=f"[{moves!r}]"
        )
    if not isinstance(moves, Iterable):
        raise wrong_kind(moves, "a list of names of moves", f'["{USUAL[0]}"]')
    rules = [move_named(move) for move in moves]
    rules = list(dict.fromkeys(rules))
    if prefer and move_named(prefer) not in rules:
        raise HarmonyError(
            f"{prefer!r} is preferred but not among the moves",
            rule="a move that is preferred may be used",
            mend=", ".join(repr(rule.name) for rule in rules),
        )
    return rules


def _check_demands(demands: Demands, tune: Tune, instrument: Instrument) -> None:
    names = [section.name for section in tune.sections]
    for section, moves in demands.by_section:
        if section not in names:
            raise HarmonyError(
                f"{section!r} is not a section of the tune", rule=f"sections are {names}"
            )
        for move in moves:
            move_named(move)
    for shape in (demands.first, demands.last):
        if shape is not None and shape.instrument != instrument:
            raise HarmonyError(
                f"{shape.digits} is a shape on {shape.instrument.name}",
                rule=f"the arrangement is for {instrument.name}",
            )


def _is_allowed(slot: Slot, rule: MoveRule, demands: Demands) -> bool:
    locked = any(piece.number in demands.locked for piece in slot.pieces)
    return not locked and demands.allows(slot.section, rule.name)


def _offered(
    rule: MoveRule, slots: Sequence[Slot], index: int, setting: Setting
) -> Iterator[Offered]:
    """Yield what a rule offers from a slot on; an idiom may cover several."""
    if isinstance(rule, IdiomMove):
        yield from rule.spans(slots, index, setting)
    else:
        yield from rule.offer(slots[index], setting)


def _is_free(
    found: Variant | Web,
    slots: Sequence[Slot],
    index: int,
    rule: MoveRule,
    demands: Demands,
    alone: Mapping[int, str],
) -> bool:
    """Whether every slot that a variant covers may be touched."""
    if isinstance(found, Web):
        return True
    after = range(index + 1, index + found.slots)
    return all(place not in alone and _is_allowed(slots[place], rule, demands) for place in after)


def _as_chosen(
    variants: Iterable[tuple[str, Variant | Web]],
    chosen: Mapping[int, Chosen],
    index: int,
) -> Iterator[tuple[str, Variant]]:
    """Yield of all variants those with the chords, at the moments, that were chosen."""
    for move, each in variants:
        for row in each.rows() if isinstance(each, Web) else [each]:
            covered = range(index, index + row.slots)
            if all(place in chosen for place in covered):
                wanted = [each for place in covered for each in chosen[place]]
                if wanted == [(part.chord, part.onset, part.beats) for part in row.parts]:
                    yield move, row


def _refusal(slot: Slot, move: str, refused: Refused) -> Refusal:
    return Refusal(move, slot.bar, slot.chord.unicode if slot.chord else "N.C.", refused.rule)


def _steps(way: list[Choice]) -> tuple[Step, ...]:
    """Return a way as steps, with reasons that name what the chosen shapes do."""
    steps = [_step(choice) for choice in way]
    told = [_told(choice, steps, index) for index, choice in enumerate(way)]
    return tuple(told_walks([choice.part for choice in way], told))


def _step(choice: Choice) -> Step:
    part = choice.part
    return Step(
        part.chord,
        choice.voicing,
        part.onset,
        part.beats,
        part.bar,
        part.move,
        f"{part.reason}." if part.reason else "",
        choice.slot.chord,
    )


def _told(choice: Choice, steps: list[Step], index: int) -> Step:
    step, part = steps[index], choice.part
    if part.scale is not None and part.delayed is not None:
        late = part.scale.step(part.delayed) % 12
        return delayed_step(step, steps[index - 1] if index else None, late, part.reason)
    if part.leads:
        return step.told(leading_reason(part.reason, step, steps[index + 1]))
    return step
