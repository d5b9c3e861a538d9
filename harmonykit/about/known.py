"""What is known of a chord: a frozen value whose properties are worked out when asked for."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Self

from harmonykit.about import keys, ways
from harmonykit.about.row import Substitute, common_tones, substitutes, synonyms
from harmonykit.about.shapes import Shape, shapes_of
from harmonykit.about.ways import Before, Dominant, Way
from harmonykit.errors import wrong_kind
from harmonykit.fretboard.strings.instrument import InstrumentLike
from harmonykit.theory import diminished, modes, naming, typed
from harmonykit.theory.chord import Chord, Degree, Note
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_key
from harmonykit.theory.key import Key
from harmonykit.theory.kin import minor_sixths
from harmonykit.theory.leading.neighbours import neighbours
from harmonykit.theory.leading.voiceleading import distance
from harmonykit.theory.scale import KINDS, SixthDiminished, scales_for
from harmonykit.theory.sets import pcset, setclass
from harmonykit.theory.spelling import usual_root
from harmonykit.values import dataclass, field, replace

if TYPE_CHECKING:
    from harmonykit.sound.chords import Clip

SEVENTHS = ("maj7", "7", "m7", "m7b5", "dim7")


@dataclass(frozen=True, slots=True, repr=False)
class Neighbour(typed.Told):
    """A chord that one note moved by a semitone makes of another.

    Parameters
    ----------
    chord : Chord
    move : Move
    """

    chord: Chord
    move: diminished.Move

    def __str__(self) -> str:
        return f"{self.chord.unicode} ({self.move})"


@dataclass(frozen=True, slots=True)
class KnownChord:
    """Everything about a chord; each property is worked out when it is asked for.

    Parameters
    ----------
    chord : Chord
    doubts : tuple of str
        What some schools read otherwise.
    key : Key, optional
        The key in which it is asked about.

    Examples
    --------
    >>> about = KnownChord(Chord.parse("C13"))
    >>> [note.name for note in about.tones], about.set_class.forte_name
    (['C', 'E', 'G', 'Bb', 'D', 'F', 'A'], '7-35')
    >>> [str(way.target) for way in about.resolutions], about.pcs, about.unicode
    (['F'], PcSet.of(0, 2, 4, 5, 7, 9, 10), 'C13')
    >>> [str(degree) for degree in about.degrees], about.bass.name, about.minor_sixths
    (['1', '3', '5', 'b7', '9', '11', '13'], 'C', ())
    >>> [str(one) for one in about.led_to_by][:2], str(about.substitutes[0])
    (['G7 (dominant)', 'D♭7 (tritone substitution)'], 'G♭7 (tritone substitution, keeps E B♭)')
    >>> [str(scale) for scale in about.sixth_diminished][:1], str(about.in_key("F").functions[0])
    (['C dominant seventh-diminished'], 'V13 in F major: dominant')
    """

    chord: Chord
    doubts: tuple[str, ...] = field(default=(), compare=False)
    key: Key | None = None

    @property
    def symbol(self) -> str:
        """The shortest usual symbol in ASCII."""
        return self.chord.symbol

    @property
    def unicode(self) -> str:
        """The symbol as it is printed."""
        return self.chord.unicode

    @property
    def tones(self) -> tuple[Note, ...]:
        """The notes by rising degree, spelled, a foreign bass left out."""
        return self.chord.tones

    @property
    def degrees(self) -> tuple[Degree, ...]:
        """The degrees over the root, in the order of ``tones``."""
        return self.chord.degrees

    @property
    def not_played(self) -> tuple[Degree, ...]:
        """The degrees that are in the name and that players never sound: the 11 of C13.

        Examples
        --------
        >>> [str(degree) for degree in KnownChord(Chord.parse("C13")).not_played]
        ['11']
        """
        played = keys.as_played(self.chord).degrees
        return tuple(degree for degree in self.degrees if degree not in played)

    @property
    def bass(self) -> Note:
        """The lowest note: the root unless another is written."""
        return self.chord.bass

    @property
    def pcs(self) -> pcset.PcSet:
        """All that sounds as a set of pitch classes, the bass included."""
        return self.chord.pcs

    @property
    def set_class(self) -> setclass.SetClass:
        """The set class: Forte's name, prime form, interval vector, symmetry."""
        return setclass.SetClass.of(self.chord.pcs)

    @property
    def synonyms(self) -> tuple[Chord, ...]:
        """Other chords with just the same notes: Am7 for C6.

        Examples
        --------
        >>> [str(one) for one in KnownChord(Chord.parse("C6")).synonyms]
        ['Am7']
        """
        return synonyms(self.chord)

    @property
    def names(self) -> tuple[naming.ChordName, ...]:
        """Every other reading of its notes over its bass, the plainest first.

        Examples
        --------
        >>> [str(name) for name in KnownChord(Chord.parse("Dm6")).names][-2:]
        ['G9/D without 1', 'D♭alt/D without 1, ♯9, ♯11']
        """
        found = naming.name_chords(self.chord, bass=self.chord.bass)
        return tuple(name for name in found if name.chord != self.chord)

    @property
    def functions(self) -> tuple[keys.Role, ...]:
        """What it does in its key, or in each key that it lives in where none was given.

        Examples
        --------
        >>> [str(role) for role in KnownChord(Chord.parse("Dm7"), key=Key.parse("C")).functions]
        ['ii7 in C major: predominant']
        """
        return keys.keys_of(self.chord) if self.key is None else keys.roles_in(self.chord, self.key)

    @property
    def dominants(self) -> tuple[Dominant, ...]:
        """The dominants that it stands for: four of a diminished seventh, three of a triad +.

        Examples
        --------
        >>> [str(one) for one in KnownChord(Chord.parse("Adim7")).dominants][:2]
        ['B7♭9 without 1', 'D7♭9 without 1']
        """
        return ways.stands_for(self.chord)

    @property
    def resolutions(self) -> tuple[Way, ...]:
        """Where it goes as each dominant that it stands for, and what it prepares; in its key.

        Examples
        --------
        >>> caug = KnownChord(Chord.parse("Caug"))
        >>> [way.target.symbol for way in caug.resolutions]
        ['F', 'A', 'Db']
        >>> [way.target.symbol for way in caug.in_key("A minor").resolutions]
        ['Am', 'F', 'Db']
        """
        return ways.ways_on(self.chord, self.key)

    @property
    def led_to_by(self) -> tuple[Before, ...]:
        """Its dominant, the tritone substitution of that, and three diminished sevenths."""
        return ways.led_to_by(self.chord)

    @property
    def substitutes(self) -> tuple[Substitute, ...]:
        """The chords that may stand for it, each with why and what it keeps."""
        return substitutes(self.chord)

    @property
    def minor_sixths(self) -> tuple[Chord, ...]:
        """Of a diminished seventh the minor sixth chords that one raised note makes; else none."""
        return minor_sixths(self.chord) if self.chord.is_diminished_seventh else ()

    @property
    def neighbours(self) -> tuple[Neighbour, ...]:
        """The chords that one note moved by a semitone makes.

        Examples
        --------
        >>> [str(near) for near in KnownChord(Chord.parse("C+")).neighbours][:2]
        ['C (G♯ falls to G)', 'C♯m (C rises to C♯)']
        """
        return tuple(self._neighbour(near) for near in neighbours(self.chord, key=self.key))

    def _neighbour(self, near: Chord) -> Neighbour:
        heard = {note.pitch_class: note for note in self.chord.notes}
        start = heard[next(iter(self.chord.pcs - near.pcs))]
        end = next(note for note in near.tones if note.pitch_class not in self.chord.pcs)
        return Neighbour(near, diminished.Move(start, end))

    @property
    def scales(self) -> tuple[keys.ChordScale, ...]:
        """The scales on its root that hold it, each with the notes to avoid.

        ``about.scales`` has the rules.

        Examples
        --------
        >>> [str(one) for one in KnownChord(Chord.parse("G7")).scales][:2]
        ['G mixolydian (avoid C)', 'G lydian dominant']
        """
        return keys.chord_scales(self.chord)

    @property
    def held_by(self) -> tuple[modes.Scale | SixthDiminished, ...]:
        """The scales on any tonic that hold its notes, sixth-diminished ones last.

        Examples
        --------
        >>> [str(scale) for scale in KnownChord(Chord.parse("Cmaj7")).held_by][:2]
        ['C major', 'G major']
        """
        every = (SixthDiminished(usual_root(pc), kind) for kind in KINDS for pc in range(12))
        return (
            *modes.scales_holding(self.chord),
            *(scale for scale in every if self.chord.pcs <= scale.pcs),
        )

    @property
    def sixth_diminished(self) -> tuple[SixthDiminished, ...]:
        """The sixth-diminished scales that go with it, the usual one first."""
        return scales_for(self.chord)

    def shapes(
        self, instrument: InstrumentLike = "ukulele", max_fret: int = 12
    ) -> tuple[Shape, ...]:
        """Return its shapes on an instrument, the most usual first, with what each leaves out.

        Parameters
        ----------
        instrument : Instrument or str
            Its name, or its open strings: ``"D4 F#4 A4 D5"``.
        max_fret : int
            The highest fret.

        Examples
        --------
        >>> shape = KnownChord(Chord.parse("G9")).shapes("ukulele")[0]
        >>> shape.digits, [str(degree) for degree in shape.leaves_out]
        ('2-5-3-2', ['5'])
        """
        return shapes_of(self.chord, instrument, max_fret)

    def sound(self) -> Clip:
        """Return its notes in close position as a short sound, the bass below.

        Examples
        --------
        >>> KnownChord(Chord.parse("C")).sound().seconds
        1.5
        """
        from harmonykit.sound.chords import close_pitches, sound_of

        rest = [note.pitch_class for note in self.chord.tones]
        start = rest.index(self.bass.pitch_class) if self.bass.pitch_class in rest else 0
        order = rest[start:] + rest[:start]
        if self.chord.foreign_bass is not None:
            order.insert(0, self.bass.pitch_class)
        return sound_of((close_pitches(order, 55),))

    def common_tones(self, other: ChordLike) -> tuple[Note, ...]:
        """Return the notes that another chord has too.

        Examples
        --------
        >>> [note.name for note in KnownChord(Chord.parse("C6")).common_tones("F7")]
        ['C', 'A']
        """
        return common_tones(self.chord, as_chord(other))

    def same_notes(self, other: ChordLike) -> bool:
        """Return whether another chord has just the same notes, in any octave and order.

        Examples
        --------
        >>> KnownChord(Chord.parse("C6")).same_notes("Am7")
        True
        """
        return self.chord.pcs == as_chord(other).pcs

    def distances(self, kinds: Iterable[str] = SEVENTHS) -> dict[str, float]:
        """Return how far the chords of some kinds lie on all twelve roots, the nearest first.

        Parameters
        ----------
        kinds : iterable of str
            Suffixes of the table of qualities; the usual sevenths where not given.

        Returns
        -------
        dict of str to int
            Each other chord's symbol, and the semitones that all voices move in all.

        Examples
        --------
        >>> list(KnownChord(Chord.parse("Cmaj7")).distances().items())[:3]
        [('C7', 1), ('Dbm7b5', 1), ('Cm7', 2)]
        """
        if isinstance(kinds, str):
            kinds = kinds.split()
        if not isinstance(kinds, Iterable):
            raise wrong_kind(kinds, "chord suffixes", '["maj7", "7", "m7"]')
        every = [Chord.of(usual_root(pc), kind) for kind in kinds for pc in range(12)]
        others = [each for each in every if each.pcs != self.chord.pcs]
        far = {each.symbol: distance(self.chord, each) for each in others}
        return dict(sorted(far.items(), key=lambda row: row[1]))

    def in_key(self, key: KeyLike) -> Self:
        """Return the same chord, asked about in a key."""
        return replace(self, key=as_key(key))

    def __repr__(self) -> str:
        key = f", key={str(self.key)!r}" if self.key else ""
        return f"chord({self.symbol!r}{key})"
