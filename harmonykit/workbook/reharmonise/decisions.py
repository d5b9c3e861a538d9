"""What an arranger decided about one tune, and a place in it: what may be done, what could stand.

It belongs to the tune: another tune has other decisions, and a tune that comes back has its own
again.  Moments are quarters of the tune as played, so that each time round is a place of its own.
What no longer fits the tune, since its text was changed, is passed over.

A place is a slot of the tune as played, counted from 0; its chords are counted from 0, too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from harmonykit.arrange import functions, left_alone, places, revising, told_changes
from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.arrange.wishes import Chosen
from harmonykit.errors import HarmonyError
from harmonykit.score.typed import read_typed
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import as_chord
from harmonykit.tune.text.pasted.message import UNTITLED
from harmonykit.tune.tune import PICKUP, Tune, beat_length
from harmonykit.values import dataclass, field, replace

FREE = ""
_LINE, _BAR = "\n", " | "
# An untitled tune is the same while so much of its bars is.
_SHARE = 2


Refusal = tuple[Fraction, Chord]
"""A moment, and a chord that is not to stand in the slot that sounds then."""


@dataclass(frozen=True, slots=True)
class Decisions:
    """All that was decided about one tune.

    Parameters
    ----------
    locked : frozenset of int
        Written numbers of bars that stay as the tune has them.
    wanted : tuple of Chosen
        What stands in some slots: as it was locked, or chosen from what could stand there.
    refused : tuple of (Fraction, Chord)
    contours : tuple of str
        Where the highest note is to go, for each phrase; empty where the style says.
    key : str
        The key that was chosen, where it is not the tune's own.
    intro, ending : str
        What was chosen to come before the tune and after it; empty for nothing.  Bars and moments
        are the tune's own: an intro does not count.
    """

    locked: frozenset[int] = frozenset()
    wanted: tuple[Chosen, ...] = ()
    refused: tuple[Refusal, ...] = ()
    contours: tuple[str, ...] = ()
    key: str = ""
    intro: str = ""
    ending: str = ""

    @property
    def frame(self) -> tuple[str, str]:
        """The intro and the ending."""
        return self.intro, self.ending

    def at(self, onset: Fraction) -> Chosen | None:
        """Return what stands in the slot that begins at a moment, where that was decided."""
        return next((each for each in self.wanted if each[0][1] == onset), None)

    def want(self, found: Iterable[Chosen]) -> Decisions:
        """Return the decisions with what is to stand in some slots, in place of what did."""
        kept = {each[0][1]: each for each in (*self.wanted, *found)}
        return replace(self, wanted=tuple(kept[onset] for onset in sorted(kept)))

    def free(self, onsets: Iterable[Fraction]) -> Decisions:
        """Return the decisions without what is to stand in the slots that begin at some moments."""
        gone = set(onsets)
        return replace(self, wanted=tuple(w for w in self.wanted if w[0][1] not in gone))

    def refuse(self, slot: Slot, chord: Chord) -> Decisions:
        """Return the decisions with a chord refused in a slot; what was locked there may change."""
        new = (slot.onset, chord)
        kept = tuple(each for each in self.refused if each != new)
        return replace(self.free([slot.onset]), refused=(*kept, new))

    def allow(self, number: int) -> Decisions:
        """Return the decisions without the refusal of a number, counted from 0."""
        kept = (each for count, each in enumerate(self.refused) if count != number)
        return replace(self, refused=tuple(kept))

    def toggled(self, bar: int) -> Decisions:
        """Return the decisions with a bar as the tune has it, or free to change if it was."""
        return replace(self, locked=self.locked ^ {bar})

    def with_contour(self, phrase: int, contour: str) -> Decisions:
        """Return the decisions with a contour for a phrase, counted from 0."""
        room = max(len(self.contours), phrase + 1)
        wanted = [*self.contours, *[FREE] * (room - len(self.contours))]
        wanted[phrase] = contour
        while wanted and not wanted[-1]:
            wanted.pop()
        return replace(self, contours=tuple(wanted))

    def later(self, by: Fraction) -> Decisions:
        """Return the decisions with each moment so many quarters later."""
        wanted = tuple(tuple((c, at + by, beats) for c, at, beats in each) for each in self.wanted)
        return replace(self, wanted=wanted, refused=tuple((at + by, c) for at, c in self.refused))

    def fitting(self, slots: tuple[Slot, ...]) -> Decisions:
        """Return those that fit a tune of these slots."""
        lengths = {slot.onset: slot.beats for slot in slots}
        wanted = tuple(w for w in self.wanted if lengths.get(w[0][1]) == _lasts(w))
        refused = tuple(pair for pair in self.refused if pair[0] in lengths)
        return replace(self, wanted=wanted, refused=refused)


def _lasts(chosen: Chosen) -> Fraction:
    return sum((beats for *_, beats in chosen), Fraction(0))


@dataclass(frozen=True, slots=True)
class Tunes:
    """The decisions about every tune that was on the page.

    Parameters
    ----------
    now : str
        The mark of the tune that is on the page; empty where none could be read yet.
    others : tuple of (str, Decisions)
        Other tunes by their marks.
    """

    now: str = ""
    others: tuple[tuple[str, Decisions], ...] = field(default=())

    def changed(self, decided: Decisions, before: str, after: str) -> tuple[Tunes, Decisions]:
        """Return what holds after the tune was changed from one mark to another."""
        now = self.now or before
        if not after:
            return replace(self, now=now), decided
        if not now or is_same(now, after):
            return replace(self, now=after), decided
        known = [(mark, each) for mark, each in self.others if not is_same(mark, now)]
        if decided != Decisions():
            known.append((now, decided))
        found = next((each for mark, each in known if is_same(mark, after)), Decisions())
        rest = tuple(pair for pair in known if not is_same(pair[0], after))
        return Tunes(after, rest), found


def mark_of(text: str, number: int = 0) -> str:
    """Return by what a tune is known again: its title and its bars; nothing for what is no tune.

    Examples
    --------
    >>> mark_of("| C6 | A7 Dm7 |")
    'Untitled\\nC6 | A7 Dm7'
    """
    try:
        tune = read_typed(text, number)
    except HarmonyError:
        return ""
    return f"{tune.title}{_LINE}{_BAR.join(_bars(tune))}"


def _bars(tune: Tune) -> Iterable[str]:
    for bar in tune.bars:
        yield " ".join(str(change.chord or "N.C.") for change in bar.changes)


def is_same(one: str, two: str) -> bool:
    """Whether two marks are of one tune: the title says so, or else half of the bars.

    Examples
    --------
    >>> is_same(mark_of("| C6 | A7 |"), mark_of("| C6 | A7 | Dm7 | G7 |"))
    True
    >>> is_same(mark_of("| C6 | A7 |"), mark_of("| Gm6 | D7 |"))
    False
    """
    titles, bars = zip(*(each.split(_LINE, 1) for each in (one, two)), strict=True)
    if titles[0] != titles[1] or titles[0] != UNTITLED:
        return bool(titles[0] == titles[1])
    pairs = [*zip(*(each.split(_BAR) for each in bars), strict=False)]
    return bool(_SHARE * sum(first == second for first, second in pairs) >= len(pairs))


# As plain values, for the file that keeps them.


def to_plain(decided: Decisions) -> dict[str, Any]:
    """Return decisions as plain values."""
    return {
        "locked": sorted(decided.locked),
        "wanted": [[*map(_plain, each)] for each in decided.wanted],
        "refused": [[str(onset), str(chord)] for onset, chord in decided.refused],
        "contours": list(decided.contours),
        "key": decided.key,
        "intro": decided.intro,
        "ending": decided.ending,
    }


def _plain(chosen: tuple[Chord | None, Fraction, Fraction]) -> list[str]:
    chord, onset, beats = chosen
    return [str(chord or ""), str(onset), str(beats)]


def from_plain(found: Mapping[str, Any]) -> Decisions:
    """Return decisions from plain values.

    Examples
    --------
    >>> decided = Decisions(frozenset((2,)), refused=((Fraction(3, 2), Chord.parse("Ebdim7")),))
    >>> from_plain(to_plain(decided)) == decided
    True
    """
    return Decisions(
        frozenset(map(int, found["locked"])),
        tuple(tuple(map(_chosen, row)) for row in found["wanted"]),
        tuple((Fraction(onset), as_chord(chord)) for onset, chord in found["refused"]),
        tuple(map(str, found["contours"])),
        str(found["key"]),
        str(found.get("intro", "")),
        str(found.get("ending", "")),
    )


def _chosen(given: Iterable[str]) -> tuple[Chord | None, Fraction, Fraction]:
    chord, onset, beats = given
    return (as_chord(chord) if chord else None), Fraction(onset), Fraction(beats)


PLACE = "place-"
MOST_OTHERS = 12


@dataclass(frozen=True, slots=True)
class Place:
    """A chord of an arrangement that was pressed.

    Parameters
    ----------
    number, chord : int
        The slot, and which of its chords.
    slot : Slot
    index : int
        The step of the arrangement.
    """

    number: int
    chord: int
    slot: Slot
    index: int

    @property
    def id(self) -> str:
        """By what it is pressed."""
        return f"{PLACE}{self.number}-{self.chord}"


def places_of(way: Arrangement) -> tuple[Place, ...]:
    """Return the place of each step of an arrangement.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("| C6 A7 | Dm7 |", "ukulele", (), 1)
    >>> [place.id for place in places_of(way)]
    ['place-0-0', 'place-1-0', 'place-2-0']
    """
    slots, found = slots_of(way.tune), []
    number = chord = 0
    for index, step in enumerate(way.steps):
        while number + 1 < len(slots) and step.onset >= slots[number + 1].onset:
            number, chord = number + 1, 0
        found.append(Place(number, chord, slots[number], index))
        chord += 1
    return tuple(found)


def place_at(way: Arrangement, name: str) -> Place:
    """Return the place of an id; where the slot has fewer chords now, its last.

    Raises
    ------
    HarmonyError
        If there is none.
    """
    number, _, chord = name.removeprefix(PLACE).partition("-")
    inside = [each for each in places_of(way) if str(each.number) == number]
    if not inside or not chord.isdigit():
        raise HarmonyError(f"unknown part {name!r}")
    return inside[min(int(chord), len(inside) - 1)]


def bar_said(way: Arrangement, index: int) -> str:
    """Return the written bar of a step, and the beat if it does not begin the bar."""
    step = way.steps[index]
    played = way.tune.playing[step.bar]
    number = played.bar.number
    beat = (step.onset - played.onset) / beat_length(played.bar.meter) + 1
    said = f"bar {number}" if number else f"the {PICKUP}"
    return said if beat == 1 else f"{said}, beat {told_changes.beat_said(beat)}"


def others_at(way: Arrangement, place: Place) -> tuple[places.Alternative, ...]:
    """Return what could stand in the slot of a place, what stands there among it.

    Of those that read alike, as a walk taken earlier or later in the bar, the cheapest.
    """
    bar = place.slot.bar
    chord = slots_in(way, bar).index(place.slot) + 1
    found = places.alternatives(way, bar + 1, chord, most=MOST_OTHERS)
    stands, told = revising.chosen_at(way, place.slot.onset), set[tuple[str, str]]()
    kept = []
    for each in found:
        said = each.chords, each.reason
        if said not in told or each.chosen == stands:
            kept.append(each)
        told.add(said)
    return tuple(kept)


def locked(decided: Decisions, way: Arrangement, slots: list[Slot]) -> Decisions:
    """Return the decisions with what stands in some slots locked."""
    return decided.want(revising.chosen_at(way, slot.onset) for slot in slots)


def slots_in(way: Arrangement, bar: int) -> list[Slot]:
    """Return the slots that sound in a bar as played, counted from 0."""
    return [slot for slot in slots_of(way.tune) if any(piece.bar == bar for piece in slot.pieces)]


def held_bars(way: Arrangement, decided: Decisions) -> frozenset[int]:
    """Return the bars as played, counted from 0, in which all that stands is locked."""
    wanted = {each[0][1] for each in decided.wanted}
    free = {
        piece.bar
        for slot in slots_of(way.tune)
        for piece in slot.pieces
        if slot.onset not in wanted and piece.number not in decided.locked
    }
    return frozenset(range(len(way.tune.playing))) - free


def said_of(way: Arrangement, place: Place) -> tuple[str, str]:
    """Return why the chord of a place stands there, and how often it was heard so."""
    step: Step = way.steps[place.index]
    if not step.added:
        alone = left_alone.left_as_written(way).get(place.number, "")
        said = f" The style adds nothing here: {alone}." if alone else ""
        return f"It is the tune's own chord.{said}", ""
    return step.reason or f"It goes on from the chord before: {step.move}.", functions.often_at(
        way, place.index
    )
