"""What an arrangement must keep, whatever it costs."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.typed import as_typed
from harmonykit.tune.bar import Meter, bar_length


@dataclass(frozen=True, slots=True)
class Demands:
    """What an arrangement must keep, whatever it costs, beside the limits of the hand.

    Parameters
    ----------
    changes_a_bar : int, optional
        The most chords in a bar to which a move adds one; a bar as written may have more.
    first, last : Voicing, optional
        The shape of the first and of the last chord that sounds.
    locked : frozenset of int
        Bars that stay as they are, by their written numbers.
    by_section : tuple of (str, tuple of str)
        Which of the moves may be used in a section; all of them in one that is not named.
    no_added_clashes : bool
        Whether added chords that clash with the melody are refused where the tune's own do not.

    Examples
    --------
    >>> hk.Demands(by_section=(("B", ("ascending walk",)),)).allows("B", "leading-tone diminished")
    False
    """

    changes_a_bar: int | None = None
    first: Voicing | None = None
    last: Voicing | None = None
    locked: frozenset[int] = frozenset()
    by_section: tuple[tuple[str, tuple[str, ...]], ...] = ()
    no_added_clashes: bool = False

    def __post_init__(self) -> None:
        if self.changes_a_bar is not None and self.changes_a_bar < 1:
            raise HarmonyError(f"{self.changes_a_bar} changes a bar", rule="at least one chord")

    def allows(self, section: str, move: str) -> bool:
        """Whether a move may be used in a section.

        Parameters
        ----------
        section : str
        move : str

        Returns
        -------
        bool

        Examples
        --------
        >>> demands = hk.Demands(by_section=(("A", ("tritone substitution",)),))
        >>> demands.allows("A", "pedal point"), demands.allows("B", "pedal point")
        (False, True)
        """
        return move in dict(self.by_section).get(section, (move,))

    def __repr__(self) -> str:
        return as_typed(self)


def changes_at(tempo: float, meter: Meter = (4, 4), seconds: float = 1.0) -> int:
    """Return how many changes of so many seconds each a bar has room for; at least one.

    Examples
    --------
    >>> changes_at(120), changes_at(240), changes_at(90, (3, 4), seconds=0.5)
    (2, 1, 4)
    """
    if not tempo > 0 or not seconds > 0:
        raise HarmonyError(f"{seconds:g} s at a tempo of {tempo:g}", rule="both are above 0")
    length = bar_length(meter) * 60 / Fraction(tempo)
    return max(1, int(length / Fraction(seconds)))
