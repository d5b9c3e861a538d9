"""The gate: a shape under a chord's name, which leaves a lesson only where it sounds that chord.

Every shape that a lesson shows, lists or plays under a name is a ``Shown``, and a ``Shown`` cannot
be made of a shape that sounds something else.  Diagrams, necks and strings that move are drawn by
this module alone, which takes nothing but ``Shown``; a level (``model.Played``) and the header
(``model.Front``) pass their pairs through it when they are made.

A shape may lack what players leave out: the plain fifth of a chord of four tones or more, the
root of one of five or more, stacked tones that the symbol does not name, what so few strings cannot
hold (``tones.usual_omissions``), and a foreign bass, which another player has.  (Common practice,
no source.)  What it lacks is said wherever it is shown, as is a bass that is not its lowest note.
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

from harmonykit.draw.base.marks import degree_word
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes import board, box, looks, neck, voices
from harmonykit.errors import HarmonyError, attempt
from harmonykit.fretboard.shapes import finding, tones
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.naming import name_chords
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words

# A seventh chord without its root is a triad of another name; from five tones on roots are dropped.
_ROOTLESS_FROM = 5
_LOW_FRETS = 5
_MANY_STRINGS = 5


@dataclass(frozen=True, slots=True)
class Shown:
    """A shape under the name of a chord that it sounds.

    Parameters
    ----------
    shape : Voicing
    chord : Chord

    Raises
    ------
    HarmonyError
        If a string sounds another note, or a tone is missing that players do not leave out.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> ukulele = Instrument.named("ukulele")
    >>> Shown(Voicing.parse("2213", ukulele), Chord.parse("F6")).lacking
    ''
    >>> try:
    ...     Shown(Voicing.parse("0232", ukulele), Chord.parse("Em7"))
    ... except HarmonyError as error:
    ...     print(f"{error.what}: {error.rule}")
    0-2-3-2 does not sound Em7: it sounds G, D, G and B, which is G; Em7 is E, G, B and D
    """

    shape: Voicing
    chord: Chord

    def __post_init__(self) -> None:
        if not fits(self.shape, self.chord):
            raise _misfit(self.shape, self.chord)
        if self.lowest is not None and len(self.shape.instrument.strings) >= _MANY_STRINGS:
            raise bass_fault(self.shape, self.chord, self.lowest)

    @property
    def lacks(self) -> tuple[Note, ...]:
        """The notes of the chord that the shape leaves out, as the chord spells them."""
        heard = self.shape.pcs
        return tuple(note for note in self.chord.notes if note.pitch_class not in heard)

    @property
    def lowest(self) -> Note | None:
        """The lowest note where the symbol names another of its notes as the bass, which sounds.

        On many strings such a pair is refused; on four the bass is another player's.
        """
        chord, lowest = self.chord, self.shape.lowest % 12
        if chord.bass == chord.root or chord.bass.pitch_class not in self.shape.pcs:
            return None
        return None if lowest == chord.bass.pitch_class else chord.spell(lowest).plain()

    @property
    def rootless(self) -> bool:
        """Whether the root is left out."""
        return self.chord.root.pitch_class not in self.shape.pcs

    @property
    def lacking(self) -> str:
        """What the shape leaves out, in words: ``"without its root"``; empty where it is whole.

        A bass that sounds above another note is said too: ``"with C lowest, not its bass E"``.

        Examples
        --------
        >>> from harmonykit.fretboard.strings.instrument import Instrument
        >>> shape = Voicing.parse("2213", Instrument.named("ukulele"))
        >>> Shown(shape, Chord.parse("G9sus4")).lacking, Shown(shape, Chord.parse("G9sus4")).printed
        ('without its root', 'G9sus4 (no root)')
        """
        words = [degree_word(self.chord, note.pitch_class) for note in self.lacks]
        parts = [f"without its {join_words([w.removeprefix('the ') for w in words])}"] * bool(words)
        if self.lowest is not None:
            bass = self.chord.bass.plain().unicode
            parts.append(f"with {self.lowest.unicode} lowest, not its bass {bass}")
        return ", ".join(parts)

    @property
    def printed(self) -> str:
        """The chord's symbol, behind it in brackets what is left out, but for a plain fifth.

        Nobody misses the fifth of a C7 (common practice, no source); ``lacking`` says it too.
        """
        words = [degree_word(self.chord, note.pitch_class) for note in self.lacks]
        words = [word for word in words if word != "the fifth"]
        short = ", ".join(f"no {word.removeprefix('the ')}" for word in words)
        return f"{self.chord.unicode} ({short})" if short else self.chord.unicode


def whole(shape: Voicing, chord: Chord) -> Shown:
    """Return a shape under the name of a chord of which it sounds every note.

    Raises
    ------
    HarmonyError
        If it sounds another note, or leaves one out.
    """
    if shape.pcs != chord.pcs:
        raise _misfit(shape, chord, complete=True)
    return Shown(shape, chord)


def leading(shape: Voicing, chord: Chord) -> Shown:
    """Return the shape that a lesson starts from, whose digits alone stand for the chord.

    It lacks a plain fifth at most, or what there are too few strings for.

    Raises
    ------
    HarmonyError
        If it sounds another note, or leaves out what its instrument could sound.
    """
    shown = Shown(shape, chord)
    lost = [n for n in shown.lacks if degree_word(chord, n.pitch_class) != "the fifth"]
    if lost and len(chord.pcs) <= len(shape.instrument.strings):
        raise _misfit(shape, chord, complete=True)
    return shown


@lru_cache(maxsize=8192)
def fits(shape: Voicing, chord: Chord) -> bool:
    """Whether a shape sounds a chord, but for what players leave out, and nothing else.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> shape = Voicing.parse("0003", Instrument.named("ukulele"))
    >>> [fits(shape, Chord.parse(name)) for name in ("C", "C/E", "C6", "Am7", "Cmaj7")]
    [True, True, False, False, False]
    """
    heard, wanted = shape.pcs, chord.pcs
    return heard <= wanted and not missing(shape, chord)


def may_show(shape: Voicing, chord: Chord) -> bool:
    """Whether a shape may stand under a chord's name.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> shape = Voicing.parse("x32010", Instrument.named("guitar"))
    >>> [may_show(shape, Chord.parse(name)) for name in ("C", "C/E", "C6")]
    [True, False, False]
    """
    return attempt(Shown, shape, chord) is not None


def bass_fault(shape: Voicing, chord: Chord, lowest: Note) -> HarmonyError:
    """Return the error for a shape with another lowest note than the bass that is named."""
    return HarmonyError(
        f"{shape.digits} does not sound {chord.symbol}",
        rule=f"its lowest note is {lowest.plain().unicode}, not {chord.bass.unicode}",
        mend=f"{chord.over(None).symbol}, or a shape with {chord.bass.name} lowest",
    )


def missing(shape: Voicing, chord: Chord) -> tuple[int, ...]:
    """Return the pitch classes of a chord that a shape should sound and does not."""
    above = {*chord.droppable, *tones.usual_omissions(chord, len(shape.sounding))}
    if len(chord.semitones) >= _ROOTLESS_FROM and not chord.is_diminished_seventh:
        above.add(0)
    spared = {(chord.root.pitch_class + semitones) % 12 for semitones in above}
    if chord.foreign_bass is not None:
        spared.add(chord.bass.pitch_class)
    return tuple(pc for pc in chord.pcs if pc not in shape.pcs and pc not in spared)


def lacking(pairs: Iterable[Shown]) -> str:
    """Return the shapes of some pairs that lack a tone, by what they lack; empty if all are whole.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> shape = Voicing.parse("2213", Instrument.named("ukulele"))
    >>> lacking([Shown(shape, Chord.parse("G9sus4")), Shown(shape, Chord.parse("Dm7"))])
    'Without its root: G9sus4 (2-2-1-3).'
    """
    found: dict[str, dict[str, dict[str, None]]] = {}
    for one in pairs:
        if one.lacking:
            shapes = found.setdefault(one.lacking, {}).setdefault(one.chord.unicode, {})
            shapes[one.shape.digits] = None
    said = []
    for words, chords in found.items():
        listed = [f"{name} ({', '.join(shapes)})" for name, shapes in chords.items()]
        words = words.replace("its ", "the ") if listed[1:] else words
        said.append(f"{words[0].upper()}{words[1:]}: {', '.join(listed)}.")
    return " ".join(said)


def diagram(shown: Shown, *, named: bool = True, plain: bool = False, **drawn: Any) -> Drawing:
    """Draw a chord diagram; see ``draw.shapes.box.draw_box`` for the rest.

    A ``named`` one bears the symbol, and behind it what is left out; a ``plain`` one spells its
    notes without the chord.
    """
    name = shown.printed if named else ""
    drawing = box.draw_box(shown.shape, None if plain else shown.chord, name=name, **drawn)
    return drawing.saying(f"{drawing.alt}; {shown.lacking}") if shown.lacking else drawing


def for_both_hands(shown: Shown, marks: str, was: Voicing | None) -> tuple[Drawing, Drawing]:
    """Draw a chord diagram as the instrument is strung, and for a left-handed player."""
    drawn = diagram(shown, marks=marks, was=was)
    return drawn, diagram(shown, marks=marks, was=was, look=looks.BoxLook(left_handed=True))


def bare_diagram(shape: Voicing, **drawn: Any) -> Drawing:
    """Draw a chord diagram without any chord's name."""
    return box.draw_box(shape, None, **{**drawn, "name": ""})


