"""The keys that a chord lives in, what it does in each, and the scales to play over it.

A chord lives in a major key whose scale holds its notes, and in a minor key whose natural, harmonic
or melodic scale does.  A dominant, an augmented triad and a diminished seventh live also in the
major and the minor key that they lead to.  Numerals are those of ``tune.analysis``.

The rules are common practice, no source but those named.  A scale of seven notes spells the tones
as the chord does; only a major third with a minor seventh, or with a diminished fifth, is matched
by sound alone, since the ♯5 of C7♯5 is the ♭13 of the altered scale, and so is that of C+ over
scales with a minor seventh.  A plain fifth gives way to a ♯9 or a ♭13.  A 13 over a major third is
taken as it is played, without its eleventh (Wikipedia, "Thirteenth"), which is then a note to
avoid.  An eight-note bebop scale adds a passing note to a parent scale; it goes with chords of that
parent alone.
"""

from collections.abc import Iterator

from harmonykit.fretboard.shapes.tones import unwanted
from harmonykit.theory import typed, uses
from harmonykit.theory.chord import Chord, Degree, Note
from harmonykit.theory.key import MODES, Key
from harmonykit.theory.modes import SCALES, Scale, avoid_notes
from harmonykit.tune.analysis.function import analyse_chords
from harmonykit.tune.analysis.numerals import DOMINANT, PREDOMINANT, Analysed, printed_numeral
from harmonykit.values import dataclass, replace

_SCALES = {"major": ("major",), "minor": ("natural minor", "harmonic minor", "melodic minor")}
_LEADING = "leading tone"
# Semitones above the tonic at which a chord prepares the dominant: ii and IV.
_PREPARE = (2, 5)


