"""The 224 set classes filtered by size, interval vector, symmetry and inclusion.

The pure part of the catalogue panel: its state, and what the state comes to.
"""

import re
from functools import lru_cache

from harmonykit.about.names import chord_names, count, digits, list_notes
from harmonykit.errors import HarmonyError, attempt
from harmonykit.ideas.source import as_source
from harmonykit.theory.chord import PcSet
from harmonykit.theory.sets.operation import forms
from harmonykit.theory.sets.setclass import SetClass, set_classes
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words
from harmonykit.workbook.panels.neck import check_neck

ANY = "any"
SYMMETRIES = (ANY, "turns", "mirrors", "turns or mirrors", "none")
SIZES = (ANY, *map(str, range(13)))
# An entry is a number or a dot; written without spaces, each is one figure.
_ENTRY = re.compile(r"\d+|\.")


@dataclass(frozen=True, slots=True)
class CatalogueState:
    """What the panel's controls set.

    Parameters
    ----------
    picked : str
        Forte's name.
    size : str
        ``"any"``, or a number of notes.
    vector : str
        Six entries, a dot where any number will do; nothing for any vector.
    symmetry : str
        One of ``SYMMETRIES``.
    holds, within : str
        Notes as digits (``0369``), a chord, a kind of chord or a scale; nothing for any.
    turn : int in 0..11
        By how much the prime form is transposed where it is seen.
    instrument : str
    """

    picked: str = "4-28"
    size: str = ANY
    vector: str = ""
    symmetry: str = ANY
    holds: str = ""
    within: str = ""
    turn: int = 0
    instrument: str = "ukulele"

    def __post_init__(self) -> None:
        SetClass.named(self.picked)
        for value, values in ((self.size, SIZES), (self.symmetry, SYMMETRIES)):
            if value not in values:
                raise HarmonyError(f"{value!r} cannot be chosen", mend=", ".join(values))
        check_neck(self.instrument)
        if not 0 <= self.turn <= 11:
            raise HarmonyError(f"a turn of {self.turn} semitones", rule="0 to 11 semitones")
        entries(self.vector)
        for text in (self.holds, self.within):
            read_set(text)


def entries(vector: str) -> tuple[int | None, ...]:
    """Return the entries of a vector that is asked for, ``None`` where any number will do.

    Raises
    ------
    HarmonyError
        If there are not six.

    Examples
    --------
    >>> entries("0 0 4 0 0 2"), entries("..4..."), entries("")
    ((0, 0, 4, 0, 0, 2), (None, None, 4, None, None, None), ())
    """
    words = vector.replace(",", " ").split()
    parts = list(words[0]) if len(words) == 1 else words
    if parts and (len(parts) != 6 or not all(_ENTRY.fullmatch(part) for part in parts)):
        raise HarmonyError(
            f"{vector!r} is not an interval vector",
            rule="six numbers, or a dot where any will do",
            mend="0 0 4 0 0 2 or ..4...",
        )
    return tuple(None if part == "." else int(part) for part in parts)


@lru_cache(maxsize=256)
def read_set(text: str) -> PcSet:
    """Return notes that are given as digits, or as a chord, a kind of chord or a scale.

    Examples
    --------
    >>> read_set("0369"), read_set("m7b5"), str(read_set("C harmonic minor"))
    (PcSet.of(0, 3, 6, 9), PcSet.of(0, 3, 6, 10), '023578E')
    """
    notes = attempt(PcSet.parse, text)
    return as_source(text, None).pcs if notes is None else notes


@dataclass(frozen=True, slots=True)
class Found:
    """What a state comes to: the class picked, the notes seen, and the classes that pass."""

    state: CatalogueState
    picked: SetClass
    notes: PcSet
    passing: frozenset[str]

    @property
    def lines(self) -> tuple[str, ...]:
        """What is said of the class beside the clock."""
        turns, mirrors = self.picked.symmetry
        prime = str(PcSet.of(*self.picked.prime_form)) or "no notes"
        partner = (
            f"; shares its vector with {self.picked.z_partner}" if self.picked.z_partner else ""
        )
        names = join_words(list(chord_names(self.notes))) or "no chord name"
        return (
            f"{self.picked.forte_name}: prime form {prime}",
            f"vector {digits(self.picked.interval_vector)}{partner}",
            f"unchanged by {count(turns, 'turn')} and {count(mirrors, 'mirror')}",
            f"{len(self.picked.members)} different forms; complement {self.picked.complement}",
            list_notes(self.notes),
            names,
        )

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        outside = self.state.picked not in self.passing
        none = f"; {self.state.picked}, drawn below, is none of them" * outside
        return f"{self.passed}{none}; {'; '.join(self.lines)}"

    @property
    def passed(self) -> str:
        """How many classes pass."""
        passing = len(self.passing)
        verb = "passes" if passing == 1 else "pass"
        return f"{passing} of {len(set_classes())} classes {verb}"


def compute(state: CatalogueState) -> Found:
    """Return what a state comes to.

    Examples
    --------
    >>> result = compute(CatalogueState(size="4", symmetry="turns"))
    >>> sorted(result.passing), result.lines[0]
    (['4-25', '4-28', '4-9'], '4-28: prime form 0369')
    """
    picked = SetClass.named(state.picked)
    notes = PcSet.of(*picked.prime_form).transpose(state.turn)
    passing = _passing(state.size, state.vector, state.symmetry, state.holds, state.within)
    return Found(state, picked, notes, passing)


@lru_cache(maxsize=128)
def _passing(size: str, vector: str, symmetry: str, holds: str, within: str) -> frozenset[str]:
    # Some form of a class holds a set where its prime form holds some form of the set.
    wanted, inner, outer = entries(vector), forms(read_set(holds)), forms(read_set(within))
    found = (
        each
        for each in set_classes()
        if size in (ANY, str(each.size))
        and _fits(each.interval_vector, wanted)
        and _symmetrical(each.symmetry, symmetry)
    )
    return frozenset(
        each.forte_name
        for each in found
        for prime in [PcSet.of(*each.prime_form)]
        if (not holds or any(form <= prime for form in inner))
        and (not within or any(prime <= form for form in outer))
    )


def _fits(vector: tuple[int, ...], wanted: tuple[int | None, ...]) -> bool:
    return all(ask in (None, have) for ask, have in zip(wanted, vector, strict=False))


def _symmetrical(symmetry: tuple[int, int], wanted: str) -> bool:
    turns, mirrors = symmetry[0] > 1, symmetry[1] > 0
    return {
        ANY: True,
        "turns": turns,
        "mirrors": mirrors,
        "turns or mirrors": turns or mirrors,
        "none": not (turns or mirrors),
    }[wanted]
