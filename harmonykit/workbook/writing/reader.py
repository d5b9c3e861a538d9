"""A lesson's text looked at as it is typed: read, arranged and judged, each part only once.

What takes time (a score, the arrangement of a level, a figure) is remembered by the values that it
follows from.  ``LessonReader.look`` answers at once from what is known and says what it waits for;
``LessonReader.work_out`` works that out, tells of its progress and can be stopped.

Notebook: 06_write_the_lesson
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.lesson.arranging import level_key, level_stem, play_level
from harmonykit.lesson.plan import source, takes
from harmonykit.lesson.plan.model import OUTPUTS, Fact, Front, Lesson, Played
from harmonykit.lesson.statements import calls, functions, sentences
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, replace
from harmonykit.workbook.base.work import Bounded, Progress, had
from harmonykit.workbook.writing.judge import PROVED, Judge, Memory, NotYet, Unplayed, Verdict

_MOST_CALLS = 600
_PARTS_A_LEVEL = 100


@dataclass(frozen=True, slots=True)
class Look:
    """What is seen in a lesson's text.

    Parameters
    ----------
    lesson : Lesson or None
        With a mark for each call that has no answer; none before there is any header that
        can be used.
    body : Body or None
    verdicts : tuple of Verdict
        In the order of the text.
    fault : HarmonyError or None
        What is wrong with the header; the lesson then has the last that was right.
    waits : frozenset of str
        What is still to be worked out.
    sheet : tuple of str
        The pages of the handout as pictures, where they were asked for and are there.
    """

    lesson: Lesson | None = None
    body: source.Body | None = None
    verdicts: tuple[Verdict, ...] = ()
    fault: HarmonyError | None = None
    waits: frozenset[str] = frozenset()
    sheet: tuple[str, ...] = ()


class LessonReader:
    """Looks at a lesson's text again and again, and does only what is new."""

    def __init__(self) -> None:
        self._tunes: Bounded[Tune | HarmonyError] = Bounded()
        self._fronts: Bounded[tuple[Front, _File]] = Bounded()
        self._levels: Bounded[Played | HarmonyError] = Bounded()
        self._named: Bounded[Played] = Bounded()
        self._calls: Bounded[Memory] = Bounded(6)
        self._sheets: Bounded[tuple[str, ...] | HarmonyError] = Bounded(2)
        self._last: Front | None = None

    def look(self, path: str | Path, text: str, *, sheet: bool = False) -> Look:
        """Return what can be said of a text at once.

        Parameters
        ----------
        path : str or Path
            Where the text stands or would stand: its tune is looked for beside it.
        text : str
        sheet : bool
            Whether the pages of the handout are wanted.

        Returns
        -------
        Look

        Examples
        --------
        >>> fault = hk.workbook.LessonReader().look("tide.md", "No header.").fault
        >>> fault and fault.what
        'tide.md has no header'
        """
        look = self._look(Path(path), text, None)
        return self._with_sheet(look, patient=False) if sheet else look

    def work_out(
        self,
        path: str | Path,
        text: str,
        progress: Progress = lambda _done, _total: None,
        *,
        sheet: bool = False,
    ) -> Look:
        """Return all that can be said of a text; what ``progress`` raises ends the work.

        Parameters
        ----------
        path : str or Path
            Where the text stands or would stand: its tune is looked for beside it.
        text : str
        progress : Progress
            Told the number of steps that are done and of all.
        sheet : bool
            Whether the pages of the handout are wanted.

        Returns
        -------
        Look

        Examples
        --------
        >>> told = []
        >>> reader = hk.workbook.LessonReader()
        >>> look = reader.work_out("tide.md", "No header.", lambda *steps: told.append(steps))
        >>> look.fault and look.fault.what
        'tide.md has no header'
        """
        look = self._look(Path(path), text, progress)
        return self._with_sheet(look, patient=True) if sheet else look

    def _with_sheet(self, look: Look, *, patient: bool) -> Look:
        """Return what is seen with the pages of the handout, or waiting for them."""
        lesson = look.lesson
        if lesson is None or not lesson.played or look.waits:
            return look
        # The levels as played follow from the header.
        key = (lesson.front, lesson.sections)
        if not patient and self._sheets.get(key) is None:
            return replace(look, waits=frozenset({f"the sheet {hash(key)}"}))
        try:
            return replace(look, sheet=had(self._sheets, key, lambda: draw_sheet(lesson)))
        except HarmonyError as error:
            return replace(look, fault=look.fault or error)

    def read_tune(self, path: Path, number: int | None = None) -> Tune:
        """Read a tune's file, once for as long as the file is as it was.

        Parameters
        ----------
        path : Path
            Where the file is.
        number : int, optional
            Which tune of the file, from 1.

        Returns
        -------
        Tune

        Raises
        ------
        HarmonyError
            If it cannot be read.

        Examples
        --------
        >>> path = hk.find_data("tunes", "heron_landing")
        >>> reader = hk.workbook.LessonReader()
        >>> reader.read_tune(path) is reader.read_tune(path)
        True
        """
        key = _File.of(path, number)
        return had(self._tunes, key, lambda: read_tune(path, number))

    def play(self, front: Front, index: int, progress: Progress | None = None) -> Played:
        """Arrange a lesson's tune at one level, once for all lessons in which it is the same.

        Parameters
        ----------
        front : Front
            The lesson's header as read.
        index : int
            Of the level, from 0.
        progress : Progress, optional
            Told the number of steps that are done and of all.

        Returns
        -------
        Played

        Raises
        ------
        HarmonyError
            If the tune cannot be played so.

        Examples
        --------
        >>> lesson = hk.lesson.read_lesson(hk.find_data("lessons", "four_dominants"))
        >>> played = hk.workbook.LessonReader().play(lesson.front, 0)
        >>> played.level == lesson.front.levels[0]
        True
        """
        level = front.levels[index]
        named = (level_key(front, index), level)
        known = self._named.get(named)
        if known is None:
            played = self._play(front, index, progress)
            arrangement = replace(played.arrangement, name=level.name)
            stem = level_stem(level, index)
            known = replace(played, level=level, arrangement=arrangement, stem=stem)
            self._named.put(named, known)
        return known

    def _play(self, front: Front, index: int, progress: Progress | None) -> Played:
        key = level_key(front, index)
        return had(self._levels, key, lambda: play_level(front, index, progress))

    def _look(self, path: Path, text: str, progress: Progress | None) -> Look:
        try:
            head, body = source.split_lesson(path, text)
        except HarmonyError as error:
            return Look(fault=error)
        fault = None
        try:
            self._last = self._read(head, patient=progress is not None)
            body.check_printable()
        except NotYet:
            return Look(body=body, waits=frozenset({f"the tune of {path}"}))
        except HarmonyError as error:
            fault = error
        if self._last is None:
            return Look(body=body, fault=fault)
        look = self._judged(self._last, body, progress)
        return replace(look, fault=fault or look.fault)

    def _read(self, head: source.Head, *, patient: bool) -> Front:
        """Read header, unless it and the file of its tune are as they were."""
        known = self._fronts.get(head)
        if known is not None and known[1].is_as_it_was:
            return known[0]
        files: list[_File] = []

        def read_tune(path: Path, number: int | None) -> Tune:
            file = _File.of(path, number)
            files.append(file)
            # A score is read in a process of its own, which takes its time.
            if not patient and path.suffix != ".toml" and self._tunes.get(file) is None:
                raise NotYet
            return self.read_tune(path, number)

        front = head.read(read_tune=read_tune)
        self._fronts.put(head, (front, files[0]))
        return front

    def _judged(self, front: Front, body: source.Body, progress: Progress | None) -> Look:
        played, trouble, waits = self._played(front, progress)
        memory = self._calls.get(_blank(front))
        if memory is None or len(memory) > _MOST_CALLS:
            memory = self._calls.put(_blank(front), {})
        there = played or Unplayed()
        judge = Judge(functions.Functions(front, there), memory, progress is not None, trouble)
        if progress is not None:
            done = _PARTS_A_LEVEL * len(front.levels)
            judge.told = lambda count: progress(done + count, done + _PARTS_A_LEVEL)
        sections = calls.fill(body, judge)
        facts = tuple(Fact(v.said, v.how, v.line) for v in judge.verdicts if v.kind == PROVED)
        lesson = Lesson(front, sections, played, facts)
        return Look(
            lesson, body, told(lesson, judge.verdicts), trouble, frozenset(waits | judge.waits)
        )

    def _played(
        self, front: Front, progress: Progress | None
    ) -> tuple[tuple[Played, ...], HarmonyError | None, set[str]]:
        """Return the levels as played, all of them or none; what is wrong; what is waited for."""
        indices = range(len(front.levels))
        known = {level_key(front, i): self._levels.get(level_key(front, i)) for i in indices}
        refused = [each for each in known.values() if isinstance(each, HarmonyError)]
        if refused:
            return (), refused[0], set()
        if progress is None and None in known.values():
            return (), None, {f"level {hash(key)}" for key, each in known.items() if each is None}
        try:
            played = [self.play(front, i, _part(progress, i, len(indices))) for i in indices]
        except HarmonyError as error:
            return (), error, set()
        return tuple(played), None, set()


