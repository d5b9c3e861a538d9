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
from dataclasses import replace

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.balance import balance
from harmonykit.arrange.demands import Demands
from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.space import Search, search_space
from harmonykit.arrange.wishes import Wishes, as_wishes
from harmonykit.errors import HarmonyError, need_whole
from harmonykit.fretboard.strings.instrument import InstrumentLike
from harmonykit.score.files import TuneLike


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
    D♯°7 passes up to Em7 by half steps; in these shapes D♯ falls to D, ...
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
    balance(space.network, len(space.moves))
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
