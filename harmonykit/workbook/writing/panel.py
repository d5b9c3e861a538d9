"""The page where a lesson is written: its text beside its preview, and all that is said of it.

``WritingPanel`` is the thin view of a ``harmonykit.workbook.writing.desk.Desk``.
"""

from typing import Any

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.workbook.base.live import Answers, Live, Said
from harmonykit.workbook.base.view import WritingView
from harmonykit.workbook.writing import beside, desk, preview, typed
from harmonykit.workbook.writing.sides import draw_still, said, shown_verdicts, sides_of

# A longer tune is arranged beside the page, also where a still picture is wanted.
_MOST_BARS = 80


class WritingPanel(desk.Desk, Live[WritingView]):
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
    >>> panel = hk.workbook.WritingPanel(kept=tempfile.mkdtemp() + "/kept.json")
    >>> panel.type(panel.state.text.replace('"A7", "C#dim7", 1', '"A7", "C#dim7", 2'))
    >>> [(each.line, each.said) for each in panel.look.verdicts if each.wrong]
    [(77, 'A7 and C♯°7 are not two half steps apart')]
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
        self._preview = preview.Preview()
        super().__init__(tune, instrument, lesson=lesson, kept=kept)

    # How it is shown.

    def _show(self) -> None:
        super()._show()
        if self._view is not None:
            self._beside.draw(self._asked, self._look)

    def _put(self, state: typed.WritingState) -> typed.WritingState:
        if self._view is not None:
            self._view.put(state.text)
        return state

    def _make_view(self) -> WritingView:
        return WritingView(title=self.title, kept=str(self._keep.path.resolve()))

    def _send(self) -> None:
        with self._lock:
            if self._view is None:
                return
            look, saved_as = self._look, typed.said_of(self._state, self._folder)
            self._view.show(
                controls=[each.as_dict() for each in self.controls()],
                said=self._said(saved_as),
                verdicts=shown_verdicts(look),
                sides=sides_of(look) or self._view.sides,
                results=[[each.name, each.group] for each in beside.results_in(self.out)],
            )
            if look.lesson is not None:
                # Script and sheet have every level in them: they are shown once those are there.
                shows = self._state.shows if look.lesson.played else preview.PAGE
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
            "again": lambda _: self._greet(""),
            "text": lambda said: self.type(said.text("text")),
            "set": lambda said: self.set(said.text("set"), said.text("value")),
            "file": lambda said: self.take_in(said.text("file"), said.file),
            "open": lambda said: self._open_result(said.text("open")),
        }

    def _open_result(self, name: str) -> None:
        kind, data = beside.read_result(self.out, name)
        self.view.hand(data, opened=name, kind=kind)

    def _greet(self, view: str) -> None:
        """Tell a browser that knows nothing all that there is; the text where a view is named."""
        with self._lock:
            self._preview.forget()
            if view:
                self.view.put(self._state.text, view)
            self._send()

    def draw(self) -> Drawing:
        """Return a still picture of the lesson: its sections and their minutes.

        Returns
        -------
        Drawing
        """
        return draw_still(self._look.lesson, self.facts)

    def _still(self) -> Drawing:
        lesson = self._look.lesson
        if self._look.waits and lesson and len(lesson.front.tune.playing) <= _MOST_BARS:
            self._look = self._reader.work_out(self._path, self._state.text)
        return self.draw()

    def __repr__(self) -> str:
        return f"<{type(self).__name__}: {self.facts}>"
