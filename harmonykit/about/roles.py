"""What a chord does in a key, and the keys that a chord lives in.

A chord lives in a major key whose scale holds its notes, and in a minor key whose natural, harmonic
or melodic scale does.  A dominant, an augmented triad and a diminished seventh live also in the
major and the minor key that they lead to.  Numerals are those of ``tune.analysis``.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import MODES, Key
from harmonykit.theory.modes import Scale
from harmonykit.theory.note import Note
from harmonykit.theory.typed import Told
from harmonykit.theory.uses import functions
from harmonykit.tune.analysis.chains import DOMINANT, PREDOMINANT, Analysed
from harmonykit.tune.analysis.function import analyse_chords
from harmonykit.tune.analysis.numerals import printed_numeral

_SCALES = {"major": ("major",), "minor": ("natural minor", "harmonic minor", "melodic minor")}
_LEADING = "leading tone"
# Semitones above the tonic at which a chord prepares the dominant: ii and IV.
_PREPARE = (2, 5)


@dataclass(frozen=True, slots=True, repr=False)
class Role(Told):
    """A chord in a key.

    Parameters
    ----------
    key : Key
    chord : Chord
        Spelled as the key spells it.
    numeral : str
        In ASCII: ``"ii7"``, ``"V7/ii"``, ``"viio7"``.
    function : str
        In words: ``"tonic"``, ``"dominant of ii"``; empty where none is plain.
    scale : str
        The scale on the key's tonic that holds the notes; empty where none does.

    Examples
    --------
    >>> print(roles_in(Chord.parse("A7"), Key.parse("C"))[0])
    V7/ii in C major: dominant of ii
    """

    key: Key
    chord: Chord
    numeral: str
    function: str = ""
    scale: str = ""

    @property
    def printed(self) -> str:
        """The numeral as it is printed: ``"vii°7"``."""
        return printed_numeral(self.numeral)

    def __str__(self) -> str:
        told = f": {self.function}" if self.function else ""
        return f"{self.printed} in {self.key.unicode}{told}"


def roles_in(chord: Chord, key: Key) -> tuple[Role, ...]:
    """Return what a chord may do in a key; some do several things.

    Examples
    --------
    >>> [role.numeral for role in roles_in(Chord.parse("Edim7"), Key.parse("C"))]
    ['viio7/ii', 'viio7/IV', '#vio7']
    >>> [str(role) for role in roles_in(Chord.parse("Db7"), Key.parse("C"))]
    ['subV7 in C major: tritone substitute']
    >>> [str(role) for role in roles_in(Chord.parse("Ab7"), Key.parse("C"))]
    ['♭VI7 in C major', 'subV7/V in C major: tritone substitute of V']
    """
    if chord.is_diminished_seventh:
        found = [use for use in functions(key) if use.use.chord.pcs == chord.pcs]
        if found:
            return tuple(
                Role(key, each.use.chord, each.roman, each.role, _scale(key, chord))
                for each in found
            )
    spelled = _spelled(chord, key)
    entry = analyse_chords([spelled], key)[0]
    if not entry.function:
        # Alone a chord leads nowhere; with what it would lead to it has a function.
        home = Chord.of(key.tonic, "" if key.mode == "major" else "m")
        if chord.is_dominant:
            entry = analyse_chords([spelled, home], key)[0]
        elif not _scale(key, spelled):
            goal = _own_triad(spelled.root.transpose("-P5"), key)
            entry = analyse_chords([spelled, goal], key)[0]
    role = Role(key, spelled, entry.numeral, _function(entry, key), _scale(key, chord))
    fifth = key.tonic.transpose("P5").at(None)
    if not chord.is_dominant or (chord.root.pitch_class - fifth.pitch_class) % 12 != 1:
        return (role,)
    entry = analyse_chords([spelled, Chord.of(fifth, "7")], key)[0]
    return (role, replace(role, numeral=entry.numeral, function=entry.words))


def _own_triad(root: Note, key: Key) -> Chord:
    """Return the triad of a key on a root, a major one where the root is not in the key."""
    third = root.transpose("m3").pitch_class
    fits = {root.pitch_class, third} <= set(Scale(key.tonic, _SCALES[key.mode][0]).pcs)
    return Chord.of(root.at(None), "m" if fits else "")


def keys_of(chord: Chord) -> tuple[Role, ...]:
    """Return the keys that a chord lives in: major ones first, by degree from the tonic.

    Examples
    --------
    >>> [str(role) for role in keys_of(Chord.parse("Dm7"))][:3]
    ['ii7 in C major: predominant', 'iii7 in B♭ major', 'vi7 in F major']
    >>> [str(role.key) for role in keys_of(Chord.parse("G7alt"))]
    ['C major', 'C minor']
    """
    found = dict.fromkeys(_living_in(chord))
    return tuple(sorted(found, key=lambda role: (MODES.index(role.key.mode), _place(role))))


def _living_in(chord: Chord) -> Iterator[Role]:
    for key in _keys_round(chord.root):
        if _scale(key, chord) or _leads_to(chord, key):
            yield roles_in(chord, key)[0]


def _keys_round(root: Note) -> Iterator[Key]:
    """Yield the 24 keys, spelled near a root."""
    for mode in MODES:
        for step in range(-6, 6):
            yield Key(Note.from_fifths(root.fifths + step), mode).readable()


def _leads_to(chord: Chord, key: Key) -> bool:
    """Whether a chord is a key's own dominant, or its leading-tone diminished seventh."""
    above = (chord.root.pitch_class - key.tonic.pitch_class) % 12
    if chord.is_diminished_seventh:
        return (key.tonic.pitch_class - 1) % 12 in chord.pcs
    return above == 7 and (chord.is_dominant or chord.semitones == (0, 4, 8))


def _place(role: Role) -> int:
    return (role.chord.root.pitch_class - role.key.tonic.pitch_class) % 12


def _scale(key: Key, chord: Chord) -> str:
    """Return the first scale of a key that holds a chord's notes by their names."""
    names = {note.name for note in _spelled(chord, key).notes}
    scales = (Scale(key.tonic, name) for name in _SCALES[key.mode])
    held = (s.name for s in scales if names <= {note.name for note in s.notes})
    return next(held, "")


def _spelled(chord: Chord, key: Key) -> Chord:
    """Return a chord with its root as the key spells it."""
    return chord.transpose(chord.root.interval_to(key.spell(chord.root.pitch_class)))


def _function(entry: Analysed, key: Key) -> str:
    if entry.words or entry.chord is None:
        return entry.words
    above = (entry.chord.root.pitch_class - key.tonic.pitch_class) % 12
    if above in _PREPARE and _scale(key, entry.chord):
        return PREDOMINANT
    if above == 11 and {3, 6} <= set(entry.chord.semitones):
        return DOMINANT
    return ""
