"""An essay in a notebook: it asks, one figure stays in view, and each chord can be heard.

The browser has every state of the essay, and asks here for sound alone: what a reader answered
stays where a kernel is lost.

Notebook: 02_four_parents
"""

from __future__ import annotations

from typing import Any, ClassVar

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.practice.question import Verdict
from harmonykit.sound.chords import Pitches
from harmonykit.workbook.base.view import EssayView
from harmonykit.workbook.essay.asked import Asked, ask_all
from harmonykit.workbook.essay.figure import still
from harmonykit.workbook.essay.page import page_of, written
from harmonykit.workbook.essay.sounding import Sounding
from harmonykit.workbook.essay.text import read_essay


class EssayPanel(Sounding[EssayView]):
    """An essay that asks before it answers.

    Parameters
    ----------
    name : {"three_sevenths", "four_parents", "alternating_scales", "how_far", "kinds_of_chord"}

    Examples
    --------
    >>> essay = hk.workbook.EssayPanel("four_parents")
    >>> print(essay.questions[0].choices[2].printed)
    D
    >>> print(essay.answer(1, "D").said)
    From D up lie F♯, A and C: 4, 7 and 10 semitones, as in every dominant seventh.
    """

    title: ClassVar[str] = "an essay"

    def __init__(self, name: str = "four_parents") -> None:
        self._essay = read_essay(name)
        self._page = page_of(self._essay)

    @property
    def questions(self) -> tuple[Asked, ...]:
        """What it asks, in order."""
        return ask_all(self._essay)

    @property
    def sounds(self) -> tuple[tuple[Pitches, ...], ...]:
        """What can be heard, each chord after chord."""
        return tuple(self._page.sounds)

    def answer(self, number: int, choice: str) -> Verdict:
        """Return what is said of an answer.

        Parameters
        ----------
        number : int
            Which question, from 1.
        choice : str

        Returns
        -------
        Verdict

        Raises
        ------
        HarmonyError
            If there is no such question, or no such choice.
        """
        if not 1 <= number <= len(self.questions):
            raise HarmonyError(f"unknown question {number}", rule=f"1 to {len(self.questions)}")
        return self.questions[number - 1].judge(choice)

    def draw(self) -> Drawing:
        """Return a still picture of the first question.

        Returns
        -------
        Drawing
        """
        return still(self._essay.sections[0].asked, self._essay.instrument)

    def __repr__(self) -> str:
        return f"EssayPanel({self._essay.name!r})"

    def _make_view(self) -> EssayView:
        return EssayView(title=self._essay.title)

    def _show(self) -> None:
        self.view.show(essay=self._page.data)

    def _repr_mimebundle_(self, **asked: object) -> dict[str, Any]:
        """Return the live view, and the essay to be read where none is alive."""
        return {**super()._repr_mimebundle_(**asked), "text/html": written(self._essay)}
