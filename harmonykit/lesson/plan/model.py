"""What a lesson is made of, before it is written out as script, page and sheet."""

from functools import cached_property
from pathlib import Path

from harmonykit.arrange import wishes, written
from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.arrange.measures import Measures, measure
from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands import difficulty, hand
from harmonykit.fretboard.shapes import row_textures, voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.plan import grips, takes
from harmonykit.lesson.plan.shown import Shown, lacking, leading, whole
from harmonykit.sound import events
from harmonykit.sound.performance import Performance
from harmonykit.sound.rehearsal import Rehearsal
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.class_file import MINUTES, ClassFile
from harmonykit.tune.groove.value import Groove
from harmonykit.values import dataclass, field

OUTPUTS = ("script", "page", "handout", "scores", "sound")
"""What a build makes unless the lesson's file asks for less."""

PARTS = "parts"
"""What a build makes where the lesson's file asks for it: a part for everyone, and their stems."""

VARIANTS = ("large print", "left-handed", "one ink", "tablet", "tablet landscape")
"""Handouts that may be made beside the plain one; several together with commas between them."""

PLANS = ("side by side", "in a row")
"""How the levels of a lesson are given: in one class, or in a class for each."""

FIGURES = "figures"
"""The folder of the drawings' files, beside the script."""

USUAL = "usual"


class LessonError(HarmonyError):
    """A lesson file that cannot be used, or a statement in it that is not true."""


@dataclass(frozen=True, slots=True)
class Level:
    """One level of a lesson: which moves, how high up the neck, how fast.

    Parameters
    ----------
    name : str
    moves : tuple of str
        Names of the moves that may be used.
    prefer : str
        The move to be used wherever it fits; may be empty.
    limits : Limits
        Top fret, stretch and barre.
    least_seconds : float
        How long a chord must last.
    tempo : float
        Quarter notes a minute.
    watch : str
        What the teacher wants watched, in the teacher's words.
    style : str
        What the search is to care for, of ``hk.arrange.STYLES``.
    texture : str
        Which kind of shapes; any where empty, ``"chord melody"`` for the melody in chords.
    density : str
        As ``hk.reharmonise`` takes it.
    contour : str
        Where the highest pitch of a phrase goes; anywhere where empty.
    choruses : tuple of str
        The manner of each chorus, where the tune is played several times running.
    practice : tuple of Rehearsal
        How it is practised, beside being played through.
    groove : Groove, optional
        How it is strummed; as suits the tune unless given.
    demands : Demands, optional
        Which chords stand where, where the level says so.
    """

    name: str
    moves: tuple[str, ...]
    prefer: str
    limits: hand.Limits
    least_seconds: float
    tempo: float
    watch: str = ""
    style: str = USUAL
    texture: str = ""
    density: str = wishes.FULL
    contour: str = ""
    choruses: tuple[str, ...] = ()
    practice: tuple[Rehearsal, ...] = ()
    groove: Groove | None = None
    demands: wishes.Demands | None = None


@dataclass(frozen=True, slots=True)
class Front:
    """The header of a lesson file, read and checked.

    ``shape`` is the shape that the lesson starts from and ``shape_chord`` what it is called;
    ``scale`` is carried up the neck from ``scale_shape``, where the lesson has one; ``tune`` is in
    the key of the lesson; ``also`` names the other instruments of a mixed class, ``playalong`` the
    sound files that are made.  ``idea`` names what it is about; ``language`` is that of the text,
    as a tag of BCP 47.  ``minutes`` is how long the class meets, ``plan`` one of ``PLANS``,
    ``knows`` its class file.  ``numerals`` says whether Roman numerals stand under its charts.
    ``led`` is the harmony of each level where another instrument of the class leads.
    """

    path: Path
    title: str
    subtitle: str
    group: str
    sheet: str
    tune: Tune
    instrument: Instrument
    shape: voicing.Voicing
    shape_chord: Chord
    scale: SixthDiminished | None
    scale_shape: voicing.Voicing | None
    levels: tuple[Level, ...]
    also: tuple[str, ...] = ()
    outputs: tuple[str, ...] = OUTPUTS
    variants: tuple[str, ...] = ()
    paper: str = "a4"
    rights: str = ""
    playalong: takes.PlayAlong = takes.PlayAlong()
    language: str = "en"
    minutes: int = MINUTES
    plan: str = PLANS[0]
    knows: ClassFile | None = None
    idea: str = ""
    numerals: bool = False
    led: tuple[wishes.Harmony, ...] = ()

    def __post_init__(self) -> None:
        leading(self.shape, self.shape_chord)
        if self.scale is not None and self.scale_shape is not None:
            whole(self.scale_shape, self.scale.chord)

    @property
    def climbing(self) -> tuple[SixthDiminished, voicing.Voicing]:
        """The scale, and the shape that it starts from.

        Raises
        ------
        LessonError
            If the lesson has none.
        """
        if self.scale is None or self.scale_shape is None:
            raise LessonError(
                "the lesson has no scale",
                rule="statements about a scale need one in the header",
                mend='scale = "C major"',
            )
        return self.scale, self.scale_shape


