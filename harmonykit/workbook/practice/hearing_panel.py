"""A student is heard in a notebook: a recording comes in pieces; what was heard is a picture.

``lesson.listening`` hears.  Lengths of the picture are in mm.

Notebook: 09_exercises
"""

from abc import abstractmethod
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import ClassVar, TypeVar

from harmonykit.about.names import NO_NOTES
from harmonykit.arrange import arrangement, written
from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, Canvas
from harmonykit.draw.base.fonts import SEMIBOLD
from harmonykit.draw.tree import Outline
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.lesson import listening, verdicts
from harmonykit.lesson.plan.model import Played
from harmonykit.lesson.verdicts import Heard, Hearing
from harmonykit.sound.chords import Pitches
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.values import dataclass, replace
from harmonykit.workbook.base.live import Answers, Said
from harmonykit.workbook.base.panel import Choice, Panel
from harmonykit.workbook.base.scene import Control, Look, Scene, Shown, Spot, Value
from harmonykit.workbook.panels.scenes import NECK_LINES, WIDE_MM, Neck

S = TypeVar("S")

GIVE = Control(
    "recording", "file", "Give a recording",
    options=("audio/*", ".wav", ".mp3", ".m4a", ".ogg", ".flac", ".aiff", ".caf"),
)  # fmt: skip
"""The button that lets a recording be picked."""
_MOST_BYTES = 64_000_000


class Pieces:
    """The pieces of a recording that have come so far.

    Examples
    --------
    >>> pieces = Pieces()
    >>> for n, half in enumerate((b"one ", b"two")):
    ...     whole = pieces.take(Said({"file": "mine.wav", "piece": n, "last": 1}, (half,)))
    >>> whole
    b'one two'
    """

    def __init__(self) -> None:
        self._come: tuple[bytes, ...] = ()

    def take(self, said: Said) -> bytes:
        """Take a piece; return the whole once it is there, and nothing before.

        Raises
        ------
        HarmonyError
            If a piece is missing, or the whole is too large.
        """
        piece, last = (int(said.text(name) or 0) for name in ("piece", "last"))
        self._come = (*self._come[:piece], said.file)
        if len(self._come) != piece + 1 or sum(map(len, self._come)) > _MOST_BYTES:
            self._come = ()
            raise HarmonyError("the recording did not arrive whole", mend="give it once more")
        if piece < last:
            return b""
        whole, self._come = b"".join(self._come), ()
        return whole


class HearingFiles(Panel[S]):
    """A panel that is given recordings."""

    _pieces: Pieces | None = None

    @abstractmethod
    def hear_file(self, path: str | Path) -> None:
        """Hear a recording."""

    def _take(self, said: Said) -> None:
        """Take a recording that was given in the browser, piece by piece."""
        self._pieces = self._pieces or Pieces()
        if data := self._pieces.take(said):
            with TemporaryDirectory() as folder:
                path = Path(folder) / (Path(said.text("file")).name or "recording")
                path.write_bytes(data)
                try:
                    self.hear_file(path)
                except HarmonyError as error:
                    # The folder is the panel's own: who gave the file knows its name alone.
                    what = error.what.replace(str(path), path.name)
                    raise HarmonyError(what, rule=error.rule, mend=error.mend) from None

    def _answers(self) -> Answers:
        return {**super()._answers(), "file": self._take}


ROW = 6
_CELL_MM, _HIGH_MM, _CHORD_PT = WIDE_MM / ROW, 22.0, 14.0
_LONGEST = 14
_ROLES = {
    verdicts.AS_WRITTEN: ("note", "fifth"),
    verdicts.OTHER: ("tension", "tension"),
    verdicts.UNLIKE: ("tension",) * 2,
}


@dataclass(frozen=True, slots=True)
class Cell:
    """A change as it stands on paper: the number of its bar, its chord and its shape."""

    bar: int
    chord: str
    shape: Voicing


