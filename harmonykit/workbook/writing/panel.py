"""The page where a lesson is written: a draft, its text beside its preview, all that is built.

What is typed is looked at as it is typed: what can be said at once is said at once, and what takes
time is worked out beside the page.  What is typed is kept in a small file as one goes, and is there
again after the kernel died; the lesson's own file is written when the teacher says so.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.files.carry import Carried
from harmonykit.workbook.base.keep import Keep
from harmonykit.workbook.base.live import Answers, Live, Said, check_value
from harmonykit.workbook.base.task import Progress
from harmonykit.workbook.writing.beside import Asked, Beside, Change, Listeners
from harmonykit.workbook.writing.build import build, read_result, results_in
from harmonykit.workbook.writing.desk import Desk, Look
from harmonykit.workbook.writing.draft import drafted, tunes_in
from harmonykit.workbook.writing.file import (
    fingerprint,
    opened,
    path_of,
    said_of,
    saved,
    taken_in,
    well_formed,
)
from harmonykit.workbook.writing.form import Placed, form, with_value
from harmonykit.workbook.writing.preview import PAGE, Preview
from harmonykit.workbook.writing.said import said
from harmonykit.workbook.writing.sides import facts_of, shown_verdicts, sides_of
from harmonykit.workbook.writing.state import WritingState
from harmonykit.workbook.writing.still import draw_still
from harmonykit.workbook.writing.view import WritingView

KIND = "writing"
# A longer tune is arranged beside the page, also where a still picture is wanted.
_MOST_BARS = 80
DRAFTING, BUILDING = "Reading the tune", "Building"


class WritingPanel(Live[WritingView]):
    """A lesson as it is written.

    Parameters
    ----------
    tune : str
        What the first draft is made of: a shipped tune's name, or a path.
    instrument : str
    lesson : str
        A lesson that is opened instead: a shipped one's name, or a path.
    kept : str
        The file beside the notebook in which what is typed is kept.  What is found there comes
        before all else.

    Examples
    --------
    >>> import tempfile
    >>> panel = WritingPanel(kept=tempfile.mkdtemp() + "/kept.json")
    >>> panel.type(panel.state.text.replace('"A7", "C#dim7", 1', '"A7", "C#dim7", 2'))
    >>> [(each.line, each.said) for each in panel.look.verdicts if each.wrong]
    [(77, 'A7 and C#dim7 are not two semitones apart')]
    """

    title = "Write the lesson"

    def __init__(
        self,
        tune: str = "heron_landing",
        instrument: str = "ukulele",
        *,
        lesson: str = "",
        kept: str = "lesson-kept.json",
    ) -> None:
        self._keep = Keep(kept, KIND)
        self._folder = self._keep.path.parent
        self._desk, self._preview = Desk(), Preview()
        self._lock = threading.RLock()
        listeners = Listeners(self._show, self._go, self._failed, self._tell)
        self._beside = Beside(self._desk, listeners)
        self._trouble, self._told = self._keep.trouble, ""
        self._state = WritingState.of({name: self._keep[name] for name in self._keep})
        if not self._state.text:
            self._state = self._begun(WritingState(tune=tune, instrument=instrument), lesson)
        self._look = self._desk.look(self._path, self._state.text)

    def _begun(self, state: WritingState, lesson: str) -> WritingState:
        if lesson:
            return opened(state, self._folder, lesson)
        return replace(drafted(state, self._folder, self._desk), before="")

    # What is asked of it.

    @property
    def state(self) -> WritingState:
        """What is set and typed."""
        return self._state

    @property
    def look(self) -> Look:
        """What is seen in the text as it stands."""
        return self._look

    @property
    def facts(self) -> str:
        """One line that says how the lesson stands."""
        return facts_of(self._look, said_of(self._state, self._folder))

    @property
    def trouble(self) -> str:
        """What was wrong with the last thing asked, or nothing."""
        return self._trouble

    @property
    def busy(self) -> str:
        """What goes on beside the page, or nothing."""
        return self._beside.busy

    @property
    def out(self) -> Path:
        """The folder that the lesson is built into."""
        return self._folder / self._state.out

    @property
    def _path(self) -> Path:
        return path_of(self._state, self._folder)

    @property
    def _asked(self) -> Asked:
        return Asked(self._path, self._state.text, self._state.wants_sheet)

    def wait(self, seconds: float = 60) -> bool:
        """Wait until nothing goes on beside the page; whether that is so."""
        return self._beside.wait(seconds)

    def type(self, text: str) -> None:
        """Put another text in the place of the one that stands there, as typing does."""
        self._go(lambda now: replace(now, text=well_formed(text)))

    def set(self, control: str, value: str = "") -> None:
        """Set a control, or press its button.

        Raises
        ------
        HarmonyError
            If there is no such control, it cannot be used now, or its value cannot be.
        """
        placed = {each.control.id: each for each in self.controls() if not each.off}
        if control in ("stop", "go_on"):
            self._stop_or_go_on(control)
            return
        check_value(control, value, {name: each.control.options for name, each in placed.items()})
        if placed[control].control.kind == "button":
            getattr(self, f"_press_{control}")()
        else:
            self._go(lambda now: with_value(now, control, value))

    def take_in(self, name: str, data: bytes) -> None:
        """Put a tune's file beside the lesson, and name it as the tune of the next draft.

        Raises
        ------
        HarmonyError
            If it is too large, or cannot be written.
        """
        there = taken_in(name, data, self._folder)
        self._go(lambda now: with_value(now, "tune", there))

    def controls(self) -> tuple[Placed, ...]:
        """Return the controls as they stand."""
        numbers = tunes_in(self._state.tune, self._folder)
        return form(self._state, numbers, self._beside.on_an_errand)

    # The buttons.

    def _press_draft(self) -> None:
        asked = self._state

        def work(progress: Progress) -> Change:
            fresh = drafted(asked, self._folder, self._desk)
            # What was typed meanwhile is kept aside, as what was typed before is.
            return lambda now: self._put(
                replace(now, text=fresh.text, before=now.text, file=fresh.file, disk="", folder="")
            )

        self._run(DRAFTING, work)

    def _put(self, state: WritingState) -> WritingState:
        """Send the text of a state that is being taken on."""
        if self._view is not None:
            self._view.put(state.text)
        return state

    def _press_open(self) -> None:
        self._go(lambda now: self._put(opened(now, self._folder, now.file)))

    def _press_save(self) -> None:
        self._go(lambda now: saved(now, self._folder))

    def _press_back(self) -> None:
        self._go(lambda now: self._put(replace(now, text=now.before, before=now.text)))

    def _press_build(self) -> None:
        self._press_save()
        path, out, text = self._path, self.out, self._state.text

        def work(progress: Progress) -> Change:
            kept: list[Carried] = []
            build(path, out, self._desk, progress, kept.append)

            def change(now: WritingState) -> WritingState:
                self._told = "; ".join(str(each) for each in kept if each.edited)
                return replace(now, built=fingerprint(text))

            return change

        self._run(BUILDING, work)

    def _stop_or_go_on(self, control: str) -> None:
        if control == "stop":
            self._beside.stop(self._asked)
        else:
            self._beside.go_on()
        self._show()

    # Work beside the page.

    def _run(self, busy: str, work: Callable[[Progress], Change]) -> None:
        self._trouble = ""
        self._beside.run(busy, work)
        self._send()

    def _failed(self, error: HarmonyError) -> None:
        self._trouble = str(error)
        self._send()

    # What is shown.

    def _go(self, change: Change) -> None:
        """Take on a changed state, and keep what was typed.

        The change is made to the state as it is by then: something may be typed at any moment.
        """
        with self._lock:
            self._told = ""
            self._state, self._trouble = change(self._state), ""
            try:
                kept = self._keep.put(**self._state.as_typed())
                self._trouble = "; ".join(filter(None, (self._told, kept)))
            except HarmonyError as error:
                self._trouble = str(error)
        self._show()

    def _show(self) -> None:
        with self._lock:
            asked = self._asked
            self._look = self._desk.look(asked.path, asked.text, sheet=asked.sheet)
            self._send()
        if self._view is not None:
            self._beside.draw(asked, self._look)

    def _make_view(self) -> WritingView:
        return WritingView(title=self.title, kept=str(self._keep.path.resolve()))

    def _send(self) -> None:
        with self._lock:
            if self._view is None:
                return
            look, saved_as = self._look, said_of(self._state, self._folder)
            self._view.show(
                controls=[each.as_dict() for each in self.controls()],
                said=self._said(saved_as),
                verdicts=shown_verdicts(look),
                sides=sides_of(look) or self._view.sides,
                results=[[each.name, each.group] for each in results_in(self.out)],
            )
            if look.lesson is not None:
                # Script and sheet have every level in them: they are shown once those are there.
                shows = self._state.shows if look.lesson.played else PAGE
                news = self._preview.news(look.lesson, shows, look.sheet)
                self._view.send({"preview": news})

    def _said(self, saved_as: str) -> dict[str, Any]:
        going = self._beside.going(self._asked, self._look)
        return said(self._state, self._look, saved_as, going, self._trouble)

    def _tell(self) -> None:
        """Send what goes on, and nothing that would have to be worked out."""
        with self._lock:
            if self._view is not None:
                saved_as = self._view.said.get("saved", "")
                self._view.show(said=self._said(saved_as))

    def _answered(self, said: Said, refused: HarmonyError | None) -> None:
        """Say what cannot be done; whatever came of a text, it was heard, and is kept."""
        if refused:
            self._trouble = str(refused)
            self._tell()
        if "text" in said.content:
            turn, by = said.content.get("turn"), said.content.get("by")
            self.view.send({"heard": turn, "by": by})

    def _answers(self) -> Answers:
        return {
            "hello": lambda said: self._greet(said.text("hello")),
            "again": lambda said: self._greet(""),
            "text": lambda said: self.type(said.text("text")),
            "set": lambda said: self.set(said.text("set"), said.text("value")),
            "file": lambda said: self.take_in(said.text("file"), said.file),
            "open": lambda said: self._open_result(said.text("open")),
        }

    def _open_result(self, name: str) -> None:
        kind, data = read_result(self.out, name)
        self.view.hand(data, opened=name, kind=kind)

    def _greet(self, view: str) -> None:
        """Tell a browser that knows nothing all that there is; the text where a view is named."""
        with self._lock:
            self._preview.forget()
            if view:
                self.view.put(self._state.text, view)
            self._send()

    def draw(self) -> Drawing:
        """Return a still picture of the lesson: its sections and their minutes."""
        return draw_still(self._look.lesson, self.facts)

    def _still(self) -> Drawing:
        lesson = self._look.lesson
        if self._look.waits and lesson and len(lesson.front.tune.playing) <= _MOST_BARS:
            self._look = self._desk.work_out(self._path, self._state.text)
        return self.draw()

    def __repr__(self) -> str:
        return f"<{type(self).__name__}: {self.facts}>"
