"""Where the phrases of a tune end, by the music, and the cadences at their ends.

Conventions.  A *stretch* is what is played of one section without going back: a section, each round
of a repeated part, an ending with what leads to it.  Inside a stretch the bars are cut so that
phrases have four bars where nothing speaks against it.  What speaks for a cut after a bar: the
melody rests or holds a long note there, a tonic chord arrives.  What speaks against it: the melody
runs on over the bar line.  Prices say how much (common practice, no source); the cheapest cut
counts, of equal ones that with the first phrase nearest to four bars.

A pick-up belongs to the phrase that it leads into.  Phrases that are set in a section are taken as
they are.

What the last two chords of a phrase are tells its cadence.  A tonic that a dominant brings in the
last two bars is the arrival even where a turnaround leads on, or where the tonic is prolonged; a
phrase whose last bar is the dominant ends on it (common practice, no source).

A phrase may close in *another key*: in the relative one on its tonic, or on its dominant where that
tonic comes next; in a key whose tonic chord is not of the tune's own where ii and V bring it.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cache, lru_cache
from itertools import pairwise
from statistics import median

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key, falls_a_fifth
from harmonykit.tune.analysis.key_finding import is_tonic, key_pcs
from harmonykit.tune.form import INTRO, count_bars
from harmonykit.tune.tune import Change, PlayedBar, Sung, Tune, beat_length
from harmonykit.values import dataclass

PHRASE_BARS = 4
SET, SECTION, REST, LONG_NOTE, TONIC, FOUR = (
    "set in the tune", "the section ends", "the melody rests", "a long note", "the tonic arrives",
    "four bars",
)  # fmt: skip
# What a phrase of so many bars costs; what a cut after a bar costs by what the melody does there.
_LENGTHS = {1: 8, 2: 4, 3: 3, 4: 0, 5: 3, 6: 5, 7: 7, 8: 6}
_RESTS, _HOLDS, _RUNS, _ARRIVES = -3, -3, 2, -1
# A note is long from so many times the usual distance of notes, and from so many beats.
_LONG_TIMES, _LONG_BEATS = 2, 2


@dataclass(frozen=True, slots=True)
class Stretch:
    """Bars in playing order that make a phrase, from ``first`` to ``last``, counted from 0."""

    first: int
    last: int
    why: str


@lru_cache(maxsize=32)
def phrase_spans(tune: Tune) -> tuple[Stretch, ...]:
    """Return the phrases of a tune as bars in playing order, without a gap.

    Examples
    --------
    >>> tune = Tune.parse("| C | F | G7 | C | Am | Dm | G7 | C |")
    >>> [(span.first, span.last) for span in phrase_spans(tune)]
    [(0, 3), (4, 7)]
    """
    playing, numbers = tune.playing, tune.numbers
    heard = _Heard(tune, playing)
    firsts = _set_firsts(tune)
    given = {section.name for section in tune.sections if section.phrases}
    found: list[Stretch] = []
    for bars in _stretches(playing, numbers):
        units = list(_units(bars, numbers))
        if playing[bars[-1]].section in given:
            cuts = _as_set(units, playing, firsts)
        else:
            cuts = _by_music(units, heard)
        found += (Stretch(a, b, why) for a, b, why in cuts)
    return tuple(found)


def _stretches(
    playing: Sequence[PlayedBar], numbers: Sequence[tuple[int, bool]]
) -> Iterator[list[int]]:
    """Yield the bars of each stretch: a pick-up with what it leads into, short rounds together."""
    row: list[int] = []
    for bars in _rounds(playing):
        leads = not any(numbers[index][1] for index in row)
        alike = not leads and playing[row[-1]].section == playing[bars[0]].section
        short = len(bars) <= 2 and len(row) + len(bars) <= PHRASE_BARS
        if not leads and not (alike and short):
            yield row
            row = []
        row = row + bars
    yield row


def _rounds(playing: Sequence[PlayedBar]) -> Iterator[list[int]]:
    row: list[int] = []
    for index, here in enumerate(playing):
        row.append(index)
        after = playing[index + 1] if index + 1 < len(playing) else None
        if after is None or _ends(here, after):
            yield row
            row = []


def _ends(here: PlayedBar, after: PlayedBar) -> bool:
    """Whether what is played after a bar is another section, another part, or goes back."""
    if here.section != after.section or after.bar.opens or after.bar is here.bar:
        return True
    back = after.bar.number < here.bar.number
    return back or bool(here.bar.closes) or bool(here.bar.ending and not after.bar.ending)


def _units(bars: Sequence[int], numbers: Sequence[tuple[int, bool]]) -> Iterator[list[int]]:
    """Yield whole bars: a pick-up goes with the bar after it, the rest of a bar with its start."""
    unit: list[int] = []
    begun = False
    for index in bars:
        first = numbers[index][1]
        if begun and first:
            yield unit
            unit = []
        begun = begun or first
        unit.append(index)
    yield unit


def _set_firsts(tune: Tune) -> set[int]:
    """Return the ids of the written bars with which a phrase that is set begins."""
    found: set[int] = set()
    for section in tune.sections:
        starts = {sum(section.phrases[:n]) for n in range(len(section.phrases))}
        counted = count_bars(section.bars)
        found |= {id(b) for b, n in zip(section.bars, counted, strict=True) if n in starts}
    return found


def _as_set(
    units: Sequence[Sequence[int]], playing: Sequence[PlayedBar], firsts: set[int]
) -> Iterator[tuple[int, int, str]]:
    """Yield the phrases of a stretch that are set, its end ending one in any case."""
    first = units[0][0]
    for before, unit in pairwise(units):
        if any(id(playing[index].bar) in firsts for index in unit):
            yield first, before[-1], SET
            first = unit[0]
    yield first, units[-1][-1], SET


def _by_music(units: Sequence[Sequence[int]], heard: _Heard) -> Iterator[tuple[int, int, str]]:
    """Yield the cheapest phrases of a stretch, and why each of them ends."""
    count = len(units)
    told = [heard.end(unit) for unit in units]

    @cache
    def best(start: int) -> tuple[int, tuple[int, ...]]:
        if start == count:
            return 0, ()
        found = []
        for length in range(1, min(max(_LENGTHS), count - start) + 1):
            price, rest = best(start + length)
            last = start + length - 1
            price += _LENGTHS[length] + (told[last][0] if last + 1 < count else 0)
            found.append((price, abs(length - PHRASE_BARS), (length, *rest)))
        price, _, lengths = min(found)
        return price, lengths

    for start in range(count - 1, -1, -max(_LENGTHS)):
        best(start)  # from the end, so that a long stretch needs no deep recursion
    at = 0
    for length in best(0)[1]:
        last = at + length - 1
        why = SECTION if last + 1 == count else told[last][1] or FOUR
        yield units[at][0], units[last][-1], why
        at += length


class _Heard:
    """What melody and chords say of the end of a bar."""

    def __init__(self, tune: Tune, playing: Sequence[PlayedBar]) -> None:
        self.playing, self.key = playing, tune.key
        self.melody: Sequence[Sung] = tune.melody
        self.onsets = [note.onset for note in self.melody]
        self.arrivals = _arrivals(tune.changes, tune.key)
        gaps = [float(b - a) for a, b in pairwise(self.onsets)]
        self.usual = median(gaps) if gaps else 0.0

    def end(self, unit: Sequence[int]) -> tuple[int, str]:
        """Return the price of a cut after a bar, and what speaks for it."""
        first, last = self.playing[unit[0]], self.playing[unit[-1]]
        start, end = first.onset, last.onset + last.bar.length
        price, why = self._melody(start, end, beat_length(last.bar.meter))
        if bisect_left(self.arrivals, start) < bisect_left(self.arrivals, end):
            return price + _ARRIVES, why or TONIC
        return price, why

    def _melody(self, start: Fraction, end: Fraction, beat: Fraction) -> tuple[int, str]:
        here = range(bisect_left(self.onsets, start), bisect_left(self.onsets, end))
        if not self.melody or not len(here):
            return (_RESTS, REST) if self.melody else (0, "")
        for index in reversed(here):
            note = self.melody[index]
            after = self.onsets[index + 1] if index + 1 < len(self.onsets) else end
            wait = after - note.onset
            if 2 * (end - after) >= end - start:
                break  # what comes after it is more than leads into the next bar
            if wait >= _LONG_BEATS * beat and float(wait) >= _LONG_TIMES * self.usual:
                rests = after - note.onset - note.beats >= beat
                return (_RESTS, REST) if rests else (_HOLDS, LONG_NOTE)
        last = self.melody[here[-1]]
        return (_RUNS, "") if last.onset + last.beats >= end and last.beats <= beat else (0, "")


def _arrivals(changes: Sequence[Change], key: Key) -> list[Fraction]:
    """Return where the key's own tonic comes after its dominant."""
    found = []
    for before, here in pairwise(changes):
        if before.chord is None or here.chord is None or not is_tonic(here.chord, key):
            continue
        if falls_a_fifth(before.chord, here.chord) and 4 in before.chord.semitones:
            found.append(here.onset)
    return found


