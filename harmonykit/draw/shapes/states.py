"""What is shown at each place of a neck, as data: a panel sends this, and draws nothing again.

Conventions.  A place is named as in the drawing: ``string-2-fret-3`` (strings counted from 1 in
the instrument's order, fret 0 open), or ``string-2-muted``.  Its state is a role (one of
:data:`harmonykit.draw.base.roles.ROLES`, ``"hidden"`` or ``"muted"``) and the letters in the
mark.  The role is the class ``role-third`` of the place's element; the letters are its ``<text>``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from harmonykit.draw.base.roles import ROLES, degree_label, role_of
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

LETTERS = ("notes", "degrees", "none")
PLACE_ROLES = (*ROLES, "muted", "hidden")


class PlaceState(NamedTuple):
    """What a place shows: its role and the letters in its mark.  As JSON a pair of texts."""

    role: str
    letters: str = ""


HIDDEN, _MUTED = PlaceState("hidden"), PlaceState("muted")
_Place = tuple[int, int]


def neck_states(
    instrument: Instrument,
    shown: Voicing | Chord | Iterable[int] = (),
    *,
    chord: Chord | None = None,
    was: Voicing | None = None,
    frets: int = 12,
    letters: str = "notes",
    names: Mapping[int, Note] | None = None,
) -> dict[str, PlaceState]:
    """Return the state of every place of a neck, the hidden ones too.

    Parameters
    ----------
    instrument : Instrument
    shown : Voicing, Chord or iterable of int
        A shape is shown where it is held, a chord or pitch classes wherever they lie.
    chord : Chord, optional
        Gives roles and spelling to a shape or to pitch classes; a chord that is shown is its own.
    was : Voicing, optional
        A shape that stood before: a ring where a string has moved.
    frets : int in 1..36
    letters : {"notes", "degrees", "none"}
    names : mapping of int to Note, optional
        Names of pitch classes that go before the chord's spelling.

    Raises
    ------
    HarmonyError
        For unknown letters, more frets than the neck has, or a shape that lies beyond them.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> states = neck_states(ukulele, Chord.parse("C6"))
    >>> states["string-1-fret-2"], states["string-1-fret-3"].role
    (PlaceState(role='seventh', letters='A'), 'hidden')
    """
    if letters not in LETTERS:
        raise HarmonyError(f"{letters!r} are no letters", mend=", ".join(map(repr, LETTERS)))
    table = _table(instrument, frets)
    read = _Reader(shown if isinstance(shown, Chord) else chord, letters, names or {})
    if isinstance(shown, Voicing):
        marked = dict(_shape(shown, instrument, read))
    else:
        pcs = shown.pcs if isinstance(shown, Chord) else {int(pc) % 12 for pc in shown}
        seen = {pc: read(pc) for pc in pcs}
        marked = {gid: seen[pc] for gid, pc in table.items() if pc in seen}
    before = dict(_before(was, shown, read)) if was is not None else {}
    beyond = sorted({**before, **marked}.keys() - table.keys())
    if beyond:
        raise HarmonyError(f"{beyond[0]} is not on the board", rule=f"it shows {frets} frets")
    return dict.fromkeys(table, HIDDEN) | before | marked


def changed_states(
    before: Mapping[str, PlaceState], after: Mapping[str, PlaceState]
) -> dict[str, PlaceState]:
    """Return the states that differ from those before: all that has to be sent.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> old = neck_states(ukulele, Voicing.parse("2323", ukulele))
    >>> new = neck_states(ukulele, Voicing.parse("2223", ukulele))
    >>> {gid: state.role for gid, state in changed_states(old, new).items()}
    {'string-2-fret-2': 'note', 'string-2-fret-3': 'hidden'}
    """
    return {gid: state for gid, state in after.items() if before.get(gid) != state}


class _Reader:
    """The role and the letters of a pitch class, each found once."""

    def __init__(self, chord: Chord | None, letters: str, names: Mapping[int, Note]) -> None:
        self._chord, self._letters, self._names = chord, letters, names

    def __call__(self, pitch_class: int) -> PlaceState:
        return PlaceState(role_of(self._chord, pitch_class), self.letters(pitch_class))

    def letters(self, pitch_class: int) -> str:
        """Return what stands in the mark of a pitch class."""
        if self._letters == "none":
            return ""
        if self._letters == "degrees":
            return degree_label(self._chord, pitch_class)
        return self.note(pitch_class).unicode

    def note(self, pitch_class: int) -> Note:
        """Return the name of a pitch class: the one given, the chord's, or the most usual."""
        if pitch_class in self._names:
            return self._names[pitch_class].at(None)
        if self._chord is not None:
            return self._chord.spell(pitch_class)
        return Note.from_midi(60 + pitch_class, flats=pitch_class not in (1, 6)).at(None)


@lru_cache(maxsize=64)
def _table(instrument: Instrument, frets: int) -> Mapping[str, int]:
    """Return the pitch class of every place, -1 for a muted string's cross."""
    if not 1 <= frets <= instrument.frets:
        raise HarmonyError(
            f"{frets} frets to show",
            rule=f"the neck of the {instrument.name} has {instrument.frets}",
        )
    return dict(_places(instrument, frets))


def _places(instrument: Instrument, frets: int) -> Iterator[tuple[str, int]]:
    for string in range(len(instrument.strings)):
        if instrument.start(string) < frets:
            yield f"string-{string + 1}-muted", -1
            for fret in range(frets + 1):
                if instrument.has_fret(string, fret):
                    yield _gid(string, fret), instrument.pitch(string, fret) % 12


def _gid(string: int, fret: int | None) -> str:
    return f"string-{string + 1}-" + ("muted" if fret is None else f"fret-{fret}")


def _shape(
    voicing: Voicing, instrument: Instrument, read: _Reader
) -> Iterator[tuple[str, PlaceState]]:
    if len(voicing.frets) != len(instrument.strings):
        raise HarmonyError("a shape has another number of strings than the neck")
    for string, (fret, midi) in enumerate(zip(voicing.frets, voicing.midi, strict=True)):
        yield _gid(string, fret), _MUTED if midi is None else read(midi % 12)


def _before(was: Voicing, shown: object, read: _Reader) -> Iterator[tuple[str, PlaceState]]:
    """Yield a ring for each string that has moved or fallen silent."""
    now = shown.frets if isinstance(shown, Voicing) else (None,) * len(was.frets)
    for string, (fret, midi) in enumerate(zip(was.frets, was.midi, strict=True)):
        if midi is not None and now[string] != fret:
            yield _gid(string, fret), PlaceState("was", read.letters(midi % 12))