def told(lesson: Lesson, verdicts: Iterable[Verdict]) -> tuple[Verdict, ...]:
    """Return verdicts with what their author is told of statements that other words turn."""
    notes = {(s.at, s.turned.sentence): s.note for s in sentences.sentences_of(lesson) if s.turned}
    return tuple(
        replace(v, mend=notes.get((v.line, v.said), "")) if v.kind == PROVED else v
        for v in verdicts
    )


def draw_sheet(lesson: Lesson) -> tuple[str, ...]:
    """Return the pages of a lesson's handout as pictures, one SVG a page.

    Raises
    ------
    HarmonyError
        If they cannot be set.
    """
    from harmonykit.lesson.handout.pdf import handout_data
    from harmonykit.lesson.handout.typeset import draw_pages

    return draw_pages("handout", handout_data(lesson))


@dataclass(frozen=True, slots=True)
class _File:
    """A tune's file as it was when it was read."""

    path: Path
    number: int | None
    changed: int = 0
    size: int = -1

    @classmethod
    def of(cls, path: Path, number: int | None) -> _File:
        try:
            stat = path.stat()
        except OSError:
            return cls(path, number)
        return cls(path, number, stat.st_mtime_ns, stat.st_size)

    @property
    def is_as_it_was(self) -> bool:
        return self.size >= 0 and self == self.of(self.path, self.number)


def _blank(front: Front) -> Front:
    """Return header without the words that no call asks for."""
    levels = tuple(replace(level, watch="") for level in front.levels)
    return replace(
        front, path=Path(), title="", subtitle="", group="", sheet="", rights="", levels=levels,
        outputs=OUTPUTS, variants=(), paper="", playalong=takes.PlayAlong(), also=(),
    )  # fmt: skip


def _part(progress: Progress | None, index: int, levels: int) -> Progress | None:
    """Return progress within one level as progress in the whole work."""
    if progress is None:
        return None
    begun, whole = _PARTS_A_LEVEL * index, _PARTS_A_LEVEL * (levels + 1)
    farthest = 0

    def tell(done: int, total: int) -> None:
        nonlocal farthest
        # A level is searched again where it rubs against another, from the first bar.
        farthest = max(farthest, _PARTS_A_LEVEL * done // max(total, 1))
        progress(begun + farthest, whole)

    return tell
