"""Chords and shapes chosen together: the k best arrangements of a tune.

The tune is cut into slots; moves offer variants of each; a variant is a row of parts, and a part
has the shapes that may play its chord.  A way through one variant of every slot, one shape a part,
is an arrangement; its cost is the sum of what shapes and changes cost (``costs``), and ``chooser``
finds the cheapest.

Two arrangements are the same when their chords and sounding notes are the same; of each such class
the cheapest counts.
"""

from __future__ import annotations

from collections.abc import Iterable

from harmonykit.arrange.arrangement import Arrangement, Refusal, Step
from harmonykit.arrange.chooser import Choice, Chooser
from harmonykit.arrange.costs import Weights
from harmonykit.arrange.moves import MOVES, MoveRule, Refused, Setting, Variant, move_named
from harmonykit.arrange.reasons import CLIMB, climb_reason, leading_reason
from harmonykit.arrange.shapes import ShapeBook
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hand import Limits
from harmonykit.fretboard.instrument import Instrument
from harmonykit.tune.tune import Tune


def reharmonise(
    tune: Tune,
    instrument: Instrument,
    moves: Iterable[str] = tuple(MOVES),
    k: int = 5,
    *,
    limits: Limits | None = None,
    weights: Weights | None = None,
    tempo: float | None = None,
    least_seconds: float = 0.5,
    across_sections: bool = True,
    prefer: str = "",
    name: str = "",
) -> tuple[Arrangement, ...]:
    """Return the k best arrangements of a tune on an instrument, the best first.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    moves : iterable of str
        Names of moves that may be used; none plays the tune as written.
    k : int
        How many, at most; two that sound the same count once.
    limits : Limits, optional
        What the hand may do; a wide hand where not given.
    weights : Weights, optional
        What costs what.
    tempo : float, optional
        Quarters a minute; the tune's own where not given.
    least_seconds : float
        How long an inserted chord, and the chord that it shortens, must last.
    across_sections : bool
        Whether a chord may lead from the end of one section into the next.
    prefer : str
        A move that is to be used wherever it fits: other moves there count as a chance not taken.
    name : str
        What the arrangements are called.

    Raises
    ------
    HarmonyError
        If a chord has no playable shape on the instrument, or a move is unknown.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> tune = Tune.read(find_data("tunes", "net_loft_shuffle"))
    >>> best = reharmonise(tune, Instrument.named("ukulele"), ["approach"], k=1)[0]
    >>> print(best.inserted[0].reason)
    G♯°7 leads to Am7 from a semitone below; in these shapes G♯ falls to G, ...
    """
    pace = tune.tempo if tempo is None else tempo
    rules = _rules(moves, prefer)
    _check(k, pace, least_seconds)
    setting = Setting(tune.key, tune.melody, pace, least_seconds, across_sections)
    hand, prices = limits or Limits(), weights or Weights()
    book = ShapeBook(instrument, hand, prices)
    chooser = Chooser(book, prices, k)
    refusals: list[Refusal] = []
    for slot in slots_of(tune):
        offered = [(rule.name, found) for rule in rules for found in rule.offer(slot, setting)]
        refusals += [_refusal(slot, move, r) for move, r in offered if isinstance(r, Refused)]
        variants = [(move, found) for move, found in offered if isinstance(found, Variant)]
        chooser.add(slot, variants, prefer)
    refused, notes = tuple(refusals), tuple(book.notes)
    return tuple(
        Arrangement(tune, instrument, _steps(way), cost, pace, refused, notes, name, hand)
        for cost, way in chooser.finish()
    )


def _rules(moves: Iterable[str], prefer: str) -> list[MoveRule]:
    if isinstance(moves, str):
        raise HarmonyError(
            f"moves is the text {moves!r}", rule="it is a list of names", mend=f"[{moves!r}]"
        )
    rules = [move_named(move) for move in dict.fromkeys(moves)]
    if prefer and move_named(prefer) not in rules:
        raise HarmonyError(
            f"{prefer!r} is preferred but not among the moves",
            rule="a move that is preferred may be used",
            mend=", ".join(repr(rule.name) for rule in rules),
        )
    return rules


def _check(k: int, tempo: float, least_seconds: float) -> None:
    if k < 1:
        raise HarmonyError(f"k is {k}", rule="at least one arrangement is asked for")
    if not tempo > 0:
        raise HarmonyError(f"a tempo of {tempo}", rule="quarters a minute, above 0")
    if not least_seconds >= 0:
        raise HarmonyError(f"least_seconds is {least_seconds}", rule="seconds, 0 or more")


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
    step = steps[index]
    if choice.part.leads:
        return step.told(leading_reason(choice.part.reason, step, steps[index + 1]))
    return step.told(climb_reason(steps, index)) if step.move == CLIMB else step
