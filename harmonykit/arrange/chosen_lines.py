"""The chords of an arrangement as lines to type, and the lines as what is demanded of another.

A line is a place and a chord: ``8@3 C#dim7`` is C♯dim7 in bar 8 on beat 3; without a beat it is
beat 1.  The chord lasts until the next line or the tune's next chord.  Of a bar that is played
several times a line holds each time, unless it says which: ``8@3 time 2 C#dim7``.  Where no line
stands, the tune's own chords do.
"""

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from harmonykit.arrange import demanded, revising
from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.arrange.told_changes import beat_said, passes_of
from harmonykit.arrange.wishes import Chosen, Demands
from harmonykit.errors import HarmonyError, need_text
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import as_chord
from harmonykit.theory.printed import NO_CHORD
from harmonykit.tune.bar import beat_length

_EXAMPLE = '"8@3 C#dim7"'
_LINE = re.compile(r"(\d{1,4})(?:@(\d{1,3}(?:[./]\d{1,3})?))?(?: +time +(\d{1,2}))? +(\S.*)")


def chosen_lines(way: Arrangement) -> tuple[str, ...]:
    """Return the chords of each place where an arrangement has others than its tune.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> from harmonykit.arrange.wishes import Wishes
    >>> full = Wishes(density="full")
    >>> (way,) = reharmonise("| C6 | Dm7 |", "ukulele", ["passing diminished"], 1, wishes=full)
    >>> chosen_lines(way)
    ('1@1 C6', '1@3 C#dim7')
    """
    tune, times = way.tune, passes_of(way.tune)
    found: dict[int, dict[int, list[tuple[str, str]]]] = {}
    for slot in slots_of(tune):
        stands = revising.standing(way, slot)
        if stands == demanded.written_in(slot):
            continue
        for chord, onset, _ in stands:
            bar = bisect_right(tune.playing, onset, key=lambda played: played.onset) - 1
            at = tune.playing[bar]
            beat = beat_said((onset - at.onset) / beat_length(at.bar.meter) + 1)
            line = f"{at.bar.number}@{beat}", str(chord or NO_CHORD)
            found.setdefault(at.bar.number, {}).setdefault(times[bar], []).append(line)
    return tuple(_as_typed(tune, found))


def _as_typed(tune: Tune, found: dict[int, dict[int, list[tuple[str, str]]]]) -> Iterator[str]:
    """Yield the lines of each bar, once where they are the same each time it is played."""
    for number, rows in found.items():
        most = sum(played.bar.number == number for played in tune.playing)
        first = next(iter(rows.values()))
        if len(rows) == most and all(row == first for row in rows.values()):
            yield from (f"{place} {chord}" for place, chord in first)
            continue
        for time, row in rows.items():
            yield from (f"{place} time {time} {chord}" for place, chord in row)


def read_chosen(lines: Iterable[str], tune: Tune) -> Demands:
    """Return the demands that lines make: these chords, and elsewhere the tune's own.

    Raises
    ------
    HarmonyError
        If a line has another form, or the tune has no such bar, beat or time.

    Examples
    --------
    >>> demands = read_chosen(["1@3 C#dim7"], Tune.parse("| C6 | Dm7 |"))
    >>> [" ".join(str(chord) for chord, *_ in row) for row in demands.wanted]
    ['C6 C#dim7', 'Dm7']
    """
    slots = slots_of(tune)
    found: dict[int, dict[Fraction, Chord | None]] = {}
    for line in lines:
        moments, chord = _read(need_text(line, "a chosen chord", _EXAMPLE), tune)
        for moment in moments:
            found.setdefault(demanded.slot_at(slots, moment), {})[moment] = chord
    wanted = (
        _filled(slot, found[place]) if place in found else demanded.written_in(slot)
        for place, slot in enumerate(slots)
    )
    return Demands(wanted=tuple(wanted))


def _read(line: str, tune: Tune) -> tuple[Sequence[Fraction], Chord | None]:
    """Return when a line's chord begins, each time that it does, and the chord."""
    typed = _LINE.fullmatch(line.strip())
    if typed is None:
        rule = "a bar, a beat and a chord"
        raise HarmonyError(f"{line!r} is not a chosen chord", rule=rule, mend=_EXAMPLE)
    number, beat, time = int(typed[1]), Fraction(typed[2] or 1), int(typed[3] or 0)
    times = passes_of(tune)
    bars = [
        played
        for played, which in zip(tune.playing, times, strict=True)
        if played.bar.number == number and time in (0, which)
    ]
    if not bars:
        said = f" a time {time}" if any(p.bar.number == number for p in tune.playing) else ""
        raise HarmonyError(
            f"{line!r}: {tune.title!r} has no bar {number}{said}", rule="bars bear printed numbers"
        )
    at = (beat - 1) * beat_length(bars[0].bar.meter)
    if not 0 <= at < bars[0].bar.length:
        raise HarmonyError(f"{line!r}: bar {number} has no beat {beat_said(beat)}")
    chord = None if typed[4] == NO_CHORD else as_chord(typed[4])
    return [played.onset + at for played in bars], chord


def _filled(slot: Slot, chords: dict[Fraction, Chord | None]) -> Chosen:
    """Return what fills a slot: its own chord until the first of those that are chosen."""
    starts = [(slot.onset, slot.chord)] if min(chords) > slot.onset else []
    starts += sorted(chords.items(), key=lambda each: each[0])
    ends = [*starts[1:], (slot.end, None)]
    return tuple(
        (chord, onset, end - onset) for (onset, chord), (end, _) in zip(starts, ends, strict=True)
    )
