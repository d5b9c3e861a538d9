"""From notes to names: every reading of a set of notes as a chord, the plainest first.

Each note may be the root, and a root may also be missing: A C E♭ F♯ is A°7 and D7♭9 without its
root.  A reading may lack tones that players leave out; what it lacks is said.  Nothing is hidden:
what no table names is spelled out in thirds.  The order is ours (common practice, no source): a
table's chords before spelled-out ones, whole ones before those that lack a tone, those on their
bass before the others.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from harmonykit.theory import given, typed
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.given import ChordLike, KeyLike, NotesLike
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note, as_note
from harmonykit.theory.sets.pcset import PcSet, pitch_class
from harmonykit.theory.spelling import chart_name, usual_root
from harmonykit.theory.symbols.quality import QUALITIES, Quality, droppable
from harmonykit.values import dataclass

# What makes a name less plain than the next one in the table of qualities.
_NOT_ON_ITS_BASS = 10
_LACKS_FIFTH, _LACKS_TONE, _LACKS_ROOT = 15, 25, 60
_MOST_MISSING = 3  # a thirteenth may lack its fifth, ninth and eleventh
_FOREIGN_BASS = 30
_SPELLED_OUT = 50
# Roots that are flat under a major third and sharp under a minor one (common practice, no source).
_SHARP_ROOTS = {1: Note("C", 1), 8: Note("G", 1)}
_MINOR_THIRD, _DIMINISHED_SEVENTH = Degree.parse("b3"), Degree.parse("bb7")


@dataclass(frozen=True, slots=True, repr=False)
class ChordName(typed.Told):
    """One reading of some notes as a chord.

    Parameters
    ----------
    chord : Chord
        With its bass where one was given.
    missing : tuple of Degree
        The degrees of the chord that do not sound.
    rank : int
        The lower, the plainer.

    Examples
    --------
    >>> print(hk.name_chords(hk.Chord.parse("F#dim7").pcs)[-1])
    B7♭9 without 1
    """

    chord: Chord
    missing: tuple[Degree, ...]
    rank: int

    @property
    def complete(self) -> bool:
        """Whether every tone of the chord sounds."""
        return not self.missing

    @property
    def symbol(self) -> str:
        """The chord's symbol in ASCII."""
        return self.chord.symbol

    def __str__(self) -> str:
        if self.complete:
            return self.chord.unicode
        return f"{self.chord.unicode} without {', '.join(d.unicode for d in self.missing)}"


def name_chords(
    notes: NotesLike, bass: Note | int | str | None = None, key: KeyLike | None = None
) -> tuple[ChordName, ...]:
    """Return all readings of some notes as a chord, the plainest first.

    Parameters
    ----------
    notes : str, Chord, PcSet, or iterable of int, Note or str
        Note names (``"C E G A"``), pitch classes or pitches, in any order; names are lent to the
        roots.  A chord symbol stands for its notes.
    bass : Note, str or int, optional
        The lowest note; it need not be among the others.  A number is named by each chord: as its
        tone, with one accidental at most.
    key : Key or str, optional
        Names what is not named by ``notes``; otherwise roots are named as charts do.

    Returns
    -------
    tuple of ChordName
        Empty where no note is given.

    Examples
    --------
    >>> [str(name) for name in hk.name_chords("C E G A", bass="C")][:2]
    ['C6', 'Am7/C']
    >>> [str(name) for name in hk.name_chords(hk.Chord.parse("G7").pcs, bass=7)][:2]
    ['G7', 'Bm♭5/G']
    >>> str(hk.name_chords([61, 64, 67, 69], bass=61)[0])
    'A7/C♯'
    """
    named = given.as_notes(notes)
    bass = as_note(bass) if isinstance(bass, str) else bass
    key = None if key is None else given.as_key(key)
    spelled = {n.pitch_class: n.at(None) for n in named if isinstance(n, Note)}
    low = bass.at(None) if isinstance(bass, Note) else None if bass is None else pitch_class(bass)
    if isinstance(low, Note):
        spelled.setdefault(low.pitch_class, low)
    heard = PcSet.of(*(n.pitch_class if isinstance(n, Note) else n for n in named))
    best: dict[Chord, ChordName] = {}
    for name in _readings(heard, low, spelled, key):
        if name.chord not in best or name.rank < best[name.chord].rank:
            best[name.chord] = name
    start = 0 if low is None else _sounds(low)
    return tuple(sorted(best.values(), key=lambda n: (n.rank, _above(n.chord.root, start))))