@lru_cache(maxsize=8)
def scene_of(cells: tuple[Cell, ...], instrument: Instrument) -> Scene:
    """Return the picture of some changes, before anything is heard."""
    rows = -(-len(cells) // ROW)
    neck = _neck(instrument, rows)
    canvas = Canvas(WIDE_MM, rows * _HIGH_MM + neck.high)
    spots: list[Spot] = []
    for n, cell in enumerate(cells):
        x, y = _corner(n)
        canvas.letter(x + 1, y + 3.5, f"bar {cell.bar}", NOTE_PT, colour="soft", anchor="left")
        canvas.letter(x + 1, y + 9, cell.chord, _CHORD_PT, weight=SEMIBOLD, anchor="left")
        spots.append(Spot(f"change-{n}", x + 4, y + 15.5, 5.0, across=8.0))
        word = Spot(f"word-{n}", x + 8, y + 15.5, point=LABEL_PT, press=False, anchor="start")
        spots.append(word)
    neck.draw(canvas)
    spots += neck.spots(press=False)
    title = "what was heard, change by change"
    return Scene(WIDE_MM, canvas.height, canvas.parts, tuple(spots), NECK_LINES, title=title)


def _corner(number: int) -> tuple[float, float]:
    row, column = divmod(number, ROW)
    return column * _CELL_MM, row * _HIGH_MM


def _neck(instrument: Instrument, rows: int) -> Neck:
    return Neck(instrument, (0.0, rows * _HIGH_MM))


def looks_of(
    cells: tuple[Cell, ...], instrument: Instrument, heard: tuple[Heard, ...], picked: int
) -> tuple[dict[str, Look], dict[str, Outline]]:
    """Return how all looks: what was heard at each change, and the shape of the one picked."""
    looks: dict[str, Look] = {}
    for n, cell in enumerate(cells):
        one = heard[n] if n < len(heard) else None
        said = one.told if one is not None else "nothing heard yet"
        name = f"bar {cell.bar}, {cell.chord}: {said}"
        looks[f"change-{n}"] = Look(_role(one), _sign(one), name, n == picked)
        looks[f"word-{n}"] = Look("none", "" if one is None else _word(one))
    shape = cells[picked].shape if 0 <= picked < len(cells) else None
    neck = _neck(instrument, -(-len(cells) // ROW))
    return looks | neck.looks(NO_NOTES, None, shape), neck.courses(shape)


def _role(one: Heard | None) -> str:
    if one is None:
        return "off"
    roles = _ROLES.get(one.verdict)
    return "off" if roles is None else roles[0 if one.sure else 1]


def _sign(one: Heard | None) -> str:
    if one is None:
        return "·"
    return {verdicts.UNCLEAR: "?", verdicts.NOTHING: "–"}.get(
        one.verdict, "" if one.verdict in _ROLES else "–"
    )


def _word(one: Heard) -> str:
    """Return in a word or two what was heard."""
    how = "" if one.sure else ", likely"
    if one.verdict == verdicts.AS_WRITTEN:
        return f"heard{how}"
    if one.verdict in (verdicts.OTHER, verdicts.UNLIKE):
        name = one.names[0] if one.verdict == verdicts.OTHER else "another"
        return f"{name if len(name) <= _LONGEST else 'other notes'}{how}"
    return "cannot tell" if one.verdict == verdicts.UNCLEAR else one.verdict


_BEFORE = (
    "Record the level once through, from the first bar on, with a phone within an arm's length "
    "of the instrument and nothing else sounding. Then give the file: WAV, MP3, M4A or OGG."
)


@dataclass(frozen=True, slots=True)
class HearingState:
    """What is set.

    Parameters
    ----------
    lesson : str
        A lesson file, or the bare name of one that ships.
    level : int
        Counted from 1.
    picked : int
        The change that is looked at, from 0; -1 for none.
    """

    lesson: str = "stiff_dominant"
    level: int = 1
    picked: int = -1


class HearingPanel(HearingFiles[HearingState]):
    """A recording of a level is heard: which chord at each change, and how sure that is.

    Parameters
    ----------
    lesson : str or Path
        A lesson file, or the bare name of one that ships.
    level : int
        Counted from 1.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import mkdtemp
    >>> played = hk.lesson.read_lesson("stiff_dominant").played[0]
    >>> file = hk.sound.write_wav(Path(mkdtemp()) / "mine.wav", played.performance)
    >>> panel = hk.workbook.HearingPanel("stiff_dominant")
    >>> panel.hear_file(file)
    >>> panel.press("change-3")
    >>> print(panel.facts.splitlines()[0])
    0:13, bar 4, D7 (2-2-2-3): D7 heard (sure).
    """

    kind: ClassVar[str] = "hearing"
    title: ClassVar[str] = "what was heard of a level"
    hearing: Hearing | None = None
    _busy = ""
    _loaded: tuple[str, tuple[Played, ...]] = ("", ())

    def __init__(self, lesson: str | Path = "stiff_dominant", level: int = 1) -> None:
        super().__init__(HearingState(str(lesson), level))

    @classmethod
    def _blank(cls) -> HearingState:
        return HearingState()

    def _levels(self, state: HearingState) -> tuple[Played, ...]:
        """Return the levels of the lesson, loaded once."""
        from harmonykit.lesson.build import load_lesson

        if self._loaded[0] != state.lesson:
            self._loaded = (state.lesson, load_lesson(state.lesson).played)
        return self._loaded[1]

    def _way(self, state: HearingState) -> arrangement.Arrangement:
        levels = self._levels(state)
        if not 1 <= state.level <= len(levels):
            raise HarmonyError(f"unknown level {state.level}", rule=f"1 to {len(levels)}")
        return levels[state.level - 1].arrangement

    def _cells(self, state: HearingState) -> tuple[Cell, ...]:
        return _cells(self._way(state))

    def _scene(self, state: HearingState) -> Scene:
        return scene_of(self._cells(state), self._way(state).instrument)

    def _shown(self, state: HearingState) -> Shown:
        heard = self.hearing.heard if self.hearing is not None and self.hearing.fits else ()
        cells, neck = self._cells(state), self._way(state).instrument
        looks, lines = looks_of(cells, neck, heard, state.picked)
        return Shown(looks, lines, self._told(state), self._busy)

    def _told(self, state: HearingState) -> str:
        """Return what is said: of the change that is looked at, then of all."""
        hearing = self.hearing
        if hearing is None:
            return _BEFORE
        if not hearing.fits:
            return "\n".join(hearing.remarks)
        lines = [hearing.summary, *hearing.remarks, verdicts.ALIKE]
        if 0 <= state.picked < len(hearing.heard):
            one = hearing.heard[state.picked]
            chord = f"{one.clock}, bar {one.bar}, {one.asked} ({one.shape})"
            lines.insert(0, f"{chord}: {one.told}.")
        return "\n".join(lines)

    def _controls(self, state: HearingState) -> tuple[Control, ...]:
        levels = enumerate(self._levels(state), 1)
        names = tuple(f"{n}. {each.level.name}" for n, each in levels)
        return (
            GIVE,
            Control("level", "choice", "level", names[state.level - 1], names),
        )

    def _after_press(self, state: HearingState, part: str) -> HearingState:
        return replace(state, picked=int(part.removeprefix("change-")))

    def _after_set(self, state: HearingState, control: str, value: Value) -> HearingState:
        if control != "level":
            return state
        level = int(str(value).partition(".")[0])
        if level != state.level:
            self.hearing = None
        return HearingState(state.lesson, level)

    def _chords(self, state: HearingState) -> tuple[Pitches, ...]:
        cells = self._cells(state)
        chosen = [cells[state.picked]] if 0 <= state.picked < len(cells) else cells
        return tuple(cell.shape.sounding for cell in chosen)

    def _choice(self, state: HearingState) -> Choice:
        cells = self._cells(state)
        cell = cells[state.picked if 0 <= state.picked < len(cells) else 0]
        return Choice(PcSet.of(*(pitch % 12 for pitch in cell.shape.sounding)))

    def hear_file(self, path: str | Path) -> None:
        """Hear a recording of the level that is chosen.

        Parameters
        ----------
        path : str or Path
            A sound file: WAV, MP3, OGG, FLAC, AIFF or CAF, up to ten minutes.

        Raises
        ------
        HarmonyError
            If it cannot be read, or is silent or too short.
        """
        self._busy = f"Listening to {Path(path).name}"
        self._go(self._state)
        try:
            self.hearing = listening.hear_playing(self._way(self._state), path)
        finally:
            self._busy = ""
            self._go(replace(self._state, picked=-1))


def _cells(way: arrangement.Arrangement) -> tuple[Cell, ...]:
    numbers = written.printed_numbers(way)
    return tuple(
        Cell(
            numbers[step.bar][0],
            step.chord.unicode if step.chord is not None else step.voicing.digits,
            step.voicing,
        )
        for step in way.steps
        if step.voicing is not None
    )