@dataclass(frozen=True, slots=True, repr=False)
class Role(typed.Told):
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
    ['♭VI7 in C major', 'subV7/V in C major: tritone substitute of V7/V']
    """
    if chord.is_diminished_seventh:
        found = [use for use in uses.functions(key) if use.use.chord.pcs == chord.pcs]
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
            goal = triad_on(spelled.root.transpose("-P5"), key)
            entry = analyse_chords([spelled, goal], key)[0]
    role = Role(key, spelled, entry.numeral, _function(entry, key), _scale(key, chord))
    fifth = key.tonic.transpose("P5").at(None)
    if not chord.is_dominant or (chord.root.pitch_class - fifth.pitch_class) % 12 != 1:
        return (role,)
    entry = analyse_chords([spelled, Chord.of(fifth, "7")], key)[0]
    return (role, replace(role, numeral=entry.numeral, function=entry.words))


def triad_on(root: Note, key: Key) -> Chord:
    """Return the triad of a key on a root, a major one where the key has none, and on its fifth.

    Examples
    --------
    >>> [triad_on(Note.parse(root), Key.parse("Am")).symbol for root in "ADEB"]
    ['Am', 'Dm', 'E', 'B']
    """
    scale = Scale(key.tonic, _SCALES[key.mode][0]).pcs
    root = key.spell(root.pitch_class) if root.pitch_class in scale else root
    minor = {root.transpose(each).pitch_class for each in ("P1", "m3", "P5")}
    fits = minor <= set(scale) and _above(root, key) != _SEVEN
    return Chord.of(root.at(None), "m" if fits else "")


def place_of(goal: Chord, key: Key) -> int:
    """Return where a goal stands among those of a key: the tonic, what else it has, the rest.

    Examples
    --------
    >>> [place_of(Chord.parse(goal), Key.parse("C")) for goal in ("C", "Dm", "Ab")]
    [0, 1, 2]
    """
    above = _above(goal.root, key)
    return 0 if above == 0 else 1 if goal.pcs <= Scale(key.tonic, _SCALES[key.mode][0]).pcs else 2


def _above(root: Note, key: Key) -> int:
    return (root.pitch_class - key.tonic.pitch_class) % 12


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
    above = _above(chord.root, key)
    if chord.is_diminished_seventh:
        return (key.tonic.pitch_class - 1) % 12 in chord.pcs
    return above == 7 and (chord.is_dominant or chord.semitones == (0, 4, 8))


def _place(role: Role) -> int:
    return _above(role.chord.root, role.key)


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
    above = _above(entry.chord.root, key)
    if above in _PREPARE and _scale(key, entry.chord):
        return PREDOMINANT
    if above == 11 and {3, 6} <= set(entry.chord.semitones):
        return DOMINANT
    return ""


_SEVEN = 7
_FIFTH = Degree(5)
_AUGMENTED = {0, 4, 8}
# Of a bebop scale: its parent, and what a chord must hold, in semitones above the root.
_MADE_FOR = {
    "bebop dominant": ("mixolydian", {10}),
    "bebop major": ("major", {4}),
    "bebop dorian": ("dorian", {3, 10}),
    "bebop melodic minor": ("melodic minor", {3}),
    "bebop harmonic minor": ("harmonic minor", {3, 11}),
}


@dataclass(frozen=True, slots=True, repr=False)
class ChordScale(typed.Told):
    """A scale on a chord's root that holds its notes, and the notes of it to avoid.

    Parameters
    ----------
    scale : Scale
    avoid : tuple of Note
        A semitone above a tone of the chord: they clash when held.  The ♭9 of a dominant does not.
    """

    scale: Scale
    avoid: tuple[Note, ...]

    def __str__(self) -> str:
        avoid = " ".join(note.unicode for note in self.avoid)
        return f"{self.scale.title} (avoid {avoid})" if avoid else self.scale.title


def chord_scales(chord: Chord) -> tuple[ChordScale, ...]:
    """Return the scales on a chord's root that hold it, each with the notes to avoid.

    They are in the table's order, but a ♯9 puts the altered scale first, and an altered fifth with
    plain ninths the whole-tone scale, as an augmented triad does.  Scales without the chord's plain
    fifth come last.

    Examples
    --------
    >>> [str(one) for one in chord_scales(Chord.parse("C7#9"))]
    ['C altered', 'C octatonic half-whole']
    >>> [str(one) for one in chord_scales(Chord.parse("C13"))][:2]
    ['C mixolydian (avoid F)', 'C lydian dominant']
    >>> [str(one) for one in chord_scales(Chord.parse("C7b5"))][:2]
    ['C whole tone', 'C lydian dominant (avoid G)']
    """
    chord = as_played(chord)
    spared = _without_fifth(chord)
    usual, whole, short = _usual(chord), [], []
    for name in SCALES:
        scale = Scale(chord.root, name)
        if _fits(scale, chord):
            whole.append(_told(scale, chord))
        elif spared is not None and len(scale.degrees) < 8 and _fits(scale, spared):
            short.append(_told(scale, spared))
    return tuple(sorted((*whole, *short), key=lambda one: one.scale.name != usual))


def as_played(chord: Chord) -> Chord:
    """Return a chord without the tones that a player never sounds.

    Examples
    --------
    >>> as_played(Chord.parse("C13")), as_played(Chord.parse("Cm13"))
    (Chord.parse('C13no11'), Chord.parse('Cm13'))
    """
    never = unwanted(chord)
    played = [degree for degree in chord.degrees if degree.pitch_class not in never]
    return replace(chord, degrees=tuple(played)) if never else chord


def _told(scale: Scale, chord: Chord) -> ChordScale:
    avoid = avoid_notes(scale, chord)
    if {4, 10} <= _heard(chord):
        flat_ninth = (chord.root.pitch_class + 1) % 12
        avoid = tuple(note for note in avoid if note.pitch_class != flat_ninth)
    return ChordScale(scale, avoid)


def _heard(chord: Chord) -> set[int]:
    """Return all that sounds, in semitones above the root."""
    return {(pc - chord.root.pitch_class) % 12 for pc in chord.pcs}


def _usual(chord: Chord) -> str:
    heard = _heard(chord)
    if heard == _AUGMENTED:
        return "whole tone"
    if not {4, 10} <= heard:
        return ""
    if 3 in heard:
        return "altered"
    fifth = any(degree.number == 5 and degree.alter for degree in chord.degrees)
    return "whole tone" if fifth and 1 not in heard else ""


def _without_fifth(chord: Chord) -> Chord | None:
    """Return a dominant without the plain fifth that gives way to a ♯9 or a ♭13."""
    heard = _heard(chord)
    if not {4, 10} <= heard or not {3, 8} & heard or _FIFTH not in chord.degrees:
        return None
    rest = [degree for degree in chord.degrees if degree != _FIFTH]
    bass = None if chord.bass == _FIFTH.over(chord.root) else chord.bass
    return Chord.build(chord.root, rest, bass)


def _fits(scale: Scale, chord: Chord) -> bool:
    if not chord.pcs <= scale.pcs:
        return False
    heard = _heard(chord)
    if scale.name in _MADE_FOR:
        parent, core = _MADE_FOR[scale.name]
        return core <= heard and chord.pcs <= Scale(chord.root, parent).pcs
    by_sound = 4 in heard and bool({6, 10} & heard)
    if heard == _AUGMENTED:
        by_sound = (chord.root.pitch_class + 10) % 12 in scale.pcs
    names = {note.name for note in chord.tones}
    spelled = names <= {note.name for note in scale.notes}
    return len(scale.degrees) != _SEVEN or by_sound or spelled