@dataclass(frozen=True, slots=True)
class Text:
    """A piece of Markdown: paragraphs, lists; every call in it already put in.

    Parameters
    ----------
    markdown : str
    computed : bool
        Whether a call made the whole of it, such as a level's changes.
    lines : tuple of int
        For each line of it, its line in the lesson's file, counted from 1.
    put_in : tuple of (int, int)
        Where in it what calls gave begins and ends.
    """

    markdown: str
    computed: bool = False
    lines: tuple[int, ...] = field(default=(), compare=False)
    put_in: tuple[tuple[int, int], ...] = field(default=(), compare=False)


@dataclass(frozen=True, slots=True)
class Picture:
    """One or several drawings side by side, each with a caption (which may be empty).

    Parameters
    ----------
    drawings : tuple of Drawing
    captions : tuple of str
    name : str
        The stem of the files' names.
    clock_of : Chord or None
        For a clock: the chord that it shows.
    moved : bool
        Whether it shows where a note was before.
    heard : tuple of str
        Shapes in digits that are heard for it one after the other, where its marks do not say so.
    paper : {"", "yes", "no"}
        Whether it stands on the sheet; as its kind does where empty.
    mirrored : tuple of Drawing
        The same for a left-handed player, where they differ.
    clock_was : Chord or None
        For a clock: the chord whose notes were there before.
    """

    drawings: tuple[Drawing, ...]
    captions: tuple[str, ...]
    name: str
    clock_of: Chord | None = None
    moved: bool = False
    heard: tuple[str, ...] = ()
    paper: str = ""
    mirrored: tuple[Drawing, ...] = ()
    clock_was: Chord | None = None

    def for_hand(self, *, left: bool) -> tuple[Drawing, ...]:
        """Return the drawings for a hand."""
        return self.mirrored or self.drawings if left else self.drawings

    @property
    def files(self) -> tuple[str, ...]:
        """The names of the drawings' files, in the folder ``FIGURES``."""
        if len(self.drawings) == 1:
            return (f"{self.name}.svg",)
        return tuple(f"{self.name}-{index + 1}.svg" for index in range(len(self.drawings)))


@dataclass(frozen=True, slots=True)
class Table:
    """A table of printed text; on the sheet where ``paper`` is ``"yes"``."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str = ""
    paper: str = ""


@dataclass(frozen=True, slots=True)
class Chart:
    """The place where the chart of a level stands (levels counted from 0)."""

    level: int


Block = Text | Picture | Table | Chart


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with what stands under it; ``title`` is empty before the first heading.

    ``paper`` is ``"yes"`` where all of it stands on the sheet, ``"no"`` where none of it does.
    """

    title: str
    blocks: tuple[Block, ...]
    paper: str = ""


@dataclass(frozen=True, slots=True)
class OnPaper:
    """What a section says of itself: whether the whole of it stands on the sheet, or none of it."""

    word: str


@dataclass(frozen=True, slots=True)
class Fact:
    """A statement that was proved: its sentence, how, and the line of the file that makes it.

    It is ``silent`` where it stands for words of the author's own, and is not printed.
    """

    sentence: str
    proof: str
    line: int = 0
    silent: bool = False


