"""From the bars as written to the bars as played, and what sounds in them."""

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from harmonykit.theory.chord import Chord, Note
from harmonykit.tune.bar import Bar, BarNote, Meter, bar_length
from harmonykit.tune.form import INTRO, TAG, Form
from harmonykit.tune.order import Turn
from harmonykit.tune.words import Syllable, in_verses, verses_sung
from harmonykit.values import dataclass, field, replace


@dataclass(frozen=True, slots=True)
class Change:
    """A chord in playing order: it sounds from ``onset`` for ``beats`` quarters.

    ``chord`` is ``None`` where no chord sounds; ``bar`` is the written number of the bar in which
    the change stands; ``fermata`` says whether one stands over it.

    Parameters
    ----------
    chord : Chord, optional
        ``None`` where no chord sounds.
    onset : Fraction
        In quarters from the start.
    beats : Fraction
        How long it sounds, in quarters.
    bar : int
        The written number of its bar.
    fermata : bool
        Whether one stands over it.
    """

    chord: Chord | None
    onset: Fraction
    beats: Fraction
    bar: int
    fermata: bool = False


@dataclass(frozen=True, slots=True)
class Sung:
    """A melody note in playing order, in quarters; tied notes are one.

    ``words`` are what is sung to it in this pass; of several verses that share a pass the first is
    verse 1.
    """

    note: Note
    onset: Fraction
    beats: Fraction
    words: tuple[Syllable, ...] = ()


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """A written bar at its place in playing order, in quarters from the start.

    ``verses`` are those of its words that are sung in this pass.

    Parameters
    ----------
    bar : Bar
    onset : Fraction
        In quarters from the start.
    section : str
    verses : tuple of int
        Those of its words that are sung in this pass.
    """

    bar: Bar
    onset: Fraction
    section: str
    verses: tuple[int, ...] = ()
    _sung: list[Bar] = field(default_factory=list, init=False, repr=False, compare=False)

    @property
    def melody(self) -> tuple[BarNote, ...]:
        """The bar's notes with the words of this pass, its verses numbered from 1."""
        return tuple(
            replace(note, words=in_verses(note.words, self.verses)) if note.words else note
            for note in self.bar.melody
        )

    @property
    def lyric(self) -> tuple[str, ...]:
        """The words of this pass that stand at no note, verse after verse."""
        whole = dict(enumerate(self.bar.lyric, 1))
        return tuple(text for verse in self.verses if (text := whole.get(verse, "")))

    @property
    def as_sung(self) -> Bar:
        """The bar with the words of this pass, and without what repeats or jumps around it."""
        if not self._sung:
            bar, melody, lyric = self.bar, self.melody, self.lyric
            same = (melody, lyric) == (bar.melody, bar.lyric) and not bar.is_marked
            self._sung.append(bar if same else replace(bar.plain(), melody=melody, lyric=lyric))
        return self._sung[0]


def play_bars(bars: Sequence[Bar], form: Form) -> tuple[PlayedBar, ...]:
    """Return written bars in the playing order of their form, each with its onset."""
    played = []
    onset = Fraction(0)
    turns = form.turns
    for turn, verses in zip(turns, _verses(bars, form, turns), strict=True):
        bar = bars[turn.bar]
        played.append(PlayedBar(bar, onset, form.order[turn.part].name, verses))
        onset += bar.length
    return tuple(played)


def _verses(bars: Sequence[Bar], form: Form, turns: Sequence[Turn]) -> Iterator[tuple[int, ...]]:
    """Yield the verses that are sung in each turn: passes are counted for each repeated part."""
    here = [bar.verses for bar in bars]
    groups = {bar: (0, span.first) for span in form.order for bar in range(span.first, span.stop)}
    groups |= {bar: (1, one.first) for one in form.repeats for bar in range(one.first, one.stop)}
    most: Counter[tuple[int, int]] = Counter()
    for bar, group in groups.items():
        most[group] = max(most[group], *here[bar], 0)
    passes: Counter[tuple[int, int]] = Counter()
    last: dict[tuple[int, int], Turn] = {}
    times = []
    for turn in turns:
        group = groups[turn.bar]
        before = last.get(group)
        passes[group] += before is None or turn.bar <= before.bar or turn.part != before.part
        last[group] = turn
        times.append(passes[group])
    for turn, time in zip(turns, times, strict=True):
        group = groups[turn.bar]
        yield verses_sung(time, passes[group], most[group], here[turn.bar])


