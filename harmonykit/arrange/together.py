"""Whether arrangements of one tune sound together, bar by bar; what may sound beside another.

Conventions.  Two chords that sound at one time rub where a note that only one of them has lies a
semitone from one that only the other has; each such pair of pitch classes counts once.  One pair is
heard as colour: a dominant against the diminished seventh on its third has one.  Two and more are
not: a chord against its own diminished seventh has three or four (common practice, no source).
A major third against the minor third on one root is not colour either, one pair though it is.

A part may not stand beside another arrangement where it rubs with a chord of it by more pairs than
are heard as colour, and by more than the tune's own chord does.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import combinations, cycle, islice

from harmonykit.arrange import functions, wishes
from harmonykit.arrange.arrangement import Arrangement, Step, as_arrangement
from harmonykit.arrange.moves.rule import Part, Variant, Web
from harmonykit.arrange.written import printed_numbers
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.tune.playing import Change
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import join_words

MOST_PAIRS = 1
"""So many pairs of semitones are heard as colour."""


@dataclass(frozen=True, slots=True)
class Rub:
    """Two chords that clash when they are played at once.

    Parameters
    ----------
    first, second : Chord
        What the one and the other arrangement play.
    bar : int
        In playing order from 0.
    pairs : int
        Pairs of notes a semitone apart.
    """

    first: Chord
    second: Chord
    bar: int
    pairs: int


def semitone_pairs(first: Chord, second: Chord) -> int:
    """Return how many notes of one chord alone lie a semitone from one of the other alone.

    Examples
    --------
    >>> c6, g7, bdim7 = (Chord.parse(name) for name in ("C6", "G7", "Bdim7"))
    >>> semitone_pairs(c6, bdim7), semitone_pairs(g7, bdim7), semitone_pairs(c6, c6)
    (4, 1, 0)
    """
    ours, theirs = set(first.pcs), set(second.pcs)
    return sum((one - other) % 12 in (1, 11) for one in ours - theirs for other in theirs - ours)


def rubs_between(first: Arrangement, second: Arrangement) -> tuple[Rub, ...]:
    """Return where two arrangements of one tune clash, in playing order.

    Parameters
    ----------
    first, second : Arrangement

    Returns
    -------
    tuple of Rub

    Raises
    ------
    HarmonyError
        If they are of different tunes.

    Examples
    --------
    >>> plain = hk.reharmonise("heron_landing", "ukulele", [], k=1)[0]
    >>> hk.arrange.rubs_between(plain, plain)
    ()
    """
    for each in (first, second):
        as_arrangement(each)
    tunes = first.tune, second.tune
    if tunes[0] != tunes[1] and len({replace(tune, order=()) for tune in tunes}) > 1:
        titles = f"{first.tune.title!r} and {second.tune.title!r}"
        raise HarmonyError(f"two tunes, {titles}", rule="both arrangements must be of one tune")
    ones, others = _rounds(first), _rounds(second)
    most = max(len(ones), len(others))
    pairs = zip(islice(cycle(ones), most), islice(cycle(others), most), strict=True)
    return tuple(rub for one, other in pairs for rub in _rubs(one, other))


def _rounds(way: Arrangement) -> list[list[Step]]:
    """Return the steps of each chorus, timed from its start; the bars keep their numbers."""
    found = []
    for chorus in way.choruses or (None,):
        steps = [s for s in way.steps if chorus is None or chorus.first <= s.bar < chorus.stop]
        start = steps[0].onset if steps else Fraction(0)
        found.append([replace(step, onset=step.onset - start) for step in steps])
    return found


def _rubs(first: Sequence[Step], second: Sequence[Step]) -> Iterator[Rub]:
    here = there = 0
    while here < len(first) and there < len(second):
        one, other = first[here], second[there]
        if one.chord is not None and other.chord is not None:
            pairs = semitone_pairs(one.chord, other.chord)
            if pairs > MOST_PAIRS or _of_two_modes(one.chord, other.chord):
                yield Rub(one.chord, other.chord, max(one.bar, other.bar), pairs)
        ends, others = one.onset + one.beats, other.onset + other.beats
        here += ends <= others
        there += others <= ends


def _of_two_modes(first: Chord, second: Chord) -> bool:
    """Whether two chords have one root, and the one a major third and the other a minor one.

    Examples
    --------
    >>> _of_two_modes(Chord.parse("F"), Chord.parse("Fm6"))
    True
    """
    root = first.root.pitch_class
    if root != second.root.pitch_class:
        return False
    thirds = [{(pc - root) % 12 for pc in chord.pcs} & {3, 4} for chord in (first, second)]
    return sorted(map(sorted, thirds)) == [[3], [4]]


def said_together(ways: Sequence[Arrangement]) -> tuple[str, ...]:
    """Return in words which arrangements of one tune sound together, each with each.

    Those that do are said in one sentence.  Bars are called by the numbers that they have as they
    are played; of several choruses those are told in which something rubs.
    """
    names = [way.name or f"arrangement {number}" for number, way in enumerate(ways, 1)]
    said = []
    together = 0
    for (first, one), (second, other) in combinations(zip(names, ways, strict=True), 2):
        rubs = rubs_between(one, other)
        together += not rubs
        if rubs:
            worst = max(rubs, key=lambda rub: rub.pairs)
            longer = max(one, other, key=lambda way: len(way.choruses))
            where, worst_in = (_places(longer, those) for those in (rubs, [worst]))
            why = f"{worst.first.unicode} against {worst.second.unicode}"
            why = why if where == worst_in else f"in {worst_in} {why}"
            said.append(f"{first} and {second}: take turns in {where} ({why})")
    if not said and together:
        return ("All together: any two of them sound well at once.",)
    rest = ("The others: all together.",) if together else ()
    return (*(f"{each}." for each in said), *rest)


def _places(way: Arrangement, rubs: Sequence[Rub]) -> str:
    """Return where something rubs: the bars, or the choruses where there are several."""
    bars = dict.fromkeys(rub.bar for rub in rubs)
    if way.choruses:
        spans = enumerate(way.choruses, 1)
        found = [n for n, each in spans if any(each.first <= bar < each.stop for bar in bars)]
        return f"chorus{'es' if len(found) > 1 else ''} {join_words([*map(str, found)])}"
    return functions.bars_said(tuple(dict.fromkeys(printed_numbers(way)[bar][0] for bar in bars)))


class Beside:
    """What sounds beside an arrangement that is being made.

    Parameters
    ----------
    others : sequence of Chosen
        What each of the others plays: chords, each with its onset and its length in quarters.
    changes : sequence of Change
        The tune's own chords in playing order.
    """

    def __init__(self, others: Sequence[wishes.Chosen], changes: Sequence[Change]) -> None:
        self._others = [(list(other), [onset for _, onset, _ in other]) for other in others]
        self._written = changes
        self._starts = [change.onset for change in changes]

    def kept(self, found: Variant | Web) -> Variant | Web | None:
        """Return what of a variant or a web sounds together with all others; None if nothing."""
        if isinstance(found, Web):
            return _thinned(found, self.fits)
        return found if all(map(self.fits, found.parts)) else None

    def fits(self, part: Part) -> bool:
        """Whether a part sounds together with all that sounds at its time."""
        if part.chord is None:
            return True
        place = bisect_right(self._starts, part.onset) - 1
        written = self._written[max(place, 0)].chord
        return all(
            _pairs(part.chord, other) <= max(MOST_PAIRS, _pairs(written, other) if written else 0)
            for other in self._sounding(part.onset, part.onset + part.beats)
        )

    def _sounding(self, start: Fraction, end: Fraction) -> Iterator[Chord]:
        for other, onsets in self._others:
            for chord, onset, beats in other[max(bisect_right(onsets, start) - 1, 0) :]:
                if onset >= end:
                    break
                if chord is not None and onset + beats > start:
                    yield chord


_pairs = lru_cache(maxsize=4096)(semitone_pairs)


def _thinned(web: Web, fits: Callable[[Part], bool]) -> Web | None:
    """Return a web without the parts that do not fit; None where nothing can end it."""
    places: dict[int, int] = {}
    parts, befores = list[Part](), list[tuple[int, ...]]()
    for place, (part, before) in enumerate(zip(web.parts, web.before, strict=True)):
        left = tuple(places[one] for one in before if one in places)
        if fits(part) and (left or not before):
            places[place] = len(parts)
            parts.append(part)
            befores.append(left)
    exits = tuple(places[place] for place in web.exits if place in places)
    rested = frozenset(places[place] for place in web.rested if place in places)
    return Web(tuple(parts), tuple(befores), exits, rested) if exits else None
