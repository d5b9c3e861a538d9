"""Bars from typed text, as we unfold them and as music21 does."""

from __future__ import annotations

from harmonykit.errors import Place
from harmonykit.tune.bar import Bar
from harmonykit.tune.text.changes import read_changes
from harmonykit.tune.unfold import unfold


def bars(text: str) -> tuple[Bar, ...]:
    return read_changes(text, (4, 4), lambda index: Place())[0]


def played(text: str) -> str:
    """Return the chords of a text in playing order, by our own unfolding."""
    return " ".join(c.chord.symbol for bar in unfold(bars(text)) for c in bar.changes)


def expanded(text: str) -> str:
    """Return the chords of a text in playing order, by music21's; a chord is its root's name."""
    from music21 import bar as m21_bar
    from music21 import note, repeat, spanner, stream

    signs = {
        "segno": repeat.Segno, "coda": repeat.Coda, "to coda": repeat.Coda, "fine": repeat.Fine,
        "D.C. al fine": repeat.DaCapoAlFine, "D.C. al coda": repeat.DaCapoAlCoda,
        "D.S. al fine": repeat.DalSegnoAlFine, "D.S. al coda": repeat.DalSegnoAlCoda,
    }  # fmt: skip
    part = stream.Part()
    for written in bars(text):
        measure = stream.Measure()
        measure.append(note.Note(written.changes[0].chord.symbol, quarterLength=4))
        for sign in written.signs:
            measure.insert(0 if sign in ("segno", "coda") else 4, signs[sign]())
        if written.opens:
            measure.leftBarline = m21_bar.Repeat(direction="start")
        if written.closes:
            measure.rightBarline = m21_bar.Repeat(direction="end", times=written.closes)
        part.append(measure)
        if written.ending:
            part.insert(0, spanner.RepeatBracket(measure, number=written.ending[0]))
    return " ".join(n.name for n in part.expandRepeats().recurse().notes)
