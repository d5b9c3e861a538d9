"""Price moves so that none is used all the time, nor again and again at one place.

Of what a search found, what is too much of one kind is made dearer, and the best is sought anew.
How much is too much is common practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from harmonykit.arrange.arrangement import ORNAMENTS, is_foreign
from harmonykit.arrange.left_alone import third_in_a_row
from harmonykit.arrange.moves import Part
from harmonykit.arrange.moves.suspension import SUSPENSION
from harmonykit.arrange.network import Choice, Network
from harmonykit.arrange.slots import Piece

QUARTER, SHARE, MANY = 0.25, 0.3, 5
"""Of the structural chords that are added at most a quarter are by one idiom; of all that more than
so many moves add, at most such a share by one of them."""
PHRASE_BEFORE = 8
"""Bars: so far back lies the phrase before, or the one before it."""
NEAR = 4
"""Bars: what lies farther apart is not heard as a row."""

_ROUNDS, _DEARER = 6, 150


def balance(network: Network, moves: int) -> None:
    """Price the moves of a network where they come too often, in rounds.

    Those toward the end of a phrase are spared first, and a bar that comes again is one place.

    Parameters
    ----------
    network : Network
    moves : int
        How many may be used; where one alone is, it stands wherever it fits.
    """
    places = {} if network.setting is None else network.setting.places
    for number in range(1, 1 + (_ROUNDS if moves > 1 else 0)):
        ways = network.cheapest(1)
        added = added_choices(ways[0][1]) if ways else []
        dear = [] if network.urgent else [*_thirds(added), *_echoes(added, places)]
        for uses, most in _over(added, moves, urgent=network.urgent):
            dear += _beyond(uses, most, places)
        for choice in dear:
            place = choice.part.move, choice.part.onset
            network.dear_at[place] = network.dear_at.get(place, 0) + number * _DEARER
        if not dear:
            return


def added_choices(way: Sequence[Choice]) -> list[Choice]:
    """Return the choices whose chord is not the tune's there; one that goes on is one."""
    found: list[Choice] = []
    last = None
    for choice in way:
        part = choice.part
        foreign = bool(part.move) and is_foreign(part.chord, choice.slot.chord)
        if foreign and part.chord != last:
            found.append(choice)
        last = part.chord if foreign else None
    return found


def _kind_of(part: Part) -> str:
    """Return the move of a part, one name for a note that comes late, held over or struck."""
    return part.move if part.delayed is None else SUSPENSION


def _over(
    added: Sequence[Choice], moves: int, *, urgent: bool
) -> Iterator[tuple[list[Choice], float]]:
    """Yield what one move adds where that is too much, and how much it may add.

    Where moves are wanted wherever they fit, only of many none is used all the time.
    """
    uses: dict[str, list[Choice]] = defaultdict(list)
    for choice in added:
        uses[_kind_of(choice.part)].append(choice)
    structural = sum(len(each) for move, each in uses.items() if move not in ORNAMENTS)
    for move, each in uses.items():
        limits = [SHARE * len(added)] if moves > MANY else []
        limits += [QUARTER * structural] if not urgent and move not in ORNAMENTS else []
        most = max(2.0, min(limits, default=float(len(each))))
        if len(each) > most:
            yield each, most


def _beyond(uses: Sequence[Choice], most: float, places: Mapping[int, int]) -> Iterator[Choice]:
    """Yield the uses beyond so many, those that come again together."""
    groups: dict[tuple[int, Fraction], list[Choice]] = defaultdict(list)
    for choice in uses:
        piece = _piece(choice)
        groups[piece.number, piece.at + choice.part.onset - piece.onset].append(choice)
    kept = 0
    for group in sorted(groups.values(), key=lambda group: -places.get(group[0].part.bar, 0)):
        if kept and kept + len(group) > most:
            yield from group
        else:
            kept += len(group)


def _echoes(added: Sequence[Choice], places: Mapping[int, int]) -> Iterator[Choice]:
    """Yield the structural chords of a move that stood at the same place of the phrase before.

    A bar that comes again is the same music, and no echo.
    """
    last: dict[tuple[str, int, Fraction], Piece] = {}
    for choice in added:
        move, piece = choice.part.move, _piece(choice)
        if move in ORNAMENTS:
            continue
        key = move, places.get(piece.bar, 0), piece.at + choice.part.onset - piece.onset
        before = last.get(key)
        if before is not None and 0 < piece.bar - before.bar <= PHRASE_BEFORE:
            if piece.number != before.number:
                yield choice
                continue
        last[key] = piece


def _piece(choice: Choice) -> Piece:
    return next(piece for piece in choice.slot.pieces if piece.bar == choice.part.bar)


def _thirds(added: Sequence[Choice]) -> Iterator[Choice]:
    """Yield what comes for the third time in a row at the same place of the bar."""
    rows: list[tuple[str, Fraction]] = []
    for index, choice in enumerate(added):
        part = choice.part
        piece = _piece(choice)
        at = piece.at + part.onset - piece.onset
        near = index > 1 and part.bar - added[index - 2].part.bar <= NEAR
        if near and third_in_a_row(rows, _kind_of(part), at):
            yield choice
            rows.append(("", at))  # the fourth is no third
        else:
            rows.append((_kind_of(part), at))
