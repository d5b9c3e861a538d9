"""Chords and shapes chosen together: the k best arrangements of a tune.

The tune is cut into slots; moves offer variants of each; a variant is a row of parts, and a part
has the shapes that may play its chord.  A way through one variant of every slot, one shape a part,
is an arrangement; its cost is the sum of what shapes and changes cost (``costs``), and ``network``
finds the cheapest.

Two arrangements are the same when their chords and sounding notes are the same; of each such class
the cheapest counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from harmonykit.arrange.arrangement import (
    Arrangement,
    Refusal,
    Step,
    delayed_step,
    leading_reason,
    walk_reason,
)
from harmonykit.arrange.costs import Weights
from harmonykit.arrange.demands import Demands
from harmonykit.arrange.moves import USUAL, MoveRule, Refused, Setting, Variant, move_named
from harmonykit.arrange.network import Choice, Network
from harmonykit.arrange.shapes import ShapeBook
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.errors import HarmonyError, need_number, need_whole, wrong_kind
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
    tune, instrument, limits, tempo
        As they were asked for.
    """

    network: Network
    refusals: tuple[Refusal, ...]
    tune: Tune
    instrument: Instrument
    limits: Limits
    tempo: float

    def arrangement(self, cost: int, way: list[Choice], name: str = "") -> Arrangement:
        """Return a way through the network as an arrangement."""
        notes = tuple(self.network.book.notes)
        steps = _steps(way)
        return Arrangement(
            self.tune, self.instrument, steps, cost, self.tempo, self.refusals, notes, name,
            self.limits,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Wishes:
    """What is asked of a search beside tune, instrument and moves; see ``reharmonise``."""

    limits: Limits | None = None
    weights: Weights | None = None
    tempo: float | None = None
    least_seconds: float = 0.5
    across_sections: bool = True
    bass_player: bool = False
    prefer: str = ""
    demands: Demands | None = None


def search_space(
    tune: TuneLike,
    instrument: InstrumentLike,
    moves: Iterable[str] = USUAL,
    wishes: Wishes | None = None,
) -> Search:
    """Return all ways to play a tune with some moves; the parameters are ``reharmonise``'s."""
    wishes = wishes or Wishes()
    tune, instrument = as_tune(tune), as_instrument(instrument)
    pace = tune.tempo if wishes.tempo is None else wishes.tempo
    rules = _rules(moves, wishes.prefer)
    _check(pace, wishes.least_seconds)
    setting = Setting(
        tune.key,
        tune.melody,
        pace,
        wishes.least_seconds,
        wishes.across_sections,
        wishes.bass_player,
    )
    hand, prices = as_limits(wishes.limits, Limits()), wishes.weights or Weights()
    asked = wishes.demands or Demands()
    _check_demands(asked, tune, instrument)
    network = Network(ShapeBook(instrument, hand, prices), prices, asked, setting)
    refusals: list[Refusal] = []
    for slot in slots_of(tune):
        allowed = [rule for rule in rules if _is_allowed(slot, rule, asked)]
        offered = [(rule.name, found) for rule in allowed for found in rule.offer(slot, setting)]
        refusals += [_refusal(slot, move, r) for move, r in offered if isinstance(r, Refused)]
        variants = [(move, found) for move, found in offered if isinstance(found, Variant)]
        network.add(slot, variants, wishes.prefer)
    return Search(network, tuple(refusals), tune, instrument, hand, pace)


def reharmonise(
    tune: TuneLike,
    instrument: InstrumentLike,
    moves: Iterable[str] = USUAL,
    k: int = 5,
    *,
    limits: Limits | None = None,
    weights: Weights | None = None,
    tempo: float | None = None,
    least_seconds: float = 0.5,
    across_sections: bool = True,
    bass_player: bool = False,
    prefer: str = "",
    demands: Demands | None = None,
    name: str = "",
    progress: Callable[[int, int], None] | None = None,
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
    limits : Limits, optional
        What the hand may do; a wide hand where not given.
    weights : Weights, optional
        What costs what; ``hk.arrange.STYLES`` has some by style.
    tempo : float, optional
        Quarters a minute; the tune's own where not given.
    least_seconds : float
        How long an added chord, and the chord that it shortens, must last.
    across_sections : bool
        Whether a chord may lead from the end of one section into the next.
    bass_player : bool
        Whether somebody else sounds the roots.
    prefer : str
        A move that is to be used wherever it fits: other moves there count as a chance not taken.
    demands : Demands, optional
        What must be kept, whatever it costs.
    name : str
        What the arrangements are called.
    progress : callable, optional
        Told the number of layers that are done and of all; an exception raised in it
        stops the search.

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
    """
    need_whole(k, "k", 1)
    wishes = Wishes(
        limits=limits,
        weights=weights,
        tempo=tempo,
        least_seconds=least_seconds,
        across_sections=across_sections,
        bass_player=bass_player,
        prefer=prefer,
        demands=demands,
    )
    space = search_space(tune, instrument, moves, wishes)
    ways = space.network.cheapest(k, progress)
    if not ways:
        raise nothing_fits(demands)
    return tuple(space.arrangement(cost, way, name) for cost, way in ways)


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


def _check(tempo: float, least_seconds: float) -> None:
    if not need_number(tempo, "tempo") > 0:
        raise HarmonyError(f"a tempo of {tempo}", rule="quarters a minute, above 0")
    if not need_number(least_seconds, "least_seconds") >= 0:
        raise HarmonyError(f"least_seconds is {least_seconds}", rule="seconds, 0 or more")


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


def _refusal(slot: Slot, move: str, refused: Refused) -> Refusal:
    return Refusal(move, slot.bar, slot.chord.unicode if slot.chord else "N.C.", refused.rule)


def _steps(way: list[Choice]) -> tuple[Step, ...]:
    """Return a way as steps, with reasons that name what the chosen shapes do."""
    steps = [_step(choice) for choice in way]
    return tuple(_told(choice, steps, index) for index, choice in enumerate(way))


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
    if part.leads:
        return step.told(leading_reason(part.reason, step, steps[index + 1]))
    if part.scale is not None and part.delayed is not None:
        late = part.scale.step(part.delayed) % 12
        return delayed_step(step, steps[index - 1] if index else None, late, part.reason)
    if step.move and part.scale is not None:
        return step.told(walk_reason(steps, index, part.scale))
    return step
