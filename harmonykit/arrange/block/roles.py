"""What the long notes of a melody are in the chords under them.

A long note lasts two beats or half a bar, or begins on the first beat of a bar.  Its role is that
of ``harmonise``: guide tones (third, sixth, seventh) and tensions colour a chord, root and fifth do
not; a note that the chord does not take is an avoid note.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.block.harmonise import GUIDE, TENSION, role_in
from harmonykit.theory.chord import Chord
from harmonykit.tune.bar import bar_length, beat_length
from harmonykit.tune.tune import Sung

AVOID = "avoid note"


@dataclass(frozen=True, slots=True)
class MelodyRoles:
    """The roles of a melody's long notes, in an arrangement and over the chords as written.

    Parameters
    ----------
    played, written : dict of str to int
        How many long notes have each role: ``"third"``, ``"tension"``, ``"avoid note"`` and so on.

    Examples
    --------
    >>> tune = hk.read_tune("ropewalk_blues")
    >>> found = hk.arrange.melody_roles(hk.arrange.melody_on_top(tune, "ukulele").arrangement)
    >>> found.coloured, found.coloured_as_written, found.played.get("avoid note", 0)
    (8, 8, 0)
    """

    played: dict[str, int]
    written: dict[str, int]

    @property
    def coloured(self) -> int:
        """How many long notes are guide tones or tensions."""
        return _coloured(self.played)

    @property
    def coloured_as_written(self) -> int:
        """The same over the tune's own chords."""
        return _coloured(self.written)


def melody_roles(arrangement: Arrangement) -> MelodyRoles:
    """Return what the long notes of a tune's melody are in an arrangement of it.

    Parameters
    ----------
    arrangement : Arrangement

    Returns
    -------
    MelodyRoles

    Examples
    --------
    >>> found = hk.arrange.melody_on_top("ropewalk_blues", "ukulele")
    >>> hk.arrange.melody_roles(found.arrangement).played["seventh"]
    2
    """
    pairs = list(_long(arrangement))
    return MelodyRoles(
        _counted((sung, played) for sung, played, _ in pairs),
        _counted((sung, written) for sung, _, written in pairs),
    )


def _long(arrangement: Arrangement) -> Iterator[tuple[Sung, Chord | None, Chord | None]]:
    """Yield each long note with the chord that sounds as it begins, and with the tune's."""
    playing = arrangement.tune.playing
    steps, bars, place, bar = arrangement.steps, len(playing), 0, 0
    for sung in arrangement.tune.melody:
        while bar + 1 < bars and playing[bar + 1].onset <= sung.onset:
            bar += 1
        while place + 1 < len(steps) and steps[place + 1].onset <= sung.onset:
            place += 1
        meter = playing[bar].bar.meter
        long = min(2 * beat_length(meter), bar_length(meter) / 2)
        first = sung.onset == playing[bar].onset and sung.beats >= beat_length(meter)
        if sung.beats >= max(long, Fraction(1)) or first:
            yield sung, steps[place].chord, steps[place].written


def _counted(pairs: Iterator[tuple[Sung, Chord | None]]) -> dict[str, int]:
    return dict(
        Counter(
            role_in(sung.note.pitch_class, chord) or AVOID
            for sung, chord in pairs
            if chord is not None
        )
    )


def _coloured(roles: dict[str, int]) -> int:
    return sum(count for role, count in roles.items() if role in (*GUIDE, TENSION))
