"""A teacher's desk: the lesson as it is typed, what is seen in it, and what is built of it.

What is typed is looked at as it is typed: what can be said at once is said at once, and what takes
time is worked out beside the page.  What is typed is kept in a small file as one goes, and is there
again after the kernel died; the lesson's own file is written when the teacher says so.  What may
show all this overrides the methods of the last part of ``Desk``, which are called from any
thread.
"""

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files.manifest import Carried
from harmonykit.workbook.base.keep import Keep
from harmonykit.workbook.base.live import check_value
from harmonykit.workbook.base.work import Progress
from harmonykit.workbook.writing import reader, sides, typed
from harmonykit.workbook.writing.beside import Asked, Beside, Change, Listeners, build
from harmonykit.workbook.writing.form import Placed, drafted, form, tunes_in, with_value
from harmonykit.workbook.writing.typed import WritingState

KIND = "writing"
DRAFTING, BUILDING = "Reading the tune", "Building"


class Desk:
    """What a teacher has before them.

    Its parameters are those of ``panel.WritingPanel``, which shows it.

    Examples
    --------
    >>> import tempfile
    >>> desk = Desk(kept=tempfile.mkdtemp() + "/kept.json")
    >>> desk.type(desk.state.text.replace('"A7", "C#dim7", 1', '"A7", "C#dim7", 2'))
    >>> [(each.line, each.said) for each in desk.look.verdicts if each.wrong]
    [(77, 'A7 and C♯°7 are not two half steps apart')]
    """

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
        self._reader = reader.LessonReader()
        self._lock = threading.RLock()
        listeners = Listeners(self._show, self._go, self._failed, self._tell)
        self._beside = Beside(self._reader, listeners)
        self._trouble, self._told = self._keep.trouble, ""
        self._state = WritingState.of({name: self._keep[name] for name in self._keep})
        if not self._state.text:
            self._state = self._begun(WritingState(tune=tune, instrument=instrument), lesson)
        self._look = self._reader.look(self._path, self._state.text)

    def _begun(self, state: WritingState, lesson: str) -> WritingState:
        if lesson:
            return typed.opened(state, self._folder, lesson)
        return replace(drafted(state, self._folder, self._reader), before="")

    # What is asked of it.

    @property
    def state(self) -> WritingState:
        """What is set and typed."""
        return self._state

    @property
    def look(self) -> reader.Look:
        """What is seen in the text as it stands."""
        return self._look

    @property
    def facts(self) -> str:
        """One line that says how the lesson stands."""
        return sides.facts_of(self._look, typed.said_of(self._state, self._folder))

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
        return typed.path_of(self._state, self._folder)

    @property
    def _asked(self) -> Asked:
        return Asked(self._path, self._state.text, self._state.wants_sheet)

    def wait(self, seconds: float = 60) -> bool:
        """Wait until nothing goes on beside the page; whether that is so."""
        return self._beside.wait(seconds)

    def type(self, text: str) -> None:
        """Put another text in the place of the one that stands there, as typing does."""
        self._go(lambda now: replace(now, text=typed.well_formed(text)))

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
        there = typed.taken_in(name, data, self._folder)
        self._go(lambda now: with_value(now, "tune", there))

    def controls(self) -> tuple[Placed, ...]:
        """Return the controls as they stand."""
        numbers = tunes_in(self._state.tune, self._folder)
        return form(self._state, numbers, busy=self._beside.on_an_errand)

    # The buttons.

    def _press_draft(self) -> None:
        asked = self._state

        def work(_progress: Progress) -> Change:
            fresh = drafted(asked, self._folder, self._reader)
            # What was typed meanwhile is kept aside, as what was typed before is.
            return lambda now: self._put(
                replace(now, text=fresh.text, before=now.text, file=fresh.file, disk="", folder="")
            )

        self._run(DRAFTING, work)

    def _press_open(self) -> None:
        self._go(lambda now: self._put(typed.opened(now, self._folder, now.file)))

    def _press_save(self) -> None:
        self._go(lambda now: typed.saved(now, self._folder))

    def _press_back(self) -> None:
        self._go(lambda now: self._put(replace(now, text=now.before, before=now.text)))

    def _press_build(self) -> None:
        self._press_save()
        path, out, text = self._path, self.out, self._state.text

        def work(progress: Progress) -> Change:
            kept: list[Carried] = []
            build(path, out, self._reader, progress, kept.append)

            def change(now: WritingState) -> WritingState:
                self._told = "; ".join(str(each) for each in kept if each.edited)
                return replace(now, built=typed.fingerprint(text))

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

    # What may show it.

    def _show(self) -> None:
        """Look at the text anew, and show all as it stands."""
        with self._lock:
            asked = self._asked
            self._look = self._reader.look(asked.path, asked.text, sheet=asked.sheet)
            self._send()

    def _send(self) -> None:
        """Show all as it stands."""

    def _tell(self) -> None:
        """Show what goes on, and nothing that would have to be worked out."""

    def _put(self, state: WritingState) -> WritingState:
        """Show the text of a state that is being taken on, in the place of what was typed."""
        return state
