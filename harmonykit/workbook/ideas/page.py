"""The page of ideas as pure functions: what is asked, and the findings as HTML and a picture."""

import re
import textwrap
from collections.abc import Iterator, Sequence
from html import escape

from harmonykit.draw.base.canvas import LABEL_PT, NAME_PT, Canvas, Drawing
from harmonykit.draw.base.fonts import SEMIBOLD
from harmonykit.draw.sets.clock import draw_clock
from harmonykit.draw.shapes.box import draw_box
from harmonykit.errors import HarmonyError, attempt
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.fretboard.strings.shipped import names as instrument_names
from harmonykit.ideas.finding import Finding
from harmonykit.ideas.source import as_source
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune
from harmonykit.sound.chords import Pitches, close_pitches
from harmonykit.theory.chord import Chord
from harmonykit.theory.naming import exact_names
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted
from harmonykit.workbook.base.scene import Control

MOST = 30
_MOST_SPOTS, _MOST_SHAPES = 12, 8
CHOOSE = "finding-"
_FRETS = re.compile(r"\b[\dx]+(?:-[\dx]+){2,}\b")


def list_html(findings: Sequence[Finding], chosen: int) -> str:
    """Return the findings as a list of buttons, the most useful first."""
    items = [
        f'<li><button type="button" data-press="{CHOOSE}{n}" '
        f'aria-pressed="{str(n == chosen).lower()}"><i>{n + 1}</i>'
        f"<span>{_written(each.statement)}</span></button></li>"
        for n, each in enumerate(findings[:MOST])
    ]
    return f"<ol>{''.join(items)}</ol>" if items else ""


def shown_html(finding: Finding, neck: Instrument) -> str:
    """Return all that is known of a finding: proof, near miss, shapes, sound and places."""
    rows = [(name, _written(said)) for name, said in _told(finding) if said]
    facts = "".join(f"<dt>{name}</dt><dd>{said}</dd>" for name, said in rows)
    drawn = "".join(
        f"<figure>{each.for_page(f'@own@{n}-')}</figure>"
        for n, each in enumerate(figures(finding, neck))
    )
    return (
        f"<h4>{_written(finding.statement)}</h4>"
        f'<div class="hk-shapes" tabindex="0" role="group" aria-label="On the strings">{drawn}'
        f"</div><dl>{facts}</dl>{_places_html(finding)}"
    )


def _written(said: str) -> str:
    """Return words as HTML in which fret numbers stay on one line."""
    return _FRETS.sub(r'<span class="hk-frets">\g<0></span>', escape(said))


def _told(finding: Finding) -> Iterator[tuple[str, str]]:
    ease = finding.ease
    yield "Proof", finding.proof
    yield "Not so", finding.near_miss
    yield "Hear", finding.hearing.said
    if ease.shapes:
        grips = counted(ease.new_grips, "new grip")
        fingers = f"{counted(ease.fingers_moved, 'finger')} moved"
        yield "Learn", f"{grips}, {fingers} at most"
    yield "Heard", finding.heard
    if finding.rarity:
        yield "Rare", f"true of {finding.rarity} of 224 set classes"


def _places_html(finding: Finding) -> str:
    if not finding.spots:
        return '<p class="hk-note">No place for it in these tunes.</p>'
    shown = "".join(f"<li>{escape(str(spot))}</li>" for spot in finding.spots[:_MOST_SPOTS])
    more = len(finding.spots) - _MOST_SPOTS
    rest = f'<p class="hk-note">{more} more.</p>' if more > 0 else ""
    return f"<h5>Where it fits</h5><ul>{shown}</ul>{rest}"


def shapes_of(finding: Finding, neck: Instrument) -> tuple[tuple[Voicing, Chord | None], ...]:
    """Return the finding's shapes with their chords, in playing order."""
    source = _chord(finding)
    found = []
    for digits in finding.ease.shapes[:_MOST_SHAPES]:
        shape = Voicing.parse(digits, neck)
        names = exact_names(shape.pcs, near=source)
        own = [name for name in names if source is not None and name == source]
        wanted = [name for name in names if name.symbol in finding.teach.target.split()]
        found.append((shape, next(iter([*own, *wanted, *names]), None)))
    return tuple(found)


def _chord(finding: Finding) -> Chord | None:
    source = attempt(as_source, finding.teach.source, None)
    return source.chord if source else None


def figures(finding: Finding, neck: Instrument) -> list[Drawing]:
    """Return the finding on the strings; on the clock where it has no shapes."""
    shapes = shapes_of(finding, neck)
    if not shapes:
        source = as_source(finding.teach.source, None)
        return [draw_clock(source.chord if source.chord is not None else source.pcs)]
    (first, chord), *others = shapes
    plain = draw_box(first, chord, name=None if chord else "")
    return [
        plain,
        *(draw_box(each, name, name=None if name else "", was=first) for each, name in others),
    ]


