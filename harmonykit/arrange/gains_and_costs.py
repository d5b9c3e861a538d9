"""What an arrangement gains and what it costs: colour against playability and movement.

The offered arrangements, each at every step of its density, are measured by three wanted things:
chords added in eight bars (more is more colour), difficulty of the shapes (less is easier), and
semitones that the voices move in a bar (less is smoother).  One is *beaten* where another has as
much of all three and more of one; those that nobody beats are the Pareto front.  Steps of density
fill it between its ends.  It is a front of what is offered, not of all that could be played:
``pareto_front`` finds that, by numbers that no player asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial

from harmonykit.arrange import measures, styles
from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.offering import OFFERS, PLAIN, Offer, densities, offers
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.strings.instrument import InstrumentLike
from harmonykit.score.files import TuneLike
from harmonykit.values import dataclass, replace

_EIGHT = 8
_OFFERED = tuple(name for name in OFFERS if name == PLAIN or name in styles.STYLES)


@dataclass(frozen=True, slots=True)
class Tradeoff:
    """An arrangement, and what one who chooses it gains and pays.

    Parameters
    ----------
    style : str
        The offer that it is a step of: ``"plain"``, ``"rich"``.
    name : str
        With its density, where it is not all that the style adds: ``"rich, 2 in eight bars"``.
    arrangement : Arrangement
    added : float
        Chords added in eight bars: more is more colour.
    difficulty : float
        The rating of its shapes: more is harder.
    movement : float
        Semitones a bar, all voices together: more is less smooth.
    beaten_by : str
        The name of one that is as good in all three and better in one; empty on the front.
    """

    style: str
    name: str
    arrangement: Arrangement
    added: float
    difficulty: float
    movement: float
    beaten_by: str = ""

    @property
    def values(self) -> tuple[float, float, float]:
        """The three, each so that less is better."""
        return -self.added, self.difficulty, self.movement


def tradeoffs(
    tune: TuneLike,
    instrument: InstrumentLike,
    *,
    limits: Limits | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Tradeoff, ...]:
    """Return what is offered at each density, from plain to full, and which of it is beaten.

    Parameters
    ----------
    tune : Tune, str or Path
        A tune, the name of one that ships, a file, or its chords.
    instrument : Instrument or str
    limits : Limits, optional
        What the hand may do; a wide hand where not given.
    progress : callable, optional
        Told how many offers are done, and of how many; an exception raised in it ends the work.

    Returns
    -------
    tuple of Tradeoff
        Style by style, in each the fewest added chords first; the tune as written comes first.

    Raises
    ------
    HarmonyError
        If a chord has no shape on the instrument.

    Examples
    --------
    >>> found = hk.arrange.tradeoffs("slack_water_waltz", "ukulele")
    >>> found[0].name, found[0].added, found[0].beaten_by
    ('plain', 0.0, '')
    """
    offered = offers(tune, instrument, _OFFERED, limits=limits, progress=progress)
    found = [each for offer in offered for each in _steps(offer)]
    return tuple(replace(one, beaten_by=_beaten_by(one, found)) for one in found)


def _steps(offer: Offer) -> Iterator[Tradeoff]:
    """Yield an offer at each density at which it adds more than at the one before."""
    way = offer.arrangement
    ways = densities(way)[:-1] if offer.name != PLAIN else ()
    full = _measured(offer.name, way)
    for each in map(partial(_measured, offer.name), ways):
        if 0 < each.added < full.added:
            step = f"{offer.name}, {each.added:g} in eight bars"
            yield replace(each, name=step, arrangement=replace(each.arrangement, name=step))
    yield full


def _measured(style: str, way: Arrangement) -> Tradeoff:
    found, bars = measures.measure(way), len(way.tune.playing)
    return Tradeoff(
        style,
        style,
        replace(way, name=style),
        added=round(_EIGHT * found.added / bars, 1),
        difficulty=round(found.playability, 1),
        movement=round(found.semitones / bars, 1),
    )


def _beaten_by(one: Tradeoff, found: Sequence[Tradeoff]) -> str:
    """Return the name of one that beats another: of several, the one with the most colour."""
    better = [other for other in found if _beats(other, one)]
    return min(better, key=lambda other: other.values).name if better else ""


def _beats(one: Tradeoff, other: Tradeoff) -> bool:
    pairs = [*zip(one.values, other.values, strict=True)]
    return all(a <= b for a, b in pairs) and any(a < b for a, b in pairs)
