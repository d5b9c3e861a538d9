"""A progression and all about a chord as they show themselves: pictures and tables.

What they are made of stands on a later floor: here is said what of it is needed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from html import escape
from typing import Protocol

from harmonykit.draw.base import fonts, given
from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SCREEN_MM, Canvas, Drawing
from harmonykit.draw.chart import Chart, ChartBar, chart_height, lay_chart
from harmonykit.draw.values import notes, tunes
from harmonykit.evidence.heard import FEWEST, WHAT
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.diminished import Move
from harmonykit.tune.analysis.surprise import Surprise
from harmonykit.tune.tune import Tune
from harmonykit.words.numbers import counted, join_words

_MOST_BARS, _MOST_CHANGES = 32, 24
_LEFT_MM, _GAP_MM, _LINE_MM = 4.0, 4.0, 5.2
_LABEL = 12


class Changing(Protocol):
    """A change from one chord to the next."""

    @property
    def before(self) -> Chord:
        """The chord that is left."""

    @property
    def after(self) -> Chord:
        """The chord that follows."""

    @property
    def moves(self) -> tuple[Move, ...]:
        """The voices that move."""

    @property
    def common_tones(self) -> tuple[Note, ...]:
        """The notes that stay."""


class ChordRow(Protocol):
    """A row of chords in a key."""

    @property
    def tune(self) -> Tune:
        """The chords in time."""

    @property
    def chords(self) -> tuple[Chord, ...]:
        """The chords in a row."""

    @property
    def numerals(self) -> tuple[str, ...]:
        """The numeral of each chord."""

    @property
    def changes(self) -> Sequence[Changing]:
        """From each chord to the next."""

    @property
    def surprise(self) -> Surprise:
        """How surprising each change is."""


class AboutOne(Protocol):
    """All about a chord, which its text tells."""

    @property
    def chord(self) -> Chord:
        """The chord."""


def show_progression(row: ChordRow) -> Drawing:
    """Draw a progression: its bars with numerals, and what moves from chord to chord."""
    bars = tuple(_numbered(row))
    left = len(bars) - _MOST_BARS
    chart = Chart(
        row.tune.key.unicode,
        f"{counted(len(row.chords), 'chord')}, numerals below",
        bars[:_MOST_BARS],
        _unseen(left, "more bar"),
        last=left <= 0,
    )
    changes = list(dict.fromkeys(_change(change) for change in row.changes))
    shown = changes[:_MOST_CHANGES]
    unseen = len(changes) - len(shown)
    top = chart_height(chart)
    canvas = Canvas(SCREEN_MM, top + _GAP_MM + _LINE_MM * (len(shown) + (unseen > 0)))
    lay_chart(canvas, chart)
    wide = max((fonts.text_width(name, LABEL_PT, fonts.SEMIBOLD) for name, _ in shown), default=0.0)
    for n, (name, told) in enumerate(shown, 1):
        y = top + _LINE_MM * n
        canvas.text(_LEFT_MM, y, name, LABEL_PT, weight=fonts.SEMIBOLD, anchor="left")
        canvas.text(_LEFT_MM + wide + _GAP_MM, y, told, NOTE_PT, anchor="left")
    more = _unseen(unseen, "more change")
    if more:
        y = top + _LINE_MM * (len(shown) + 1)
        canvas.text(_LEFT_MM, y, more, NOTE_PT, colour="soft", anchor="left")
    pairs = zip(row.chords, row.numerals, strict=True)
    said = ", ".join(f"{given.spoken_symbol(chord.unicode)}, {numeral}" for chord, numeral in pairs)
    moved = ". ".join([*(f"{name}: {told}" for name, told in shown), *filter(None, [more])])
    return canvas.drawing(
        "progression", f"A progression in {row.tune.key.unicode}: {said}. {moved}"
    )


def _unseen(count: int, what: str) -> str:
    """Return how many there are beyond those shown; nothing where none is left."""
    return f"{counted(count, what)} {'is' if count == 1 else 'are'} not shown." if count > 0 else ""


def _numbered(row: ChordRow) -> Iterator[ChartBar]:
    numerals = iter(row.numerals)
    for bar in tunes.written(row.tune):
        cells = tuple(
            cell if cell.silent else replace(cell, below=next(numerals)) for cell in bar.cells
        )
        yield replace(bar, cells=cells, section="")


def _change(change: Changing) -> tuple[str, str]:
    kept = [note.unicode for note in change.common_tones]
    parts = [", ".join(map(str, change.moves)) or "nothing moves"]
    if kept:
        parts.append(f"{join_words(kept)} stay{'' if len(kept) > 1 else 's'}")
    return f"{change.before.unicode} – {change.after.unicode}", "; ".join(parts)


def table_of_changes(row: ChordRow) -> str:
    """Return how surprising each change of a progression is as an HTML table."""
    found, chords = row.surprise, row.chords
    if not found.changes:
        return ""
    rows = [
        (
            f"{chords[each.index - 1].unicode} – {each.chord.unicode}",
            f"{each.bits:.1f}",
            f"{each.often.times:,}" if each.often.tunes else "–",
            str(each.often.tunes or "–"),
            each.often.uncounted or each.often.counted_as,
        )
        for each in found.changes[:_MOST_CHANGES]
    ]
    of = found.changes[0].often
    heads = ("change", "bits", "times", f"of {of.of} {WHAT[of.style]}", "counted as")
    table = tunes.html_table(heads, rows)
    left = len(found.changes) - len(rows)
    more = f" {_unseen(left, 'more change')}" if left > 0 else ""
    dash = f" A dash: fewer than {FEWEST} tunes." if any(row[2] == "–" for row in rows) else ""
    return f"{table}\n<p>Surprise: {escape(found.words)}.{more}{dash}</p>"


def show_about(about: AboutOne) -> Drawing:
    """Draw the chord that all is told about."""
    return notes.show_chord(about.chord)


def table_about(about: AboutOne) -> str:
    """Return what is told of a chord as an HTML table: what it is about, and what is said."""
    rows: list[list[str]] = []
    for line in str(about).splitlines()[1:]:
        label, told = line[:_LABEL].strip(), line[_LABEL:].strip()
        if line.startswith(" " * _LABEL) and rows:
            # A word with a hyphen may be broken there.
            rows[-1][1] += told if rows[-1][1].endswith("-") else f" {told}"
        elif line.strip():
            fits = len(line) <= _LABEL or line[_LABEL - 1] == " "
            rows.append([label, told] if fits else ["", line.strip()])
    return tunes.html_table(("", about.chord.unicode), rows)
