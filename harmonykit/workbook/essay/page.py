"""An essay as what a page needs: every state of it worked out beforehand, and how it is read alone.

A question has a few choices, so all that a reader can come to is known before.  A page needs no
kernel to ask, to judge and to show: only sound is made when it is asked for.
"""

import base64
from collections.abc import Iterator
from functools import cache
from html import escape
from typing import Any

from harmonykit.draw.base.colours import PALETTES
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.svg import path_data, write_svg
from harmonykit.sound.chords import Pitches
from harmonykit.theory.chord import Chord, Note
from harmonykit.workbook.base.scene import MARK_ID, Shown, letters
from harmonykit.workbook.essay import figure, truths
from harmonykit.workbook.essay.asked import CHORDS, NOTES, Asked, Choice, ask_all
from harmonykit.workbook.essay.figure import Pictures
from harmonykit.workbook.essay.text import EssayText, Moment, Played, parts_of

_RIGHT = "right"


class Page:
    """An essay, made ready for a page.

    Parameters
    ----------
    essay : EssayText

    Attributes
    ----------
    sounds : tuple of tuple of tuple of int
        What can be heard: chords after one another, as MIDI numbers.  A button names its place.
    data : dict
        All that the page shows, as JSON can hold it.
    """

    def __init__(self, essay: EssayText) -> None:
        self.essay = essay
        self._sounds: dict[tuple[Pitches, ...], int] = {}
        asked = ask_all(essay)
        self.data: dict[str, Any] = {
            "name": essay.name,
            "title": essay.title,
            "clock": figure.clock_scene().live(),
            "neck": figure.neck_scene(essay.instrument).live(),
            "mark": MARK_ID,
            "letters": letters(),
            "sections": [self._section(each) for each in asked],
            "end": self._paragraphs(essay.end),
        }
        self.data["sounds"] = [[list(chord) for chord in each] for each in self._sounds]

    @property
    def sounds(self) -> tuple[tuple[Pitches, ...], ...]:
        """What can be heard."""
        return tuple(self._sounds)

    def _section(self, asked: Asked) -> dict[str, Any]:
        section, instrument = asked.section, self.essay.instrument
        right = asked.right
        word = "root" if asked.question.spec.kind == "root" else _RIGHT
        return {
            "heading": section.heading,
            "text": self._paragraphs(section.text),
            "choices": [self._choice(asked, each) for each in asked.choices],
            "right": asked.choices.index(right),
            "word": word,
            "side": "neck" if asked.question.spec.kind in truths.OF_STRINGS else "clock",
            "asked": self._moment(section.asked),
            "told": self._moment(section.told),
            "truth": both(figure.beside(self._told_parts(asked), word, instrument, guess=False)),
            "reason": self._paragraphs(section.reason),
            "then": self._paragraphs(section.then),
            "code": section.code.strip(),
            "prints": section.prints.strip(),
        }

    def _told_parts(self, asked: Asked) -> tuple[str, ...]:
        """Return where the truth stands once it is told."""
        if asked.question.form != NOTES:
            return ()
        pc = Note.parse(asked.right.typed).pitch_class
        on = pc in asked.section.told.now.chord.pcs
        return figure.parts_for(pc, asked.section.told, self.essay.instrument) if on else ()

    def _choice(self, asked: Asked, choice: Choice) -> dict[str, Any]:
        wrong = choice is not asked.right
        told = () if asked.question.form != NOTES else _guessed(asked, choice, self.essay)
        beside = figure.beside(told, figure.YOU, self.essay.instrument, guess=True)
        return {
            "text": choice.printed,
            "parts": list(choice.parts),
            "said": self._paragraphs(asked.section.said_of(choice.typed)) if wrong else [],
            "beside": both(beside),
            "hear": self._heard(asked, choice),
        }

    def _heard(self, asked: Asked, choice: Choice) -> list[str | int] | None:
        """Return the chord that a choice is, or the dominant on it, to be heard."""
        kind = asked.question.spec.kind
        if asked.question.form != CHORDS and kind != "root":
            return None
        symbol = f"{choice.typed}7" if kind == "root" else choice.typed
        told = asked.section.told.now
        known = told.chord.symbol == symbol and told.shape is not None
        played = told if known else Played(Chord.parse(symbol))
        return [played.chord.unicode, self._sound((played.pitches,))]

    def _moment(self, moment: Moment) -> dict[str, Any]:
        """Return a moment as it is shown, with the buttons by which it is heard."""
        shown = figure.pictures(moment, self.essay.instrument)
        now, was = moment.now, moment.was
        buttons: list[tuple[str, tuple[Pitches, ...]]] = []
        if was:
            buttons.append((_name(was, named=True), (was.pitches,)))
        buttons.append((_name(now, named=moment.named), (now.pitches,)))
        if was:
            buttons.append(("one, then the other", (was.pitches, now.pitches)))
        hear = [[label, self._sound(chords)] for label, chords in buttons]
        return {**both(shown), "facts": shown.clock.facts, "hear": hear}

    def _sound(self, chords: tuple[Pitches, ...]) -> int:
        return self._sounds.setdefault(chords, len(self._sounds))

    def _paragraphs(self, text: str) -> list[str]:
        """Return paragraphs as HTML, with each chord a button by which it is heard."""
        return ["".join(self._inline(each)) for each in _split(text)]

    def _inline(self, paragraph: str) -> Iterator[str]:
        for part in parts_of(paragraph, self.essay.instrument):
            if isinstance(part, str):
                yield marked(part)
            else:
                place = self._sound((part.pitches,))
                label = escape(part.chord.unicode)
                yield (
                    f'<button type="button" class="hk-chord" data-hear="{place}"'
                    f' aria-label="hear {label}">{label}</button>'
                )