def exact_names(
    pcs: NotesLike, key: KeyLike | None = None, near: ChordLike | None = None
) -> tuple[Chord, ...]:
    """Return the chords of the table of qualities that have just these notes, in root position.

    Parameters
    ----------
    pcs : str, Chord, PcSet, or iterable of int, Note or str
        A symbol, note names, a chord, a set or its notes.
    key : Key or str, optional
        The key that names the roots; otherwise as charts name them.
    near : Chord or str, optional
        The chord beside which they stand: notes that it has too keep their names, and of equal
        qualities the one on its root comes first.

    Returns
    -------
    tuple of Chord

    Examples
    --------
    >>> [chord.symbol for chord in hk.exact_names("C E G A")]
    ['Am7', 'C6']
    >>> notes = hk.PcSet.of(1, 4, 7, 10)
    >>> hk.exact_names(notes, near="A7")[0].symbol, hk.exact_names(notes, near="Eb7")[0].symbol
    ('C#dim7', 'Edim7')
    >>> hk.exact_names(hk.PcSet.of(0, 1, 2))
    ()
    """
    pcs, key = given.as_pcset(pcs), None if key is None else given.as_key(key)
    home = None if near is None else given.as_chord(near)
    found = []
    for pc in pcs:
        for quality in _complete(pcs.transpose(-pc)):
            if home is None:
                root = _root(pc, quality.degrees, {}, key)
            else:
                root = root_beside(home, pc, quality.degrees, key)
            strange = () if home is None else _strange(home, root, quality.degrees)
            order = (QUALITIES.index(quality), strange, pc)
            found.append((order, Chord.of(root, quality.suffix)))
    return tuple(chord for _, chord in sorted(found, key=lambda row: row[0]))


def root_beside(home: Chord, pc: int, degrees: tuple[Degree, ...], key: Key | None = None) -> Note:
    """Return the name of a root that stands beside another chord: its own, the key's, the nearest.

    The root of a diminished seventh that is one of its notes keeps its name, flat or natural, where
    charts write such a root.  The nearest is, among names with one sign at most, that which keeps
    most names of notes in common; it is taken for what is foreign to the key, or where none is
    given.

    Examples
    --------
    >>> minor = Chord.parse("Am7").degrees
    >>> [root_beside(Chord.parse(home), 8, minor).name for home in ("Ebm9", "C#m7")]
    ['Ab', 'G#']
    """
    if pc == home.root.pitch_class:
        return home.root
    if key is not None and (named := key.spell(pc)) in key.scale:
        return named
    if pc in home.pcs and _DIMINISHED_SEVENTH in degrees:
        own = home.spell(pc)
        if own.accidental <= 0 and chart_name(own) == own:
            return own
    names = {usual_root(pc), *(Note.from_midi(pc, flats=flats).at(None) for flats in (True, False))}
    return min(names, key=lambda root: _strange(home, root, degrees))


def _strange(home: Chord, root: Note, degrees: tuple[Degree, ...]) -> tuple[int, ...]:
    """Return how strange a chord looks beside another one, as numbers to be compared."""
    tones = [degree.over(root) for degree in degrees]
    known = {note.pitch_class: note.name for note in home.notes}
    return (
        root != home.root,
        any(abs(note.accidental) > 1 for note in tones),
        sum(known.get(note.pitch_class, note.name) != note.name for note in tones),
        sum(abs(note.accidental) for note in tones),
    )


def _above(note: Note, start: int) -> int:
    return (note.pitch_class - start) % 12


def _as_note(note: Note | int, spelled: dict[int, Note], key: Key | None) -> Note:
    if isinstance(note, Note):
        return note.at(None)
    pc = pitch_class(note)
    return spelled.get(pc) or (key.spell(pc) if key else usual_root(pc))


def _sounds(note: Note | int) -> int:
    return note if isinstance(note, int) else note.pitch_class


def _root(pc: int, degrees: tuple[Degree, ...], spelled: dict[int, Note], key: Key | None) -> Note:
    """Return the name of a root; charts name that of a minor third C sharp, and G sharp."""
    if pc in _SHARP_ROOTS and key is None and pc not in spelled and _MINOR_THIRD in degrees:
        return _SHARP_ROOTS[pc]
    return _as_note(pc, spelled, key)


def _over(chord: Chord, low: Note | int | None, spelled: dict[int, Note], key: Key | None) -> Chord:
    """Return a chord over a bass; one without a name takes it from the chord."""
    if low is None or isinstance(low, Note):
        return chord.over(low)
    if low == chord.root.pitch_class:
        return chord
    if chord.degree_of(low):
        return chord.over(chord.spell(low).plain())
    usual = _as_note(low, spelled, key)
    free = key is None and low not in spelled and usual.accidental
    return chord.over(chord.spell(low) if free else usual)


