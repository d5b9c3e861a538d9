"""Guide tones and voice leading from chord to chord, with the notes named as the chords spell them.

Which tones of a chord guide is said in ``theory.guides``.
"""

from dataclasses import dataclass

from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move
from harmonykit.theory.guides import guide_degrees
from harmonykit.theory.leading.voiceleading import VoiceLeading, best_voice_leading
from harmonykit.theory.note import Note
from harmonykit.theory.typed import Told


@dataclass(frozen=True, slots=True, repr=False)
class Change(Told):
    """What moves from one chord to the next.

    Parameters
    ----------
    before, after : Chord

    Examples
    --------
    >>> change = Change(Chord.parse("Dm7"), Chord.parse("G7"))
    >>> change.semitones, [str(move) for move in change.moves]
    (3, ['A falls to G', 'C falls to B'])
    >>> [note.name for note in change.common_tones], [str(move) for move in change.guide_tones]
    (['D', 'F'], ['F stays', 'C falls to B'])
    """

    before: Chord
    after: Chord

    @property
    def leading(self) -> VoiceLeading:
        """The best voice leading between all that sounds in both."""
        return best_voice_leading(self.before, self.after)

    @property
    def semitones(self) -> float:
        """What the voices move in all, in semitones."""
        return self.leading.total

    @property
    def moves(self) -> tuple[Move, ...]:
        """The voices that move, by name."""
        order = [note.pitch_class for note in self.before.notes]
        pairs = sorted(self.leading.moving, key=lambda move: order.index(move.start))
        return tuple(Move(self.before.spell(m.start), self.after.spell(m.end)) for m in pairs)

    @property
    def common_tones(self) -> tuple[Note, ...]:
        """The notes of the first chord that the second has too."""
        return common_tones(self.before, self.after)

    @property
    def guide_tones(self) -> tuple[Move, ...]:
        """How the guide tones move to those of the next chord, by the least movement."""
        here, there = guide_tones(self.before), guide_tones(self.after)
        if not here or not there:
            return ()
        order = [note.pitch_class for note in here]
        found = sorted(best_voice_leading(here, there).moves, key=lambda m: order.index(m.start))
        return tuple(Move(self.before.spell(m.start), self.after.spell(m.end)) for m in found)

    def __str__(self) -> str:
        moved = ", ".join(map(str, self.moves)) or "nothing moves"
        return f"{self.before.unicode} to {self.after.unicode}: {moved}"


def guide_tones(chord: Chord) -> tuple[Note, ...]:
    """Return a chord's guide tones, the third first.

    Examples
    --------
    >>> [[note.name for note in guide_tones(Chord.parse(s))] for s in ("G7", "C6", "G7sus4", "C")]
    [['B', 'F'], ['E', 'A'], ['C', 'F'], ['E']]
    """
    return tuple(each.over(chord.root) for each in guide_degrees(chord) if each is not None)


def common_tones(one: Chord, other: Chord) -> tuple[Note, ...]:
    """Return the notes of a chord that another one has too, as the first spells them.

    Examples
    --------
    >>> [note.name for note in common_tones(Chord.parse("Cmaj7"), Chord.parse("Am7"))]
    ['C', 'E', 'G']
    """
    return tuple(note for note in one.notes if note.pitch_class in other.pcs)