def _split(text: str) -> list[str]:
    return [" ".join(each.split()) for each in text.strip().split("\n\n") if each.strip()]


def _guessed(asked: Asked, choice: Choice, essay: EssayText) -> tuple[str, ...]:
    """Return where a guess stands once the truth is told."""
    pc = Note.parse(choice.typed).pitch_class
    return figure.parts_for(pc, asked.section.told, essay.instrument)


def _name(played: Played, *, named: bool) -> str:
    return played.chord.unicode if named else "the new chord"


def both(shown: Pictures) -> dict[str, Any]:
    """Return what clock and neck show, as JSON can hold it."""
    return {"clock": _sent(shown.clock), "neck": _sent(shown.neck)}


def _sent(shown: Shown) -> dict[str, Any]:
    return {
        "looks": {
            part: list(look)
            for part, look in shown.looks.items()
            if look.name or look.text or look.at
        },
        "lines": {line: path_data(course) for line, course in shown.lines.items()},
    }


def marked(text: str) -> str:
    """Return text as HTML: stress between stars, code between backticks.

    Examples
    --------
    >>> marked("a *root*, as in `x < 1`")
    'a <em>root</em>, as in <code>x &lt; 1</code>'
    """
    found = []
    for place, part in enumerate(text.split("`")):
        safe = escape(part, quote=False)
        if place % 2:
            found.append(f"<code>{safe}</code>")
            continue
        for turn, piece in enumerate(safe.split("*")):
            found.append(f"<em>{piece}</em>" if turn % 2 else piece)
    return "".join(found)


@cache
def page_of(essay: EssayText) -> Page:
    """Return an essay made ready for a page."""
    return Page(essay)


def written(essay: EssayText) -> str:
    """Return an essay as HTML that is read alone: the answers are folded until they are opened.

    It holds neither scripts nor styles, so that it is shown in a notebook that is not trusted.
    """
    return "\n".join([_picture(essay.sections[0].asked, essay), *_told(essay)])


def _told(essay: EssayText) -> Iterator[str]:
    for asked in ask_all(essay):
        section = asked.section
        yield f"<h2>{escape(section.heading)}</h2>"
        yield from _plain(section.text, essay)
        choices = ", ".join(each.printed for each in asked.choices)
        yield f"<p>Choose: {escape(choices)}.</p>"
        yield f"<details><summary>The answer: {escape(section.heading)}</summary>"
        yield f"<p><b>{escape(asked.right.printed)}.</b></p>"
        yield _picture(section.told, essay)
        yield from _plain(section.reason, essay)
        yield from _plain(section.then, essay)
        yield "</details>"
    yield from _plain(essay.end, essay)


def _plain(text: str, essay: EssayText) -> Iterator[str]:
    for paragraph in _split(text):
        parts = parts_of(paragraph, essay.instrument)
        inside = (
            marked(part) if isinstance(part, str) else f"<b>{escape(part.chord.unicode)}</b>"
            for part in parts
        )
        yield f"<p>{''.join(inside)}</p>"


def _picture(moment: Moment, essay: EssayText) -> str:
    return still_html(figure.still(moment, essay.instrument))


def still_html(drawing: Drawing) -> str:
    """Return a picture that stands in a notebook, on paper of its own: the notebook may be dark."""
    tokens = PALETTES["colour"].tokens
    svg = write_svg(drawing.sheet, tokens, looks=[("style", f"background:{tokens['paper']}")])
    data = base64.b64encode(svg.encode()).decode("ascii")
    return f'<p><img alt="{escape(drawing.alt)}" src="data:image/svg+xml;base64,{data}"></p>'