AUTHENTIC, PLAGAL, HALF, DECEPTIVE = "authentic", "plagal", "half", "deceptive"
_II = "predominant"
# Numeral, function and goal of a chord.
Told = tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class Cadence:
    """A cadence: its kind, the index of the chord that arrives, and that chord's written bar.

    Parameters
    ----------
    kind : str
        ``"authentic"``, ``"plagal"``, ``"half"`` or ``"deceptive"``.
    index : int
        Of the chord that arrives, among the changes.
    bar : int
        The written bar of that chord.
    key : Key, optional
        The key in which the phrase closes, where that is not the tune's own.
    """

    kind: str
    index: int
    bar: int
    key: Key | None = None

    @property
    def where(self) -> str:
        """The key in words, where that is not the tune's own: ``" in B♭ major"``."""
        return f" in {self.key.unicode}" if self.key else ""


def find_cadences(tune: Tune, told: Sequence[Told]) -> tuple[Cadence, ...]:
    """Return the cadences of a tune whose chords are analysed, in playing order."""
    return tuple(each for _, each in phrase_cadences(tune, told) if each is not None)


def phrase_cadences(tune: Tune, told: Sequence[Told]) -> Iterator[tuple[Stretch, Cadence | None]]:
    """Yield each phrase, and the cadence in its last two bars.

    An intro leads on, and closes nothing.
    """
    playing, changes = tune.playing, tune.changes
    onsets = [change.onset for change in changes]
    for span in phrase_spans(tune):
        last = playing[span.last]
        start = playing[max(span.first, span.last - 1)].onset
        end = last.onset + last.bar.length
        inside = range(bisect_left(onsets, start), bisect_left(onsets, end))
        if last.section == INTRO or not inside:
            yield span, None
            continue
        bar = range(max(bisect_right(onsets, last.onset) - 1, 0), inside.stop)
        brought = (n for n in inside if n and _is_tonic(told[n]) and _is_dominant(told[n - 1]))
        arrivals = [n for n in brought if _may_arrive(told, n, bar)]
        if _is_dominant(told[inside[-1]]):
            starts = {playing[n].onset for n in range(span.first, span.last + 1)}
            arrivals = [n for n in arrivals if onsets[n] in starts]
        if arrivals:
            yield span, Cadence(AUTHENTIC, arrivals[-1], changes[arrivals[-1]].bar)
        else:
            row = [change.chord for change in changes]
            found = _elsewhere(row, told, inside[-1], tune.key) or _at_end(told, inside[-1])
            place, key = (found[1], found[2]) if found else (0, None)
            yield span, Cadence(found[0], place, changes[place].bar, key) if found else None


