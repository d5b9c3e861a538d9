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
from harmonykit.sound.chords import Pitches, Sound, sound_of
from harmonykit.workbook.base.live import Answers, Live, Said
from harmonykit.workbook.base.view import EssayView
from harmonykit.workbook.essay.asked import Asked, ask_all
from harmonykit.workbook.essay.figure import still
from harmonykit.workbook.essay.page import page_of, written
from harmonykit.workbook.essay.text import read_essay


class EssayPanel(Live[EssayView]):
    """An essay that asks before it answers.

    Parameters
    ----------
    name : {"three_sevenths", "four_parents", "alternating_scales"}

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

    def hear(self, place: int) -> Sound:
        """Return a sound of the essay, as a WAV file.

        Parameters
        ----------
        place : int
            Which of its sounds, from 0.

        Returns
        -------
        Sound

        Raises
        ------
        HarmonyError
            If there is no such sound.

        Examples
        --------
        >>> hk.workbook.EssayPanel("four_parents").hear(0).seconds
        1.5
        """
        if not 0 <= place < len(self._page.sounds):
            raise HarmonyError(f"unknown sound {place}", rule=f"0 to {len(self._page.sounds) - 1}")
        return sound_of(self._page.sounds[place])

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

    def _answers(self) -> Answers:
        return {"hear": self._play}

    def _play(self, said: Said) -> None:
        place = said.content["hear"]
        sound = self.hear(place if isinstance(place, int) else -1)
        self.view.hand(sound.wav, sound=sound.seconds, place=place)

    def _answered(self, _said: Said, refused: HarmonyError | None) -> None:
        if refused is not None:
            self.view.send({"trouble": str(refused).splitlines()[0]})

    def _repr_mimebundle_(self, **asked: object) -> dict[str, Any]:
        """Return the live view, and the essay to be read where none is alive."""
        return {**super()._repr_mimebundle_(**asked), "text/html": written(self._essay)}
