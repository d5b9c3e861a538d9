"""What a search was asked: checked, with what the rules offer in each slot of the tune.

Every move and idiom is asked for variants of each slot; a place can be laid out alone, with what
stands around it held.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import replace
from fractions import Fraction
from functools import cached_property, partial

from harmonykit.arrange import answers, costs, left_alone, part_prices, shapes
from harmonykit.arrange.arrangement import (
    Refusal,
    is_foreign,
)
from harmonykit.arrange.demanded import (
    CHOICE,
    YourChoice,
    as_chosen,
    check_demands,
    is_allowed,
    slot_at,
    written_in,
)
from harmonykit.arrange.idioms.idiom import Idiom
from harmonykit.arrange.idioms.rule import IdiomMove, idiom_moves
from harmonykit.arrange.moves import (
    MOVES,
    ON_VAMPS,
    USUAL,
    MoveRule,
    Offered,
    Refused,
    Setting,
    Variant,
    Web,
    move_named,
    placing,
)
from harmonykit.arrange.network import Network
from harmonykit.arrange.slots import Slot, bars_that_stay, phrasing, slots_of
from harmonykit.arrange.styles import STYLES, Line, line_of
from harmonykit.arrange.together import Beside
from harmonykit.arrange.unusual import counted_style, extra_bits
from harmonykit.arrange.weights import Weights
from harmonykit.arrange.wishes import FULL, Chosen, Demands, Wishes, as_wishes
from harmonykit.errors import HarmonyError, wrong_kind
from harmonykit.evidence.kinds import PLAIN
from harmonykit.fretboard.hands.hand import Limits, as_limits
from harmonykit.fretboard.shapes.fourths import FOURTHS
from harmonykit.fretboard.shapes.textures import has_many_strings
from harmonykit.fretboard.strings.instrument import InstrumentLike, as_instrument
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.printed import printed_chord
from harmonykit.tune.bar import bar_length

_FIRST_SHAPES, _REGISTER = 7, 15
# Where stacked fourths leave a chord that stays alone, too.
_STILL = (left_alone.FRAME, "fermata", "words", "moving melody")

CONTOUR = 30
"""What a semitone off a contour costs that was asked for, where the weights have no price."""


# So many slots an idiom covers at most.
_MOST_SLOTS = 8


class Asked:
    """What a search was asked, checked, and what it knows of the tune before it begins.

    Parameters
    ----------
    tune : Tune, str or Path
    instrument : Instrument or str
    moves : iterable of str
    wishes : Wishes

    Attributes
    ----------
    rules : list of MoveRule
    setting : Setting
    slots : tuple of Slot
    open : dict of int to list of MoveRule
        Slots where other moves may be used, nothing being left alone there.
    """

    def __init__(
        self,
        tune: TuneLike,
        instrument: InstrumentLike,
        moves: Iterable[str],
        wishes: Wishes | None,
    ) -> None:
        wishes = as_wishes(wishes)
        style = STYLES[wishes.style]
        self.wishes, self.style = wishes, style
        self.tune, self.instrument = as_tune(tune), as_instrument(instrument)
        self.tempo = self.tune.tempo if wishes.tempo is None else wishes.tempo
        listed = isinstance(moves, Iterable) and not isinstance(moves, str)
        self.rules = _rules(list(moves) if listed else moves, wishes)
        self.texture = wishes.texture or style.texture
        if self.texture == FOURTHS:
            # The texture is more than its grips: over a chord that stays they move.
            self.rules = list(dict.fromkeys([*self.rules, *ON_VAMPS.values()]))
        names = frozenset(rule.name for rule in self.rules)
        self.prefer = wishes.prefer or (style.prefer if style.prefer in names else "")
        self.setting = Setting(
            self.tune.key,
            self.tune.melody,
            self.tempo,
            wishes.least_seconds,
            wishes.across_sections,
            wishes.bass_player,
            names,
            *phrasing(self.tune),
            costs.has_bass(self.instrument),
            bars_that_stay(slots_of(self.tune)),
        )
        self.answers = answers.answers_in(self.tune, replace(self.setting, moves=frozenset()))
        self.hand = as_limits(wishes.limits, Limits())
        self.urgent = bool(wishes.prefer) or wishes.density == FULL
        self.slots = self.answers.slots
        self.open: dict[int, list[MoveRule]] = {}
        self.demands = wishes.demands or Demands()
        check_demands(self.demands, self.tune, self.instrument, self.slots)

    def demanding(self, demands: Demands, wishes: Wishes) -> Asked:
        """Return the same with other demands, and wishes that differ by what is demanded alone."""
        check_demands(demands, self.tune, self.instrument, self.slots)
        other = copy(self)
        other.wishes, other.demands = wishes, demands
        changed = ["wanted", "may", *(["alone"] if wishes.chosen != self.wishes.chosen else [])]
        for name in changed:
            other.__dict__.pop(name, None)
        return other

    @cached_property
    def _last(self) -> Mapping[int, Fraction]:
        """For each bar in which a phrase ends, after which moment nothing is to come."""
        playing = self.tune.playing
        ends = ((bar, playing[bar]) for bar in self.setting.rests)
        return {
            bar: played.onset + played.bar.length - bar_length(played.bar.meter) / 2
            for bar, played in ends
        }

    @cached_property
    def _starts(self) -> frozenset[Fraction]:
        """Where the chords of the tune come in."""
        return frozenset(slot.onset for slot in self.slots)

    @property
    def moves(self) -> tuple[str, ...]:
        """The names of the moves that may be used."""
        return tuple(rule.name for rule in self.rules)

    @property
    def idioms(self) -> tuple[Idiom, ...]:
        """The idioms among the moves."""
        return tuple(rule.idiom for rule in self.rules if isinstance(rule, IdiomMove))

    @cached_property
    def alone(self) -> Mapping[int, str]:
        """The slots where nothing is to be added, and why."""
        heeds = () if not self.rules else (left_alone.FRAME,) if self.urgent else self.style.heeds
        heeds = tuple(rule for rule in heeds if not (self.wishes.heard and rule == "theme"))
        found = left_alone.left_alone_in(self.tune, heeds, self.tempo) if heeds else {}
        return {place: why for place, why in found.items() if place not in self._given}

    @property
    def _given(self) -> Mapping[int, Chosen]:
        """What is given for some slots."""
        return self.wishes.chosen or {}

    @cached_property
    def beside(self) -> Beside | None:
        """What others play at the same time."""
        return Beside(self.wishes.beside, self.tune.changes) if self.wishes.beside else None

    @cached_property
    def wanted(self) -> Mapping[int, Chosen]:
        """What is to stand in the slots about which a demand says it."""
        return {slot_at(self.slots, row[0][1]): row for row in self.demands.wanted}

    @cached_property
    def may(self) -> dict[int, set[Chosen]]:
        """What alone may stand in some slots, demanded or given."""
        rows = {**self.wanted, **self._given}
        return {place: {row} for place, row in rows.items()}

    def _own_prices(self) -> Weights:
        """Return the prices of the style, as they are for what was asked."""
        prices, many = self.style.weights, has_many_strings(self.instrument)
        # Where a move is asked for wherever it fits, its own rule about the melody is enough, and
        # the first shapes stand back.
        if self.urgent:
            # On more strings more voices move at each change that is asked for.
            chance = (2 if many else 1) * prices.chance
            prices = replace(prices, clash=0, chance=chance, first=0, book=0)
        if self.wishes.prefer:
            # What was asked for by name is not too unusual.
            prices = replace(prices, harmony=0)
        if self.texture == FOURTHS:
            # Whoever asks for the texture has it wherever it stands.
            prices = replace(prices, chance=part_prices.URGENT * prices.chance)
        if self.texture == "shells" and many:
            # In three voices what is close and low is heard.
            prices = replace(prices, register=max(prices.register, _REGISTER))
        if self.hand.barre != "full":
            # A beginner's hand: it takes the shapes that a book prints first, and strums.
            first = _FIRST_SHAPES * prices.mark
            prices = replace(prices, first=first, top=0, sounding=0, texture=0)
        elif not self.rules:
            prices = replace(prices, first=self.style.first)
        return prices

    @cached_property
    def line(self) -> Line:
        """The wanted line of the whole tune, however little of it is found anew."""
        style, rests = self.style, sorted(self.setting.rests)
        contours = self.wishes.contours or style.contours
        # Triads are strummed on all strings.
        string = 1 if counted_style(self.tune) == PLAIN else style.string
        return line_of(self.tune, self.instrument, rests, contours, span=style.span, string=string)

    def network(self, beside: Network | None = None) -> Network:
        """Return a network to which no slot has been added, with the shapes of another if given."""
        wishes, style = self.wishes, self.style
        prices = wishes.weights or self._own_prices()
        if wishes.contours:
            # A line that climbs or falls leaves the first shapes, where the hand may.
            first = 0 if self.hand.barre == "full" else prices.first
            prices = replace(prices, contour=prices.contour or CONTOUR, first=first)
        found = None if beside is None else beside.book
        of_parts = part_prices.PartPrices(
            prices,
            self.demands,
            self.setting,
            self.line,
            style.places,
            partial(extra_bits, self.tune, counted_style(self.tune)),
        )
        of_parts.urgent, of_parts.learning = self.urgent, wishes.learning
        book = found or shapes.ShapeBook(
            self.instrument,
            self.hand,
            prices,
            self.texture,
            dict(wishes.known),
            bass_player=wishes.bass_player,
            learns=wishes.learning is not None,
        )
        network = Network(book, of_parts, None if beside is None else beside.changing)
        network.dear_at |= wishes.dear or {}
        for place, rows in self.may.items():
            network.given[self.slots[place].onset] = frozenset(each for row in rows for each in row)
        return network

    def add(self, network: Network, index: int, end: int | None = None) -> Iterator[Refusal]:
        """Add a slot to a network; yield what the rules keep out of it.

        What covers slots from ``end`` on is left out.
        """
        slots, end = self.slots, len(self.slots) if end is None else end
        variants: list[tuple[str, Variant | Web]] = []
        for name, found in self.offered(index, end):
            if isinstance(found, Refused):
                yield _refusal(slots[index], name, found)
            else:
                variants.append((name, found))
        if self.beside is not None:
            kept = [(name, self.beside.kept(found)) for name, found in variants]
            variants = [(name, found) for name, found in kept if found is not None]
        if self.may:
            variants = self._without_choice([*as_chosen(variants, self.may, slots, index)], index)
        rows = self.may.get(index)
        written = not variants or rows is None or written_in(slots[index]) in rows
        network.add(slots[index:end], variants, self.prefer, written=written)

    def _without_choice(
        self, variants: list[tuple[str, Variant | Web]], index: int
    ) -> list[tuple[str, Variant | Web]]:
        """Return what may stand in a slot; a move that offers it goes before mere choice."""
        moves = [each for each in variants if each[0] != CHOICE]
        if index not in self.wanted or len(moves) == len(variants):
            return variants
        if moves:
            return moves
        for before in range(max(0, index - _MOST_SLOTS), index):
            spans = [
                (name, each)
                for name, each in self.offered(before, len(self.slots))
                if isinstance(each, Variant) and before + each.slots > index
            ]
            if any(True for _ in as_chosen(spans, self.may, self.slots, before)):
                return []
        return variants

    def offered(self, index: int, end: int) -> Iterator[tuple[str, Offered]]:
        """Yield what the rules offer from a slot on, up to another, each with its name."""
        allowed = self._allowed(index)
        moves = frozenset(rule.name for rule in allowed)
        bass = self.wishes.bass_player or costs.has_bass(self.instrument)
        for rule in allowed:
            heard = bass or not isinstance(rule, IdiomMove)
            for found in self.answers.of(rule, index, moves):
                if isinstance(found, Refused) or self._is_free(found, index, end, rule):
                    told = self._rested(found, index)
                    yield rule.name, told if heard else _heard(told, self.slots[index:])

    def _rested(self, found: Offered, index: int) -> Offered:
        """Return what is offered, or the rule against it at the end of a phrase.

        What is asked for by name, or wherever it fits, stands there too.
        """
        if self.urgent or index in self.open or index in self.may:
            return found
        if not isinstance(found, Variant) or found.free:
            return found
        keeps = placing.keeps_rest(found, self._starts, self._last)
        return found if keeps else Refused(placing.PHRASE_RESTS)

    def _allowed(self, index: int) -> list[MoveRule]:
        """Return the moves that may be used in a slot; all where it is said what stands there."""
        if index in self.open:
            return self.open[index]
        if index in self.wanted:
            own = map(move_named, self.wishes.own.values())
            every = (*self.rules, *MOVES.values(), *idiom_moves().values(), *own)
            return [*dict.fromkeys(every), YourChoice(self.wanted[index])]
        if index in self.alone:
            return self._on_vamps(index)
        return [rule for rule in self.rules if is_allowed(self.slots[index], rule, self.demands)]

    def _on_vamps(self, index: int) -> list[MoveRule]:
        """Return the moves for chords that stay, where only that is why a slot is left alone."""
        rules = [rule for rule in self.rules if rule.name in ON_VAMPS]
        if not rules or index in left_alone.left_alone_in(self.tune, _STILL, self.tempo):
            return []
        return [rule for rule in rules if is_allowed(self.slots[index], rule, self.demands)]

    def _is_free(self, found: Variant | Web, index: int, end: int, rule: MoveRule) -> bool:
        """Whether every slot that a variant covers may be touched."""
        if isinstance(found, Web) or found.slots == 1:
            return True
        covered = range(index + 1, index + found.slots)
        return covered.stop <= end and all(rule in self._allowed(place) for place in covered)


def _rules(moves: object, wishes: Wishes) -> list[MoveRule]:
    prefer, own = wishes.prefer, {idiom.name: idiom for idiom in wishes.idioms}
    if isinstance(moves, str):
        raise HarmonyError(
            f"moves is the text {moves!r}",
            rule="moves must be a list of names",
            mend=f"[{moves!r}]",
        )
    if not isinstance(moves, list):
        raise wrong_kind(moves, "a list of names of moves", f'["{USUAL[0]}"]')
    named = (own.get(move, move) if isinstance(move, str) else move for move in moves)
    rules = list(dict.fromkeys(map(move_named, named)))
    if prefer and move_named(prefer) not in rules:
        raise HarmonyError(
            f"{prefer!r} is preferred but not among the moves",
            rule="the preferred move must be one of the moves",
            mend=", ".join(repr(rule.name) for rule in rules),
        )
    return rules


def _heard(found: Offered, slots: Sequence[Slot]) -> Offered:
    """Return what an idiom offers, or the rule against what sounds as written without a bass."""
    if not isinstance(found, Variant) or found.free:
        return found
    added = [part for part in found.parts if part.move]
    for part in added:
        written = next(slot.chord for slot in slots if part.onset < slot.end)
        if part.delayed is not None or is_foreign(part.chord, written):
            return found
    chord = added[0].chord if added else None
    return (
        Refused(f"{chord.unicode} has the same notes as the chord as written") if chord else found
    )


def _refusal(slot: Slot, move: str, refused: Refused) -> Refusal:
    return Refusal(move, slot.bar, printed_chord(slot.chord), refused.rule)
