"""An analysed chord, and the chains of ii-V pairs in a row of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harmonykit.theory.chord import Chord
from harmonykit.theory.root_motion import falls_a_fifth
from harmonykit.tune.analysis.numerals import printed_numeral

TONIC, PREDOMINANT, DOMINANT = "tonic", "predominant", "dominant"


@dataclass(frozen=True, slots=True)
class Analysed:
    """A chord in its key.

    Parameters
    ----------
    chord : Chord or None
        ``None`` where none sounds.
    numeral : str
        ``"V7/ii"``: a secondary dominant has its goal behind a stroke.
    function : {"tonic", "predominant", "dominant", ""}
        Empty where none is plain.
    goal : str
        What a dominant or its predominant leads to: ``"ii"``; empty for the key's own tonic.
    doubt : str
        Why this is doubtful, or nothing.
    """

    chord: Chord | None
    numeral: str
    function: str = ""
    goal: str = ""
    doubt: str = ""

    @property
    def words(self) -> str:
        """What it does, in words; empty where no function is plain.

        Examples
        --------
        >>> hk.tune.Analysed(hk.Chord.parse("A7"), "V7/ii", "dominant", "ii").words
        'dominant of ii'
        >>> hk.tune.Analysed(hk.Chord.parse("Db7"), "subV7", "dominant").words
        'tritone substitute'
        """
        kind = self.function
        if kind == DOMINANT and self.numeral.startswith("subV"):
            kind = "tritone substitute"
        elif kind == DOMINANT and self.numeral.startswith("viio"):
            kind = "leading-tone diminished"
        return f"{kind} of {printed_numeral(self.goal)}" if kind and self.goal else kind


@dataclass(frozen=True, slots=True)
class Chain:
    """Predominants and dominants in a row, by their indices; ``goal`` is that of the last.

    Parameters
    ----------
    chords : tuple of int
        Indices among the changes.
    goal : str
        The numeral that the last one resolves to.
    """

    chords: tuple[int, ...]
    goal: str


def find_chains(entries: Sequence[Analysed]) -> tuple[Chain, ...]:
    """Return the ii-V pairs, and longer rows of them that run into each other."""
    chains: list[list[int]] = []
    index = 0
    while index + 1 < len(entries):
        one, two = entries[index], entries[index + 1]
        if _is_pair(one, two):
            joined = chains and chains[-1][-1] == index - 1
            if joined and not _arrives(entries[index - 1], one):
                chains[-1] += [index, index + 1]
            else:
                chains.append([index, index + 1])
            index += 2
        else:
            index += 1
    return tuple(Chain(tuple(chain), entries[chain[-1]].goal) for chain in chains)


def _is_pair(one: Analysed, two: Analysed) -> bool:
    if one.chord is None or two.chord is None or two.function != DOMINANT:
        return False
    fifth = falls_a_fifth(one.chord, two.chord)
    return fifth and is_minor_like(one.chord) and may_be_dominant(two.chord)


def _arrives(dominant: Analysed, after: Analysed) -> bool:
    """Return whether a dominant has come home to a tonic: then a new chain begins."""
    return after.function == TONIC and not dominant.goal


def is_minor_like(chord: Chord) -> bool:
    """Return whether a chord may be the ii of a dominant: a minor third, no diminished seventh."""
    return 3 in chord.semitones and 4 not in chord.semitones and 9 not in chord.semitones


def may_be_dominant(chord: Chord) -> bool:
    """Return whether a chord has a minor seventh over a major third, or over a fourth instead."""
    above = set(chord.semitones)
    return 10 in above and (4 in above or (5 in above and 3 not in above))