def _may_arrive(told: Sequence[Told], index: int, bar: Sequence[int]) -> bool:
    """Whether the last bar of a phrase leaves the arrival before it as it was.

    It does where it prolongs the tonic, rests, or is a turnaround: more than the dominant alone.
    """
    if index >= bar[0]:
        return True
    numeral, function, _ = told[bar[-1]]
    goes_on = function in ("tonic", "dominant") or not numeral or numeral.lower().startswith("vi")
    return goes_on and not all(_is_dominant(told[each]) for each in bar)


_End = tuple[str, int, Key | None]


def _elsewhere(
    row: Sequence[Chord | None], told: Sequence[Told], last: int, home: Key
) -> _End | None:
    """Return the cadence of a phrase that closes in another key, on its tonic or its dominant."""
    chord, after = row[last], row[last + 1] if last + 1 < len(row) else None
    if chord is None:
        return None
    if told[last][1] == "dominant" and told[last][2]:
        key = _key_of(after) if after is not None else None
        leads = after is not None and falls_a_fifth(chord, after)
        return (HALF, last, key) if leads and key and _are_relative(key, home) else None
    key, first = _key_of(chord), last
    while first and (before := row[first - 1]) and before.root == chord.root:
        first -= 1
    if key is None or not first or told[first - 1][1] != "dominant" or not told[first - 1][2]:
        return None
    if _are_relative(key, home):
        return AUTHENTIC, first, key
    goals = {goal for _, function, goal in told[max(0, first - 3) : first - 1] if function == _II}
    away = not set(chord.pcs) <= key_pcs(home)
    return (AUTHENTIC, first, key) if away and told[first - 1][2] in goals else None


def _key_of(chord: Chord) -> Key | None:
    """Return the key whose tonic chord a chord may be."""
    modes = ("minor", "major") if 3 in chord.semitones else ("major",)
    keys = (Key(chord.root.at(None), mode).readable() for mode in modes)
    return next((key for key in keys if is_tonic(chord, key)), None)


def _are_relative(key: Key, home: Key) -> bool:
    return key.mode != home.mode and (key.signature - home.signature) % 12 == 0


def _at_end(told: Sequence[Told], last: int) -> _End | None:
    """Return the cadence that the last two chords of a phrase make in the key, if they do."""
    if not last:
        return None
    before, here = told[last - 1], told[last]
    if _is_tonic(here) and before[0].lower().startswith(("iv", "iiø")) and before[1] != "dominant":
        return PLAGAL, last, None
    if _is_dominant(here):
        # Neither a lowered seventh degree nor a major seventh is what a half cadence rests on.
        return None if here[0].startswith("bVII") or "maj" in here[0] else (HALF, last, None)
    deceptive = _is_dominant(before) and here[0].lower().startswith(("vi", "bvi"))
    return (DECEPTIVE, last, None) if deceptive and here[1] != "dominant" else None


def _is_tonic(one: Told) -> bool:
    return one[1] == "tonic" and not one[0].lower().startswith("vi")


def _is_dominant(one: Told) -> bool:
    return one[1] == "dominant" and not one[2]
