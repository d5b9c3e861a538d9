"""The search: the k best arrangements of a tune, in which no move stands all the time.

The tune is cut into slots; moves offer variants of each; a variant is a row of parts, and a part
has the shapes that may play its chord.  A way through one variant of every slot, one shape a part,
is an arrangement; its cost is the sum of what shapes and changes cost (``costs``), and ``network``
finds the cheapest.

Two arrangements are the same when their chords and sounding notes are the same; of each such class
the cheapest counts.

Of what was found, what is too much of one kind is made dearer, and the best is sought anew.  How
much is too much is common practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from harmonykit.arrange import left_alone, slots
from harmonykit.arrange.arrangement import ORNAMENTS, Arrangement, is_foreign
from harmonykit.arrange.moves import USUAL, Part
from harmonykit.arrange.moves.ornaments import SUSPENSION
from harmonykit.arrange.network import Network
from harmonykit.arrange.part_prices import Choice
from harmonykit.arrange.space import Search, search_space
from harmonykit.arrange.wishes import Demands, Wishes, as_wishes
from harmonykit.errors import HarmonyError, need_whole
from harmonykit.fretboard.strings.instrument import InstrumentLike
from harmonykit.score.files import TuneLike

QUARTER, FOUR = 0.25, 4
"""At most a quarter of the added chords are by one idiom, and of the structural ones, too; so that
a quarter each can be, four idioms or more must be allowed: walks alone are a way to play."""
PHRASE_BEFORE = 8
"""Bars: so far back lies the phrase before, or the one before it."""
NEAR = 4
"""Bars: what lies farther apart is not heard as a row."""

_ROUNDS, _DEARER = 6, 150


def balance(network: Network, moves: Sequence[str]) -> None:
    """Price the moves of a network where they come too often, in rounds.

    Those toward the end of a phrase are spared first, and a bar that comes again is one place.

    Parameters
    ----------
    network : Network
    moves : sequence of str
        Which may be used; where one alone is, it stands wherever it fits.
    """
    setting = network.prices.setting
    places = {} if setting is None else setting.places
    many = sum(move not in ORNAMENTS for move in moves) >= FOUR
    for number in range(1, 1 + (_ROUNDS if len(moves) > 1 else 0)):
        ways = network.cheapest(1)
        added = added_choices(ways[0][1]) if ways else []
        dear = [] if network.prices.urgent else [*_thirds(added), *_echoes(added, places)]
        for uses, most in _over(added, many=many, urgent=network.prices.urgent):
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
    added: Sequence[Choice], *, many: bool, urgent: bool
) -> Iterator[tuple[list[Choice], float]]:
    """Yield what one move adds where that is too much, and how much it may add.

    Where moves are wanted wherever they fit, only of many none is used all the time.
    """
    uses: dict[str, list[Choice]] = defaultdict(list)
    for choice in added:
        uses[_kind_of(choice.part)].append(choice)
    structural = sum(len(each) for move, each in uses.items() if move not in ORNAMENTS)
    for move, each in uses.items():
        limits = [QUARTER * len(added)] if many else []
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
    last: dict[tuple[str, int, Fraction], slots.Piece] = {}
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


def _piece(choice: Choice) -> slots.Piece:
    return choice.slot.piece_in(choice.part.bar)


def _thirds(added: Sequence[Choice]) -> Iterator[Choice]:
    """Yield what comes for the third time in a row at the same place of the bar."""
    rows: list[tuple[str, Fraction]] = []
    for index, choice in enumerate(added):
        part = choice.part
        piece = _piece(choice)
        at = piece.at + part.onset - piece.onset
        near = index > 1 and part.bar - added[index - 2].part.bar <= NEAR
        if near and left_alone.third_in_a_row(rows, _kind_of(part), at):
            yield choice
            rows.append(("", at))  # the fourth is no third
        else:
            rows.append((_kind_of(part), at))


def reharmonise(
    tune: TuneLike,
    instrument: InstrumentLike,
    moves: Iterable[str] = USUAL,
    k: int = 5,
    *,
    style: str = "",
    wishes: Wishes | None = None,
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
    style : str
        A style of ``hk.arrange.STYLES``; that of the wishes where empty.
    wishes : Wishes, optional
        All else that is asked: how much is added, which shapes, the hand, the tempo, and what must
        be kept.
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
    D♯°7 passes up to Em7: the roots rise by half steps, D – D♯ – E; in these shapes ...
    >>> slow = hk.Wishes(tempo=60, limits=hk.Limits(max_fret=5))
    >>> hk.reharmonise("heron_landing", "ukulele", k=1, style="sparse", wishes=slow)[0].tempo
    60
    """
    need_whole(k, "k", 1)
    wishes = as_wishes(wishes)
    if style:
        wishes = replace(wishes, style=style)
    return best_of(search_space(tune, instrument, moves, wishes), k, progress)


def best_of(
    space: Search,
    k: int,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Arrangement, ...]:
    """Return the k best arrangements of all that there are, none of many moves used all the time.

    Raises
    ------
    HarmonyError
        If nothing keeps all the demands.
    """
    balance(space.network, space.moves)
    ways = space.network.cheapest(k, progress)
    if not ways:
        raise nothing_fits(space.wishes.demands)
    return tuple(space.arrangement(cost, way, space.wishes.name) for cost, way in ways)


def nothing_fits(demands: Demands | None) -> HarmonyError:
    """Return the error for demands that no arrangement keeps."""
    return HarmonyError(
        "no arrangement meets all demands",
        rule=str(demands or Demands()),
        mend="a first or last shape that plays the tune's own chord, within the hand's limits",
    )