@dataclass(frozen=True)
class Played:
    """A level as it is played: its arrangement, and the stem of its files' names.

    In a chord melody a melody note may stand alone, under no chord's name; every other shape
    sounds the chord that is named.
    """

    level: Level
    arrangement: Arrangement
    stem: str

    def __post_init__(self) -> None:
        numbers = written.printed_numbers(self.arrangement)
        for step in self.arrangement.steps:
            note = step.alone and self.level.texture == row_textures.CHORD_MELODY
            if step.chord is not None and step.voicing is not None and not note:
                try:
                    Shown(step.voicing, step.chord)
                except HarmonyError as error:
                    what = f"{self.level.name}, bar {numbers[step.bar][0]}: {error.what}"
                    raise LessonError(what, rule=error.rule, mend=error.mend) from None

    @cached_property
    def performance(self) -> Performance:
        """What is heard of it; a sheet asks for none."""
        return events.play(self.arrangement, self.level.tempo)

    @cached_property
    def measures(self) -> Measures:
        """What is counted of the arrangement, once for its text and its table."""
        return measure(self.arrangement)

    @property
    def shown(self) -> tuple[Shown, ...]:
        """The shapes as they are played, each under its chord's name."""
        return tuple(
            Shown(step.voicing, step.chord)
            for step in self.arrangement.steps
            if step.chord is not None and step.voicing is not None and not step.alone
        )

    @property
    def notes(self) -> tuple[str, ...]:
        """What a player should be told: of the limits, and of tones that shapes leave out."""
        said = lacking(self.shown)
        return tuple(filter(None, (self._choruses, *self.arrangement.notes, said)))

    @property
    def notes_for_class(self) -> tuple[str, ...]:
        """What is told to those who play: not what the search found within the level's limits."""
        own = self.arrangement.notes if self.level.texture == row_textures.CHORD_MELODY else ()
        return tuple(filter(None, (self._choruses, *own, lacking(self.shown))))

    @property
    def _choruses(self) -> str:
        """What each chorus is, with its bars."""
        numbers = written.printed_numbers(self.arrangement)
        said = []
        for count, each in enumerate(self.arrangement.choruses, 1):
            bars = f"{numbers[each.first][0] or 1} to {numbers[each.stop - 1][0]}"
            said.append(f"Chorus {count}, bars {bars}, {each.manner}: {each.about}.")
        return " ".join(said)


@dataclass(frozen=True, slots=True)
class Lesson:
    """A whole lesson, ready to be written out.

    Parameters
    ----------
    front : Front
        The header: title, instrument, tune, chord, scale and levels.
    sections : tuple of Section
        The text, each with its heading and blocks.
    played : tuple of Played
        Each level with its arrangement.
    facts : tuple of Fact
        Each sentence that was proved, with its line and proof.
    """

    front: Front
    sections: tuple[Section, ...]
    played: tuple[Played, ...]
    facts: tuple[Fact, ...]

    @property
    def lowers(self) -> bool:
        """Whether the text shows what lowering one string or note of its chord gives."""
        return any(
            block.name.startswith("lowered")
            if isinstance(block, Picture)
            else isinstance(block, Table) and block.header[:1] == ("Lower one note",)
            for block in self._blocks
        )

    @property
    def walks(self) -> bool:
        """Whether the text shows the shapes of its scale of chords."""
        scale = self.front.scale
        return scale is not None and any(
            block.name.startswith("neck")
            if isinstance(block, Picture)
            else isinstance(block, Table) and block.caption == scale.name
            for block in self._blocks
        )

    @property
    def _blocks(self) -> tuple[Block, ...]:
        return tuple(block for section in self.sections for block in section.blocks)


def cautions_of(lesson: Lesson) -> list[tuple[str, str]]:
    """Return shapes, as fret numbers, with what hands should know, held as their levels do."""
    said: dict[str, dict[str, None]] = {}
    for played in lesson.played:
        for shape, ways in grips.fingerings_of(played.arrangement).items():
            if text := difficulty.caution(shape, next(iter(ways), None)):
                said.setdefault(text, {})[shape.digits] = None
    return difficulty.cautions_said({text: [*shapes] for text, shapes in said.items()})


RIGHTS = (
    "Changes to a song that is in copyright, and arrangements of it, may need permission before "
    "they are published. This is not legal advice."
)


def said_of_rights(front: Front) -> tuple[str, ...]:
    """Return what the lesson or else its tune says of rights, if anything, and the general rule."""
    said = front.rights or front.tune.rights
    return (said, RIGHTS) if said else (RIGHTS,)