def chords_of(finding: Finding, neck: Instrument) -> tuple[Pitches, ...]:
    """Return what a finding sounds: its shapes, each change from the first; else its notes."""
    shapes = [shape for shape, _ in shapes_of(finding, neck)]
    if not shapes:
        return (close_pitches(list(as_source(finding.teach.source, None).pcs)),)
    first, *others = ([p for p in each.midi if p is not None] for each in shapes)
    row = [each for other in others for each in (first, other)] or [first]
    return tuple(tuple(pitches) for pitches in row)


_WIDE_MM, _LINE_MM, _TOP_MM, _LEFT_MM = 152.0, 4.6, 12.0, 2.0
_LETTERS, _STILL = 92, 10


def draw_list(findings: Sequence[Finding], title: str) -> Drawing:
    """Return a still picture of the first ten findings."""
    rows = [textwrap.wrap(each.statement, _LETTERS) for each in findings[:_STILL]]
    lines = sum(map(len, rows)) + 0.4 * len(rows)
    canvas = Canvas(_WIDE_MM, _TOP_MM + _LINE_MM * max(lines, 1.0))
    canvas.text(_LEFT_MM, 6, title, NAME_PT, weight=SEMIBOLD, anchor="left")
    y = _TOP_MM
    for number, row in enumerate(rows, 1):
        canvas.text(_LEFT_MM + 5, y, str(number), LABEL_PT, weight=SEMIBOLD, anchor="right")
        for line in row:
            canvas.text(_LEFT_MM + 7, y, line, LABEL_PT, anchor="left")
            y += _LINE_MM
        y += 0.4 * _LINE_MM
    said = "; ".join(f"{n}: {each.statement}" for n, each in enumerate(findings[:_STILL], 1))
    return canvas.drawing("ideas", f"{title}. {said}")


FIND, DRAFT = "find", "draft"
SUGGESTED = (
    "dim7", "aug", "7", "m7b5", "m6", "6", "sus4", "7b5", "whole tone", "half-whole",
    "C major", "0 1 4 6", "2-3-2-3",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class IdeasState:
    """What is asked.

    Parameters
    ----------
    source : str
        A chord, a kind of chord, a scale, notes or a shape.
    instrument : str
    tunes : str
        Names of shipped tunes, or paths, with commas between them.
    chosen : int
        Which finding is looked at, counted from 0.
    """

    source: str = "dim7"
    instrument: str = "ukulele"
    tunes: str = "heron_landing"
    chosen: int = 0

    @property
    def asked(self) -> tuple[str, str, str]:
        """All that the findings follow from."""
        return self.source, self.instrument, self.tunes

    @property
    def neck(self) -> Instrument:
        """The instrument."""
        return Instrument.named(self.instrument)

    @property
    def tune_names(self) -> tuple[str, ...]:
        """The tunes as they were typed.

        Examples
        --------
        >>> IdeasState(tunes="heron_landing, reel.abc").tune_names
        ('heron_landing', 'reel.abc')
        """
        return tuple(name for each in self.tunes.split(",") if (name := each.strip()))

    def read_tunes(self) -> list[Tune]:
        """Return the tunes.

        Raises
        ------
        HarmonyError
            If one cannot be read.
        """
        return [read_tune(find_data("tunes", name)) for name in self.tune_names]


def controls(state: IdeasState, *, busy: bool, found: bool) -> tuple[dict[str, object], ...]:
    """Return the controls as the browser reads them."""
    line = Control("source", "text", "Chord, scale, notes or shape", state.source, enter=FIND)
    neck = Control("instrument", "choice", "Instrument", state.instrument, instrument_names())
    tunes = Control("tunes", "text", "Tunes, separated by commas", state.tunes, enter=FIND)
    lesson = Control(DRAFT, "button", "Draft a lesson")
    hint = "Write an idea file, and the draft of a lesson on the first tune it fits, beside this"
    return (
        {**line.as_dict(), "row": "ask", "suggested": list(SUGGESTED)},
        {**neck.as_dict(), "row": "ask"},
        {**tunes.as_dict(), "row": "ask", "suggested": list(shipped("tunes"))},
        {**Control(FIND, "button", "Find ideas").as_dict(), "row": "ask", "off": False},
        {**Control("hear", "button", "Hear it").as_dict(), "row": "do", "off": not found},
        {**lesson.as_dict(), "row": "do", "off": busy or not found, "hint": hint},
    )


def with_value(state: IdeasState, control: str, value: str) -> IdeasState:
    """Return the state with a line or a choice set.

    Raises
    ------
    HarmonyError
        If a line is far too long.
    """
    if len(value) > 400:
        raise HarmonyError(
            "the line is longer than 400 characters", mend="a chord, a scale or notes"
        )
    return replace(state, **{control: value.strip()})  # type: ignore[arg-type]
