"""The page where ideas for lessons are found: asked, ranked, seen on the strings, heard, drafted.

Three layers: ``state`` says what is asked, ``page`` draws what was found, and ``IdeasPanel`` is the
thin view.  What takes time is done beside the page, tells of its progress, and can be stopped.

Notebook: 10_find_ideas
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.ideas.finder import sought
from harmonykit.ideas.finding import Finding
from harmonykit.lesson.draft.of_finding import write_lesson_of
from harmonykit.sound.chords import Clip, sound_of
from harmonykit.theory.chord import Chord
from harmonykit.workbook.base.live import Answers, Live, Said, check_part, check_value
from harmonykit.workbook.base.work import Progress, Worker
from harmonykit.workbook.ideas import page
from harmonykit.workbook.ideas.page import DRAFT, FIND, IdeasState, controls, with_value

if TYPE_CHECKING:
    from harmonykit.workbook.base.view import IdeasView

FINDING, DRAFTING = "Looking for ideas", "Drafting the lesson"
Change = Callable[[], None]


class IdeasPanel(Live["IdeasView"]):
    """What is true of a chord, a scale or a shape and worth a lesson.

    Parameters
    ----------
    source : str or Chord
        A chord (``"Bdim7"``), a kind (``"dim7"``), a scale (``"whole tone"``), notes
        (``"0 1 4 6"``) or a shape (``"2-3-2-3"``).
    instrument : str
    tunes : str
        Names of shipped tunes or paths, with commas between them: where ideas can stand.
    folder : str or Path
        Where drafts are written.

    Examples
    --------
    >>> panel = hk.workbook.IdeasPanel("C+", "ukulele")
    >>> panel.wait(), len(panel.findings)
    (True, 11)
    >>> panel.press("finding-1")
    >>> panel.set("source", "7b5")
    >>> panel.find()
    >>> panel.wait(), panel.facts
    (True, '15 ideas about 7b5, the most useful first')
    """

    title = "find ideas for lessons"

    def __init__(
        self,
        source: str | Chord = "dim7",
        instrument: str = "ukulele",
        tunes: str = "heron_landing",
        *,
        folder: str | Path = ".",
    ) -> None:
        typed = source.symbol if isinstance(source, Chord) else source
        self._state = IdeasState(typed, instrument, tunes)
        self._folder = Path(folder)
        self._lock = threading.RLock()
        self._found: tuple[Finding, ...] = ()
        self._trouble = self._written = self._on = self._busy = ""
        self._progress, self._is_stopped = (0, 1), False
        self._worker: Worker[Change] = Worker(
            lambda change: change(), self._failed, self._tell, self._ended
        )
        # What the findings are about, and on which instrument, whatever is typed since.
        self._about, self._neck = typed, self._state.neck
        self.find()

    @property
    def state(self) -> IdeasState:
        """What is asked, and which finding is looked at."""
        return self._state

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found, the most useful first."""
        return self._found

    @property
    def chosen(self) -> Finding | None:
        """The finding that is looked at."""
        return self._found[self._state.chosen] if self._found else None

    @property
    def trouble(self) -> str:
        """What was wrong with the last thing asked, or nothing."""
        return self._trouble

    @property
    def written(self) -> str:
        """The file of the last draft, or nothing."""
        return self._written

    @property
    def facts(self) -> str:
        """One line that says what was found."""
        if not self._found:
            return (
                f"No idea about {self._about} is worth a lesson; a chord or a scale near it may do"
            )
        if len(self._found) == 1:
            return f"1 idea about {self._about}"
        return f"{len(self._found)} ideas about {self._about}, the most useful first"

    def find(self) -> None:
        """Look for what is true of the source, beside the page."""
        state = self._state

        def work(progress: Progress) -> Change:
            found = sought(state.source, state.neck, state.read_tunes(), progress)

            def change() -> None:
                self._about, self._neck, self._written = state.source, state.neck, ""
                self._take(replace(self._state, chosen=0), found)

            return change

        self._begin(FINDING, work)

    def draft(self) -> None:
        """Write an idea file, and the draft of a lesson about it on the first tune that it fits.

        Raises
        ------
        HarmonyError
            If nothing is chosen, or no tune is named.
        """
        chosen, state = self.chosen, self._state
        if chosen is None or not state.tune_names:
            raise HarmonyError("no tune is named", mend="heron_landing, in the Tunes field")

        def work(_: Progress) -> Change:
            tunes = list(zip(state.read_tunes(), state.tune_names, strict=True))
            named = {spot.tune for spot in chosen.spots}
            # Where it was found to fit comes first; of those, and of the others, the first typed.
            tune, name = next((each for each in tunes if each[0].title in named), tunes[0])
            path = write_lesson_of(chosen, self._folder, tune, name, state.neck)

            def change() -> None:
                self._written, self._on = path.name, tune.title

            return change

        self._begin(DRAFTING, work)

    def wait(self, seconds: float = 60.0) -> bool:
        """Wait until nothing goes on beside the page; whether that is so.

        Parameters
        ----------
        seconds : float
            How long at most.

        Returns
        -------
        bool
        """
        return self._worker.wait(seconds)

    def press(self, part: str) -> None:
        """Look at a finding: ``"finding-0"`` is the first.

        Parameters
        ----------
        part : str

        Raises
        ------
        HarmonyError
            If there is no such finding.
        """
        parts = [f"{page.CHOOSE}{n}" for n in range(min(len(self._found), page.MOST))]
        check_part(part, parts)
        self._take(replace(self._state, chosen=parts.index(part)), self._found)

    def set(self, control: str, value: str = "") -> None:
        """Set a control, or press its button.

        Parameters
        ----------
        control : str
        value : str

        Raises
        ------
        HarmonyError
            If there is no such control, or its value cannot be.
        """
        buttons = {
            FIND: self.find,
            DRAFT: self.draft,
            "hear": self._play,
            "stop": self._stop,
            "go_on": self.find,
        }
        if control in buttons:
            buttons[control]()
            return
        known = {str(each["id"]): each["options"] for each in self._controls()}
        check_value(control, value, known)  # type: ignore[arg-type]
        self._state = with_value(self._state, control, value)
        self._written = ""
        if control == "instrument":
            self.find()
        else:
            self._show()

    def hear(self) -> Clip:
        """Return the chosen finding as a WAV file: each change from its first shape.

        Returns
        -------
        Clip
        """
        if self.chosen is None:
            return sound_of(())
        return sound_of(page.chords_of(self.chosen, self._neck))

    def draw(self) -> Drawing:
        """Return a still picture of the first ten findings.

        Returns
        -------
        Drawing
        """
        return page.draw_list(self._found, self.facts)

    # Work beside the page.

    def _begin(self, busy: str, work: Callable[[Progress], Change]) -> None:
        self._busy, self._progress = busy, (0, 1)
        self._trouble, self._is_stopped = "", False
        self._worker.start(lambda progress: self._after(work(progress)))
        self._show()

    def _after(self, change: Change) -> Change:
        def done() -> None:
            with self._lock:
                self._busy = ""
                change()
            self._show()

        return done

    def _take(self, state: IdeasState, found: tuple[Finding, ...]) -> None:
        with self._lock:
            self._state, self._found, self._trouble = state, found, ""
        self._show()

    def _stop(self) -> None:
        self._is_stopped = bool(self._busy)
        self._worker.stop()
        self._ended()

    def _ended(self) -> None:
        self._busy = ""
        self._show()

    def _failed(self, error: HarmonyError) -> None:
        self._busy, self._trouble = "", str(error)
        self._show()

    def _tell(self, done: int, total: int) -> None:
        self._progress = (done, total)
        with self._lock:
            if self._view is not None:
                self._view.show(said=self._said())

    @property
    def _asked_and_done(self) -> bool:
        return not (self._busy or self._trouble or self._is_stopped)

    def _play(self) -> None:
        sound = self.hear()
        if self._view is not None:
            self._view.hand(sound.wav, sound=sound.seconds)

    # How it is shown.

    def _make_view(self) -> IdeasView:
        from harmonykit.workbook.base.view import IdeasView

        return IdeasView(title=self.title)

    def _controls(self) -> tuple[dict[str, object], ...]:
        return controls(self._state, busy=bool(self._busy), found=bool(self._found))

    def _said(self) -> dict[str, object]:
        written = f"Written, on {self._on}: {self._written}" if self._written else ""
        return {
            "facts": self.facts if self._found or self._asked_and_done else "",
            "trouble": self._trouble,
            "busy": self._busy,
            "progress": list(self._progress),
            "stopped": self._is_stopped,
            "written": written,
            "then": f'hk.workbook.WritingPanel(lesson="{self._written}")' if written else "",
        }

    def _show(self) -> None:
        with self._lock:
            if self._view is None:
                return
            chosen = self.chosen
            self._view.show(
                controls=list(self._controls()),
                said=self._said(),
                found=page.list_html(self._found, self._state.chosen),
                shown=page.shown_html(chosen, self._neck) if chosen else "",
            )

    def _answers(self) -> Answers:
        return {
            "press": lambda said: self.press(said.text("press")),
            "set": lambda said: self.set(said.text("set"), said.text("value")),
        }

    def _answered(self, _said: Said, refused: HarmonyError | None) -> None:
        """Say what cannot be done beside the controls."""
        if refused:
            self._trouble = str(refused)
            self._show()

    def _still(self) -> Drawing | None:
        self.wait()
        return self.draw() if self._found else None

    def _words(self, still: Drawing | None) -> str:
        return still.alt if still else self._trouble

    def __repr__(self) -> str:
        return f"<{type(self).__name__}: {self.facts}>"
