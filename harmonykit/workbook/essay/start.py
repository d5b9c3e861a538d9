"""The first thing seen: a chord that becomes a dominant and resolves, four ways, to be heard.

The browser has every state; it steps from stop to stop by itself, in silence, until it is held.

Notebook: 00_start_here
"""

from __future__ import annotations

from functools import cache
from typing import Any, ClassVar

from harmonykit.draw.drawing import Drawing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.sound.chords import Pitches
from harmonykit.workbook.base.scene import MARK_ID, letters
from harmonykit.workbook.base.view import StartView
from harmonykit.workbook.essay import figure
from harmonykit.workbook.essay.page import both, still_html
from harmonykit.workbook.essay.sounding import Sounding
from harmonykit.workbook.essay.text import Moment, read_moment

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
        "mark": MARK_ID,
        "letters": letters(),
        "ways": [[_stop(moment, instrument) for moment in way] for way in ways()],
        "roads": [list(road) for road in ROADS],
        "sounds": [[list(chord) for chord in way] for way in sounds()],
    }


def _stop(moment: Moment, instrument: Instrument) -> dict[str, Any]:
    shown = figure.pictures(moment, instrument, short=True)
    return {**both(shown), "facts": shown.clock.facts, "name": moment.now.chord.unicode}


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
        picture = still_html(self.draw())
        roads = "".join(
            f'<p><a href="#{heading.replace(" ", "-")}"><b>{title}</b></a>: {said}</p>'
            for heading, title, said in ROADS
        )
        return {**super()._repr_mimebundle_(**asked), "text/html": picture + roads}
