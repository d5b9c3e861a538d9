"""What essays and the first screen have in common: the browser has all but the sounds.

It asks for a sound by its number, and keeps it: answers stay where a kernel is lost.
"""

from __future__ import annotations

from abc import abstractmethod
from typing import Generic, TypeVar

from harmonykit.errors import HarmonyError
from harmonykit.sound.chords import Clip, Pitches, sound_of
from harmonykit.workbook.base.live import Answers, Live, Said
from harmonykit.workbook.base.view import View

V = TypeVar("V", bound=View)


class Sounding(Live[V], Generic[V]):
    """Something whose sounds have numbers."""

    @property
    @abstractmethod
    def sounds(self) -> tuple[tuple[Pitches, ...], ...]:
        """What can be heard, each chord after chord."""

    def hear(self, place: int) -> Clip:
        """Return a sound as a WAV file.

        Parameters
        ----------
        place : int
            Which of its sounds, from 0.

        Returns
        -------
        Clip

        Raises
        ------
        HarmonyError
            If there is no such sound.

        Examples
        --------
        >>> hk.workbook.EssayPanel("four_parents").hear(0).seconds
        1.5
        >>> hk.workbook.StartPanel().hear(0).seconds
        3.3
        """
        if not 0 <= place < len(self.sounds):
            raise HarmonyError(f"unknown sound {place}", rule=f"0 to {len(self.sounds) - 1}")
        return sound_of(self.sounds[place])

    def _answers(self) -> Answers:
        return {"hear": self._play}

    def _play(self, said: Said) -> None:
        place = said.content["hear"]
        sound = self.hear(place if isinstance(place, int) else -1)
        self.view.hand(sound.wav, sound=sound.seconds, place=place)

    def _answered(self, _said: Said, refused: HarmonyError | None) -> None:
        if refused is not None:
            self.view.send({"trouble": str(refused).splitlines()[0]})
