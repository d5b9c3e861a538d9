"""Bars from typed text, as our form plays them, as music21 does, and as a slow reader does."""

from __future__ import annotations

from harmonykit.errors import Place
from harmonykit.tune.bar import Bar
from harmonykit.tune.form import Form, Section
from harmonykit.tune.text.changes import read_changes


def bars(text: str) -> tuple[Bar, ...]:
    return read_changes(text, (4, 4), lambda index: Place())[0]


def turns(written: tuple[Bar, ...]) -> list[Bar]:
    """Return bars of one section in playing order, by our own form."""
    return [written[turn.bar] for turn in Form.of([Section("A", written)]).turns]


def played(text: str) -> str:
    """Return the chords of a text in playing order, by our own unfolding."""
    return " ".join(c.chord.symbol for bar in turns(bars(text)) for c in bar.changes)


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
            number = ",".join(map(str, written.ending))
            part.insert(0, spanner.RepeatBracket(measure, number=number))
    return " ".join(n.name.replace("-", "b") for n in part.expandRepeats().recurse().notes)


def stepped(written: tuple[Bar, ...]) -> list[int]:
    """Return the places of bars in playing order, as a reader with a finger on the page finds them.

    No spans: each step looks around from the bar itself.  Endings, jumps and repeats by the rules
    of ``harmonykit.tune.order`` and ``order``; for bars of one section, all of them whole.
    """
    order: list[int] = []
    here, went_back, jumped, minds = 0, dict[int, int](), False, ""
    while here < len(written):
        bar = written[here]
        time = _last_pass(written, here) if jumped else went_back.get(_start(written, here), 0) + 1
        if not bar.ending or time in bar.ending:
            order.append(here)
            if "fine" in bar.signs and minds and "coda" not in minds:
                return order
            if "to coda" in bar.signs and minds and "fine" not in minds:
                here = next(n for n in range(here + 1, len(written)) if "coda" in written[n].signs)
                jumped, minds, went_back = False, "", {}
                continue
            if bar.jump and not jumped and time == _last_pass(written, here):
                jumped, minds, here = True, bar.jump, _goal(written, here)
                continue
        ends = here + 1 == len(written) or _start(written, here + 1) != _start(written, here)
        if ends and not jumped and time < _last_pass(written, here):
            went_back[_start(written, here)] = time
            here = _start(written, here)
        else:
            here += 1
    return order


def _start(written: tuple[Bar, ...], here: int) -> int:
    """Return where the part begins that a bar belongs to, looking back."""
    while here > 0:
        bar, before = written[here], written[here - 1]
        if bar.opens or "coda" in bar.signs or (before.closes and not bar.ending):
            return here
        if before.ending and not bar.ending:
            return here
        here -= 1
    return 0


def _last_pass(written: tuple[Bar, ...], here: int) -> int:
    """Return how often the part is played that a bar belongs to, looking over all of it."""
    start = _start(written, here)
    part = [bar for n, bar in enumerate(written) if _start(written, n) == start]
    numbers = [number for bar in part for number in bar.ending]
    if len({bar.ending for bar in part if bar.ending}) == 1 and part[-1].closes:
        return max(*numbers, part[-1].closes - 1) + 1
    return max(numbers) if numbers else max(part[-1].closes, 1)


def _goal(written: tuple[Bar, ...], here: int) -> int:
    if written[here].jump.startswith("D.C."):
        return 0
    return max(n for n in range(here + 1) if "segno" in written[n].signs)
