"""Essays and the first screen in a notebook: they ask, one figure stays in view, chords are heard.

The browser has every state of an essay, and asks here for sound alone, by its number: what a reader
answered stays where a kernel is lost.  The first screen steps from stop to stop by itself, in
silence, until it is held.

Notebook: 00_start_here
Notebook: 02_four_parents
"""

from abc import abstractmethod
from functools import cache
from typing import Any, ClassVar, Generic, TypeVar

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.practice.question import Verdict
from harmonykit.sound.chords import Clip, Pitches, sound_of
from harmonykit.workbook.base import live, scene
from harmonykit.workbook.base.view import CodeView, EssayView, StartView, View
from harmonykit.workbook.essay import figure, page
from harmonykit.workbook.essay.asked import Asked, ask_all
from harmonykit.workbook.essay.figure import still
from harmonykit.workbook.essay.text import Moment, read_essay, read_moment

V = TypeVar("V", bound=View)


class Sounding(live.Live[V], Generic[V]):
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

    def _answers(self) -> live.Answers:
        return {"hear": self._play}

    def _play(self, said: live.Said) -> None:
        place = said.content["hear"]
        sound = self.hear(place if isinstance(place, int) else -1)
        self.view.hand(sound.wav, sound=sound.seconds, place=place)

    def _answered(self, _said: live.Said, refused: HarmonyError | None) -> None:
        if refused is not None:
            self.view.send({"trouble": str(refused).splitlines()[0]})


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
        self._page = page.page_of(self._essay)

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
        return {**super()._repr_mimebundle_(**asked), "text/html": page.written(self._essay)}


_INSTRUMENT = "ukulele"
_FIRST = "Adim7 2323"
_WAYS = (
    ("D7 2223", "G 0232"),
    ("F7 2313", "Bb 3211"),
    ("Ab7 1323", "Db 1114"),
    ("B7 2322", "E 1402"),
)
# A heading of the notebook, what is said there in a few words, and what one does.
ROADS = (
    ("If you teach", "I teach", "Make sheet, page and play-along for next week from one idea."),
    ("If you study alone", "I study", "Turn a chord, guess what happens, then answer questions."),
    ("If you arrange", "I arrange", "Put two versions of a tune side by side, and hear them."),
)


@cache
def ways() -> tuple[tuple[Moment, ...], ...]:
    """Return the four ways, each as three moments: the chord, its dominant, where that resolves.

    Examples
    --------
    >>> [[moment.now.chord.unicode for moment in way] for way in ways()][0]
    ['A°7', 'D7', 'G']
    """
    instrument = Instrument.named(_INSTRUMENT)
    rows = (
        (_FIRST, f"{dominant} after {_FIRST}", f"{goal} after {dominant}")
        for dominant, goal in _WAYS
    )
    return tuple(tuple(read_moment(text, instrument) for text in row) for row in rows)


@cache
def sounds() -> tuple[tuple[Pitches, ...], ...]:
    """Return what is heard of each way: its three chords."""
    return tuple(tuple(moment.now.pitches for moment in way) for way in ways())


@cache
def _data() -> dict[str, Any]:
    instrument = Instrument.named(_INSTRUMENT)
    return {
        "clock": figure.clock_scene().live(),
        "neck": figure.neck_scene(instrument, short=True).live(),
        "mark": scene.MARK_ID,
        "letters": scene.letters(),
        "ways": [[_stop(moment, instrument) for moment in way] for way in ways()],
        "roads": [list(road) for road in ROADS],
        "sounds": [[list(chord) for chord in way] for way in sounds()],
    }


def _stop(moment: Moment, instrument: Instrument) -> dict[str, Any]:
    shown = figure.pictures(moment, instrument, short=True)
    return {**page.both(shown), "facts": shown.clock.facts, "name": moment.now.chord.unicode}


class StartPanel(Sounding[StartView]):
    """A diminished seventh that becomes four dominants, which moves and sounds; and three roads on.

    Examples
    --------
    >>> panel = hk.workbook.StartPanel()
    >>> panel.hear(0).seconds
    3.3
    """

    title: ClassVar[str] = "one chord, four dominants"

    @property
    def sounds(self) -> tuple[tuple[Pitches, ...], ...]:
        """What can be heard: the three chords of each way."""
        return sounds()

    def draw(self) -> Drawing:
        """Return a still picture: the first dominant, with the note that fell.

        Returns
        -------
        Drawing
        """
        return figure.still(ways()[0][1], Instrument.named(_INSTRUMENT))

    def __repr__(self) -> str:
        return "StartPanel()"

    def _make_view(self) -> StartView:
        return StartView(title=self.title)

    def _show(self) -> None:
        self.view.show(start=_data())

    def _repr_mimebundle_(self, **asked: object) -> dict[str, Any]:
        """Return the live view, and what is seen and read where none is alive."""
        picture = page.still_html(self.draw())
        roads = "".join(
            f'<p><a href="#{heading.replace(" ", "-")}"><b>{title}</b></a>: {said}</p>'
            for heading, title, said in ROADS
        )
        return {**super()._repr_mimebundle_(**asked), "text/html": picture + roads}


_READ = (
    "<p>How this is computed stands folded above each result. To read it, choose "
    "<em>View</em>, then <em>Expand All Code</em>.</p>"
)
_WORDS = "how this is computed: View, Expand All Code"


class CodeSwitch:
    """A button, "how this is computed", that opens and folds the code of the notebook it stands in.

    Examples
    --------
    >>> hk.workbook.CodeSwitch()
    CodeSwitch()
    """

    def __init__(self) -> None:
        self._view: CodeView | None = None

    @property
    def view(self) -> CodeView:
        """The live view, made when it is first asked for."""
        if self._view is None:
            self._view = CodeView(title="how this is computed")
        return self._view

    def __repr__(self) -> str:
        return "CodeSwitch()"

    def _repr_mimebundle_(self, **_asked: object) -> dict[str, Any]:
        """Return the button, and what is read where nothing is alive."""
        return {**self.view.as_mime(), "text/html": _READ, "text/plain": _WORDS}