def _readings(
    heard: PcSet, low: Note | int | None, spelled: dict[int, Note], key: Key | None
) -> Iterator[ChordName]:
    """Yield the readings of all the notes, then those of the notes above the bass."""
    whole = heard if low is None else heard | PcSet.of(_sounds(low))

    def named(root: int, degrees: tuple[Degree, ...]) -> Chord:
        chord = Chord.build(_root(root, degrees, spelled, key), degrees)
        return _over(chord, low, spelled, key)

    for root in range(12):
        for degrees, missing, rank in _as_degrees(whole.transpose(-root)):
            away = low is not None and _sounds(low) != root
            yield ChordName(named(root, degrees), missing, rank + _NOT_ON_ITS_BASS * away)
    if low is not None:
        upper = whole - PcSet.of(_sounds(low))
        for root in upper:
            for quality in _complete(upper.transpose(-root)):
                rank = QUALITIES.index(quality) + _FOREIGN_BASS
                yield ChordName(named(root, quality.degrees), (), rank)


def _complete(above: PcSet) -> list[Quality]:
    """Return the qualities that are exactly these semitones above a root."""
    return [quality for quality, mask, _ in _masks() if mask == above.mask]


@cache
def _masks() -> tuple[tuple[Quality, int, int], ...]:
    """Return each quality, its semitones above the root, and those that may be missing, as bits."""
    return tuple(
        (
            quality,
            PcSet.of(*(d.pitch_class for d in quality.degrees)).mask,
            PcSet.of(*droppable(quality.degrees)).mask | _may_lose_root(quality),
        )
        for quality in QUALITIES
    )


def _may_lose_root(quality: Quality) -> int:
    """Return 1 where a root can be missing and yet be meant: under a third and a seventh."""
    numbers = {degree.number for degree in quality.degrees}
    return int({3, 7} <= numbers and len(quality.degrees) > 4)


def _as_degrees(above: PcSet) -> Iterator[tuple[tuple[Degree, ...], tuple[Degree, ...], int]]:
    """Yield degrees, those of them that are missing, and the rank, for one root."""
    whole = False
    for rank, (quality, mask, droppable_mask) in enumerate(_masks()):
        lacking = mask & ~above.mask
        if above.mask & ~mask or lacking & ~droppable_mask or len(above) < 3 and lacking:
            continue
        missing = tuple(d for d in quality.degrees if lacking >> d.pitch_class & 1)
        if len(missing) > _MOST_MISSING:
            continue
        whole = whole or all(degree == Degree(5) for degree in missing)
        yield quality.degrees, missing, rank + sum(map(_cost, missing))
    if 0 in above and not whole:
        degrees = in_thirds(above)
        yield degrees, (), _SPELLED_OUT + len(Chord.build(Note("C"), degrees).symbol)


def _cost(degree: Degree) -> int:
    if degree.number == 1:
        return _LACKS_ROOT
    return _LACKS_FIFTH if degree.number == 5 else _LACKS_TONE


def in_thirds(above: PcSet) -> tuple[Degree, ...]:
    """Return degrees for semitones above a root, read as a chord built in thirds.

    Examples
    --------
    >>> [degree.name for degree in in_thirds(PcSet.of(0, 3, 4, 6, 8, 10))]
    ['1', '3', 'b5', '#5', 'b7', '#9']
    >>> [degree.name for degree in in_thirds(PcSet.of(0, 3, 6, 9))]
    ['1', 'b3', 'b5', 'bb7']
    """
    third = next((n for n in (4, 3) if n in above), None)
    seventh = any(n in above for n in (10, 11))
    found = {0: "1", 1: "b9", 2: "9", 3: "#9", 4: "3", 5: "11", 6: "#11", 7: "5", 8: "b13", 9: "13"}
    found |= {10: "b7", 11: "7"}
    if third == 3:
        found[3] = "b3"
    if third is None:  # suspended
        found |= {2: "2", 5: "4"}
    if 7 not in above:
        found[6] = "b5"
        if third == 4 or 6 not in above:
            found[8] = "#5"
    if not seventh:
        found |= {8: found[8].replace("13", "6"), 9: "6"}
        if third == 3 and found[6] == "b5" and 6 in above:
            found[9] = "bb7"
    return tuple(sorted(Degree.parse(found[n]) for n in above))