def along_the_neck(
    row: Sequence[Shown], *, left_handed: bool | None = None, palette: str = "colour"
) -> Drawing:
    """Draw shapes one after the other on a neck, diminished sevenths as on the way."""
    pairs = [(shown.shape, shown.chord) for shown in row]
    passing = tuple(i for i, shown in enumerate(row) if shown.chord.is_diminished_seventh)
    look = board.NeckLook(passing=passing, left_handed=left_handed)
    return neck.draw_neck(row[0].shape.instrument, pairs, look=look, palette=palette)


def strings_that_move(row: Sequence[Shown], **look: Any) -> Drawing:
    """Draw what each string does from shape to shape; see ``draw.shapes.voices.draw_voices``.

    A diminished seventh's notes all have one role, so they are drawn as plain notes.
    """
    pairs = [(s.shape, None if s.chord.is_diminished_seventh else s.chord) for s in row]
    return voices.draw_voices(pairs, names=[shown.chord.unicode for shown in row], **look)


def _misfit(shape: Voicing, chord: Chord, *, complete: bool = False) -> HarmonyError:
    heard = join_words([note.unicode for note in shape.notes if note])
    known = [name for name in name_chords(shape.pcs) if not name.missing]
    also = f", which is {known[0].symbol}" if known else ""
    wanted = join_words([note.plain().unicode for note in chord.notes])
    return HarmonyError(
        f"{shape.digits} does not sound {chord.symbol}",
        rule=f"it sounds {heard}{also}; {chord.symbol} is {wanted}",
        mend=_shapes_of(chord, shape, complete=complete),
    )


def _shapes_of(chord: Chord, shape: Voicing, *, complete: bool) -> str:
    """Say with which shapes a chord could be played instead, the lowest first."""
    instrument = shape.instrument
    many = len(instrument.strings) >= _MANY_STRINGS
    found = finding.find_voicings(
        chord,
        instrument,
        max_fret=_LOW_FRETS,
        wanted=finding.Wanted(
            omit=() if complete else tones.usual_omissions(chord, len(shape.sounding)),
            mutes="outer" if many else False,
            bass=chord.bass if many or chord.bass != chord.root else None,
        ),
    )
    right = [one for one in found if fits(one, chord) and (one.pcs == chord.pcs or not complete)]
    right.sort(key=lambda one: (one.frets.count(None), sum(one.fretted), one.digits))
    if not right:
        return "another shape, or another chord"
    digits = [one.digits for one in right[:3]]
    return f"{chord.symbol} is {join_words(digits, 'or')} on the {instrument.name}"


def notes_heard(shape: Voicing, chord: Chord) -> str:
    """Return the notes of a shape as they are printed, string by string."""
    return " ".join(note.plain().unicode for note in shape.spelled(chord) if note)
