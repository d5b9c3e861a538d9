"""A finding: something true of a chord, a scale or a shape, with proof and what it is worth.

A finding is worth teaching as far as a player meets it: where it can stand in tunes, how little
the hand must learn for it, and whether everyone hears why.  ``payoff`` is the product of the three.
"""

from __future__ import annotations

from harmonykit.theory.typed import Told
from harmonykit.values import dataclass, replace

_HEARD_IN_AN_OUTER_VOICE, _HEARD_INSIDE, _NOT_HEARD = 1.0, 0.7, 0.4
_GRIP, _FINGER = 0.08, 0.08
_SELDOM = 0.1


@dataclass(frozen=True, slots=True)
class Ease:
    """What the hand has to do.

    Parameters
    ----------
    shapes : tuple of str
        Fret numbers, in playing order.
    new_grips : int
        How many grips a class learns for it.
    fingers_moved : int
        How many fingers do not stay where they were, in the hardest change; 0 where no shape
        changes.
    """

    shapes: tuple[str, ...] = ()
    new_grips: int = 1
    fingers_moved: int = 0

    @property
    def worth(self) -> float:
        """From 0 to 1: the less there is to learn, the more.

        Examples
        --------
        >>> Ease(("1-2-1-2",), 0).worth
        1.0
        """
        return 1 / (1 + _GRIP * self.new_grips + _FINGER * self.fingers_moved)


@dataclass(frozen=True, slots=True)
class Hearing:
    """What can be heard of a finding.

    Parameters
    ----------
    voice : {"top", "bass", "inner", ""}
        Where a voice moves by step; empty where none does.
    said : str
        ``"A♭ falls to G on top"``.
    """

    voice: str = ""
    said: str = ""

    @property
    def worth(self) -> float:
        """From 0 to 1: most in an outer voice.

        Examples
        --------
        >>> Hearing("top").worth > Hearing("inner").worth > Hearing().worth
        True
        """
        if self.voice in ("top", "bass"):
            return _HEARD_IN_AN_OUTER_VOICE
        return _HEARD_INSIDE if self.voice else _NOT_HEARD


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in a tune where a finding can stand.

    Parameters
    ----------
    tune : str
        Its title.
    bar : int
        The written number.
    chord : str
        What stands there, as printed.
    """

    tune: str
    bar: int
    chord: str

    def __str__(self) -> str:
        return f"{self.tune}, bar {self.bar}: {self.chord}"


@dataclass(frozen=True, slots=True)
class Fits:
    """Where a finding can be used: at chords of these kinds.

    Parameters
    ----------
    kinds : tuple of str
        Kinds as they are counted in jazz (``evidence.kinds``).
    falls : bool
        Whether the next root lies a fifth below.
    """

    kinds: tuple[str, ...]
    falls: bool = False


@dataclass(frozen=True, slots=True)
class Teach:
    """What a lesson about a finding starts from, in the words of an idea's file.

    Parameters
    ----------
    source : str
        A chord's symbol, or a scale.
    change, target : str
        What is done to it, and what comes of it; empty where nothing changes.
    """

    source: str = ""
    change: str = ""
    target: str = ""


@dataclass(frozen=True, slots=True, repr=False)
class Finding(Told):
    """Something true of a source, computed, with proof, and what it is worth.

    Parameters
    ----------
    kind : str
        The statement's kind: ``"turns into"``, ``"same notes"`` and so on.
    statement : str
    proof : str
    near_miss : str
        The same said of what lies near, where it is false, with what is true there.
    fits : Fits
    ease : Ease
    hearing : Hearing
    rarity : int
        Of how many of the 224 set classes it is true; 0 where it is not about notes alone.
    spots : tuple of Spot
        In the tunes that were asked about.
    heard : str
        How often it was counted, in words.
    use : float
        The share of tunes, or of the chords of the tunes that were given, where it can stand.
    weight : float
        How much of the idea a class would take home, 1 for most.
    teach : Teach
        What a lesson starts from.

    Examples
    --------
    >>> found = hk.discover("Bdim7", "ukulele")
    >>> any("dominant sevenths" in one.statement for one in found[:10])
    True
    """

    kind: str
    statement: str
    proof: str
    near_miss: str = ""
    fits: Fits = Fits(())
    ease: Ease = Ease()
    hearing: Hearing = Hearing()
    rarity: int = 0
    spots: tuple[Spot, ...] = ()
    heard: str = ""
    use: float = 0.0
    weight: float = 1.0
    teach: Teach = Teach()

    @property
    def payoff(self) -> float:
        """Places by ease by hearing, times weight; 0 or more."""
        return (_SELDOM + self.use) * self.ease.worth * self.hearing.worth * self.weight

    def about(self, source: str) -> Finding:
        """Return the finding with what a lesson starts from, where it does not say so itself."""
        return (
            self if self.teach.source else replace(self, teach=replace(self.teach, source=source))
        )

    def placed(self, spots: tuple[Spot, ...], use: float, heard: str) -> Finding:
        """Return the finding with where it can stand."""
        return replace(self, spots=spots, use=use, heard=heard)

    def __str__(self) -> str:
        return self.statement