def play_changes(playing: Sequence[PlayedBar]) -> tuple[Change, ...]:
    """Return the changes of played bars, each lasting until the next."""
    found = [
        (change.chord, played.onset + change.at, played.bar.number)
        for played in playing
        for change in played.bar.changes
    ]
    if found and found[0][0] is None:
        del found[0]  # it has been silent from the start
    if not found or found[0][1] > 0:
        found.insert(0, (None, Fraction(0), playing[0].bar.number))
    end = (None, playing[-1].onset + playing[-1].bar.length, 0)
    held = [played.onset + at for played in playing for at in played.bar.fermatas]
    return tuple(
        Change(chord, onset, after - onset, bar, _between(held, onset, after))
        for (chord, onset, bar), (_, after, _) in pairwise([*found, end])
    )


def _between(places: list[Fraction], start: Fraction, end: Fraction) -> bool:
    index = bisect_left(places, start)
    return index < len(places) and places[index] < end


def play_melody(playing: Sequence[PlayedBar]) -> tuple[Sung, ...]:
    """Return the melody of played bars, tied notes joined where they do follow each other."""
    sung: list[Sung] = []
    tied = False
    for played in playing:
        for note in played.melody:
            onset = played.onset + note.at
            last = sung[-1] if tied else None
            if last and last.note.midi == note.note.midi and last.onset + last.beats == onset:
                sung[-1] = replace(last, beats=last.beats + note.beats)
            else:
                sung.append(Sung(note.note, onset, note.beats, note.words))
            tied = note.tied
    return tuple(sung)


def count_framing(
    played: Sequence[PlayedBar], numbers: Sequence[tuple[int, bool]]
) -> tuple[int, int]:
    """Return how many bars of an intro and of a tag are played, as players count."""
    pairs = [(bar.section, number) for bar, (number, _) in zip(played, numbers, strict=True)]
    intro, tag = (len({number for name, number in pairs if name == each}) for each in (INTRO, TAG))
    return intro, tag


def number_played(playing: Sequence[PlayedBar], *, pickup: bool) -> tuple[tuple[int, bool], ...]:
    """Return the number of each played bar, and whether the bar is the first to bear it.

    A pick-up is bar 0; what completes a bar after a repeat bears that bar's number (common practice
    of engravers, no source).
    """
    numbers: list[tuple[int, bool]] = []
    number, room = (-1 if pickup else 0), Fraction(0)
    for place in playing:
        missing = bar_length(place.bar.meter) - place.bar.length
        if missing > 0 and place.bar.length <= room:
            room -= place.bar.length
            numbers.append((number, False))
            continue
        number += 1
        room = missing if number else Fraction(0)
        numbers.append((number, number > 0))
    return tuple(numbers)


def meters_played(
    playing: Sequence[PlayedBar], *, counted_in: bool = False
) -> tuple[tuple[int, Meter], ...]:
    """Return the place of each played bar from which a metre holds, where every bar must be whole.

    A pick-up, and another bar that is shorter or longer than its metre, is a bar in a metre of its
    own; what completes the bar before it is not.

    Parameters
    ----------
    playing : sequence of PlayedBar
    counted_in : bool
        Whether a count-in comes before, of which a pick-up completes the last bar.

    Examples
    --------
    >>> tune = hk.Tune.parse("| {1 quarter} - | F | C | G7 |")
    >>> meters_played(tune.playing)
    ((0, (1, 4)), (1, (4, 4)))
    >>> meters_played(tune.playing, counted_in=True)
    ((0, (4, 4)),)
    """
    found: list[tuple[int, Meter]] = []
    for place, length in _whole_bars(playing):
        meter = playing[place].bar.meter
        completes = place == 0 and counted_in and playing[0].bar.number == 0
        last = playing[place].onset + length == playing[-1].onset + playing[-1].bar.length
        if length != bar_length(meter) and not completes and not (last and found):
            meter = _metre_of_length(length, meter)
        if not found or found[-1][1] != meter:
            found.append((place, meter))
    return tuple(found)


def _whole_bars(playing: Sequence[PlayedBar]) -> list[tuple[int, Fraction]]:
    """Return the place where each bar begins, and its length with what completes it."""
    found: list[tuple[int, Fraction]] = []
    numbers = number_played(playing, pickup=playing[0].bar.number == 0)
    for place, (played, (_, begins)) in enumerate(zip(playing, numbers, strict=True)):
        if found and not begins:
            found[-1] = found[-1][0], found[-1][1] + played.bar.length
        else:
            found.append((place, played.bar.length))
    return found


_SHORTEST_BEAT = 32


def _metre_of_length(length: Fraction, meter: Meter) -> Meter:
    """Return a metre whose bars are so long, or the one that is given where none is."""
    lower = meter[1]
    while lower <= _SHORTEST_BEAT:
        upper = length * lower / 4
        if upper.denominator == 1:
            return int(upper), lower
        lower *= 2
    return meter
