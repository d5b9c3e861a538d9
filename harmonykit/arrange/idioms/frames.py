"""Bars before a tune and after it: intros and endings, as bars of its form.

A tune that is framed has a section more, so that sheet, score, sound and script count the same
bars; one that jumps (D.C.) is written out.  Before a pick-up the last bar of the intro is so much
shorter.  What an intro ends with leads
to the first chord: where it would end on the tonic, the dominant of that chord comes in (common
practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType

from harmonykit.arrange.idioms import idiom, timing
from harmonykit.arrange.idioms.numeral import Choice, Numeral, parse_choice
from harmonykit.errors import HarmonyError, need_one_of
from harmonykit.evidence.kinds import PLAIN, style_of
from harmonykit.files.toml import read_toml_file
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.chord import Chord, Degree, Interval
from harmonykit.theory.key import falls_a_fifth
from harmonykit.tune.fold import write_out
from harmonykit.tune.tune import INTRO, PICKUP, TAG, Bar, Section, Tune, bar_length, beat_length
from harmonykit.values import dataclass, replace
from harmonykit.words.glossary import COMMON

_TABLE = Path(__file__).with_name("frames.toml")
_OWN_BARS = 4
_FIFTH = Interval.parse("P5")
_Bars = tuple[tuple[Choice, ...], ...]


@dataclass(frozen=True, slots=True)
class Frame:
    """Bars that come before a tune or after it.

    Parameters
    ----------
    name : str
    means : str
        One line.
    bars : mapping of str to tuple
        The numerals of each bar in each mode; empty where they are the tune's own last bars.
    source : str
    """

    name: str
    means: str
    bars: Mapping[str, _Bars]
    source: str = COMMON

    def __str__(self) -> str:
        return f"{self.name}: {self.means}"


def _read(kind: str) -> Mapping[str, Frame]:
    table, _ = read_toml_file(_TABLE, "the intros and endings")
    found = {}
    for row in table[kind]:
        modes = {mode: _bars_of(row[mode]) for mode in ("major", "minor") if mode in row}
        source = row.get("source", COMMON)
        found[row["name"]] = Frame(row["name"], row["means"], MappingProxyType(modes), source)
    return MappingProxyType(found)


def _bars_of(text: str) -> _Bars:
    return tuple(tuple(map(parse_choice, bar.split())) for bar in text.split("|"))


INTROS: Mapping[str, Frame] = _read("intro")
"""The intros, by name."""
ENDINGS: Mapping[str, Frame] = _read("ending")
"""The endings that add bars, by name."""


def framed(tune: TuneLike, intro: str = "", ending: str = "") -> Tune:
    """Return a tune with an intro, an ending, or both, as sections of its form.

    Parameters
    ----------
    tune : Tune, str or Path
        A tune, the name of one that ships, a file, or its chords.
    intro : str
        Of ``hk.arrange.INTROS``; none where empty.
    ending : str
        Of ``hk.arrange.ENDINGS``; none where empty.

    Returns
    -------
    Tune

    Raises
    ------
    HarmonyError
        If a name is unknown, or the tune has no chords, or such a section already.

    Examples
    --------
    >>> tune = hk.arrange.framed("| Dm7 | G7 | C6 | C6 |", intro="last four bars", ending="tag")
    >>> tune.order, [str(change.chord) for change in tune.changes[:6]]
    (('intro', 'A', 'tag'), ['Dm7', 'G7', 'C6', 'Em7', 'A7', 'Dm7'])
    """
    tune = as_tune(tune)
    before = INTROS[need_one_of(intro, "intro", INTROS)] if intro else None
    after = ENDINGS[need_one_of(ending, "ending", ENDINGS)] if ending else None
    if before is None and after is None:
        return tune
    tune = _without_jumps(tune)
    opening = Section(INTRO, _intro(tune, before)) if before else None
    closing = Section(TAG, _ending(tune, after)) if after else None
    return _joined(tune, opening, closing)


def _joined(tune: Tune, opening: Section | None, closing: Section | None) -> Tune:
    sections, order = tune.sections, tune.order
    if opening is not None and _is_silent(sections[0]):
        sections, order = sections[1:], order[1:]
    for section in filter(None, (opening, closing)):
        if section.name in order:
            raise HarmonyError(
                f"{tune.title!r} has a section {section.name!r}",
                rule="an intro or an ending is added once",
            )
    first, last = ((opening,) if opening else ()), ((closing,) if closing else ())
    return replace(
        tune,
        sections=(*first, *sections, *last),
        order=(*(each.name for each in first), *order, *(each.name for each in last)),
    )


def _without_jumps(tune: Tune) -> Tune:
    """Return a tune that is played from its first bar to its last."""
    if not any(change.chord for change in tune.changes):
        raise HarmonyError(f"{tune.title!r} has no chords", rule="an intro begins from its chords")
    return write_out(tune) if any(bar.jump for bar in tune.bars) else tune


def _is_silent(section: Section) -> bool:
    """Whether a section is a pick-up of rest, during which the intro plays on."""
    bar = section.bars[0]
    return section.name == PICKUP and not bar.changes and not bar.melody


def _intro(tune: Tune, frame: Frame) -> tuple[Bar, ...]:
    first = _first_chord(tune)
    rows = _own_rows(tune) if not frame.bars else _rows(tune, frame)
    bars = [Bar.of(meter, row, length) for meter, length, row in rows]
    bars[-1] = _leading(bars[-1], bars[-2:][0], first, home=_is_home(tune, first))
    opening = next(bar for bar in tune.bars if bar.changes or bar.melody)
    if opening.number == 0:
        bars[-1] = _shortened(bars[-1], opening.length)
    return tuple(bars)


def _ending(tune: Tune, frame: Frame) -> tuple[Bar, ...]:
    return tuple(Bar.of(meter, row, length) for meter, length, row in _rows(tune, frame))


_Row = tuple[tuple[int, int], Fraction, list[tuple[Chord | None, Fraction]]]


def _own_rows(tune: Tune) -> list[_Row]:
    """Return the chords of the last bars that are whole, with their metre and length."""
    whole = [played for played in tune.playing if played.bar.number][-_OWN_BARS:]
    changes, found = tune.changes, []
    for played in whole:
        start, end = played.onset, played.onset + played.bar.length
        inside = [one for one in changes if one.onset < end and one.onset + one.beats > start]
        row = [(one.chord, max(one.onset - start, Fraction(0))) for one in inside]
        found.append((played.bar.meter, played.bar.length, row))
    return found


def _rows(tune: Tune, frame: Frame) -> list[_Row]:
    bar = next(bar for bar in tune.bars if bar.number)
    beat = beat_length(bar.meter)
    found: list[_Row] = []
    for choices in frame.bars[tune.key.mode]:
        counts = timing.shared_out(int(bar.length / beat), len(choices)) or [1] * len(choices)
        starts = [sum(counts[:place]) * beat for place in range(len(choices))]
        chords = [_chord(tune, idiom.written(choice)) for choice in choices]
        row: list[tuple[Chord | None, Fraction]] = [*zip(chords, starts, strict=True)]
        found.append((bar.meter, bar.length, [one for one in row if one[1] < bar.length]))
    return found


def _chord(tune: Tune, numeral: Numeral) -> Chord:
    """Return a numeral's chord: I is the tune's own; where that is I7, other majors are, too."""
    first, tonic = _first_chord(tune), tune.key.tonic
    home = _is_home(tune, first) and first.is_minor == numeral.small
    free = numeral.suffix is None and numeral.bass is None
    if free and home and numeral.degree == Degree(1):
        return first.over(None)
    sounding = [one.chord.semitones for one in tune.changes if one.chord is not None]
    plain = style_of(sounding) == PLAIN
    chord = numeral.chord(tonic, plain=plain)
    seventh = (home and first.is_dominant) or (not plain and numeral.degree == Degree(7, -1))
    return Chord.of(chord.root, "7") if free and not numeral.small and seventh else chord


def _first_chord(tune: Tune) -> Chord:
    return next(one.chord for one in tune.changes if one.chord is not None)


def _leading(bar: Bar, before: Bar, first: Chord, *, home: bool) -> Bar:
    """Return the last bar of an intro, which leads to the first chord of the tune.

    Where it ends with that chord, or with one that is at rest, the second half of the bar has the
    dominant of the first chord; where the bar before ends with the same, its ii comes first.
    """
    last = bar.changes[-1].chord
    if last is not None and (falls_a_fifth(last, first) and last.is_dominant):
        return bar
    dominant = Chord.of(first.root.transpose(_FIFTH).at(None).plain(), "7")
    beat = beat_length(bar.meter)
    half = timing.shared_out(int(bar.length / beat), 2)
    if half is None:
        return Bar.of(bar.meter, [(dominant, Fraction(0))], bar.length)
    middle = half[0] * beat
    kept = [(one.chord, one.at) for one in bar.changes if one.at < middle]
    if len(kept) == 1 and before.changes and kept[0][0] == before.changes[-1].chord:
        second = "m7b5" if first.is_minor and home else "m7"
        ii = Chord.of(dominant.root.transpose(_FIFTH).at(None).plain(), second)
        kept = [(ii, Fraction(0))]
    return Bar.of(bar.meter, [*kept, (dominant, middle)], bar.length)


def _is_home(tune: Tune, chord: Chord) -> bool:
    return chord.root.pitch_class == tune.key.tonic.pitch_class


def _shortened(bar: Bar, by: Fraction) -> Bar:
    """Return a bar that is completed by a pick-up of some length."""
    length = bar_length(bar.meter) - by
    if not 0 < length < bar.length:
        return bar
    return Bar.of(bar.meter, [(c.chord, c.at) for c in bar.changes if c.at < length], length)
