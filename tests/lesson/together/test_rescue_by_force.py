"""The rescue against every grip that there is, and the effort of a change counted finger by finger.

What a barre, a silent string and a fret are worth in fingers is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest
from small_arrangements import Arranged

from harmonykit.fretboard.hands.change import STAYS
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.rescue import bars_first, hard_changes, practised_changes, rescue
from harmonykit.theory.chord import Chord
from harmonykit.theory.guides import guide_degrees

Frets = tuple[int | None, ...]


def silent_worth(neck: Instrument) -> float:
    """Of four strings one that is kept silent asks more than a finger, of more a quarter of one."""
    return 1.08 if len(neck.midi) <= 4 else 0.25


def easy_grips(chord: Chord, neck: Instrument) -> Iterator[tuple[float, bool, int, Frets]]:
    """Yield every grip that may stand for a chord, with what it asks.

    Up to fret 4, three fingers at most and none laid flat; at least three
    strings beside each other sound, of three strings two; the third and the seventh, or third and
    root, are there; of a diminished seventh third, seventh and root.
    """
    tones = {note.pitch_class for note in chord.notes}
    root = chord.root.pitch_class
    third, seventh = guide_degrees(chord)
    needed = {(root + degree.pitch_class) % 12 for degree in (third, seventh) if degree}
    if seventh is None or chord.semitones == (0, 3, 6, 9):
        needed.add(root)
    least = 2 if len(neck.midi) == 3 else 3
    every = [[f for f in range(5) if (p + f) % 12 in tones] + [None] for p in neck.midi]
    for frets in product(*every):
        played = [n for n, fret in enumerate(frets) if fret is not None]
        pressed = [fret for fret in frets if fret]
        pcs = {(neck.midi[n] + (frets[n] or 0)) % 12 for n in played}
        if len(played) < least or played != list(range(played[0], played[-1] + 1)):
            continue
        if len(pressed) > 3 or not needed <= pcs or len(pcs) < min(least, len(tones)):
            continue
        if fit(frets, neck, Limits(barre="none")):
            work = len(pressed) + frets.count(None) * silent_worth(neck)
            work += max(pressed, default=0) / 50
            work += (max(pressed, default=0) - min(pressed, default=0)) / 30
            yield work, root not in pcs, -len(pcs), frets


def apart(shape: Voicing) -> int:
    """Return over how many frets the fingers reach beyond the first of them."""
    pressed = [fret for fret in shape.frets if fret]
    return max(pressed, default=0) - min(pressed, default=0)


def work(shape: Voicing) -> float:
    """Return what a shape asks of a hand, in fingers; what none can hold is too much."""
    held = shape.fingering
    if held is None:
        return 9
    barres = sum(1.5 if barre.width == 2 else 2.5 for barre in held.barres)
    fingers = len(set(held.fingers) - {None, 0}) + barres
    silent = shape.frets.count(None) * silent_worth(shape.instrument)
    return fingers + silent + shape.highest_fret / 50 + shape.stretch_mm / 1000


NECKS = ("ukulele", "guitar", "C4 E4 G4", "G3 C4 E4 G4 A4", "C4 F4 A4")
CHORDS = ("C", "D7", "F#m", "Bb", "Ebmaj7", "Bm7b5", "G9", "Abdim7", "E7", "Dbsus4", "B5")


@pytest.mark.parametrize("name", NECKS)
def test_a_rescue_is_the_easiest_of_all_grips_where_that_is_easier(name: str) -> None:
    """By two fifths of a finger at least; a barre alone is worth more fingers or frets."""
    neck = Instrument.parse(name, "few") if " " in name else Instrument.named(name)
    rescued = 0
    for symbol in CHORDS:
        chord = Chord.parse(symbol)
        grips = {frets: asked for *asked, frets in easy_grips(chord, neck)}
        best = min(grips.values(), default=[])
        for shape in find_voicings(chord, neck, 7)[:6]:
            found, held = rescue(chord, shape), shape.fingering
            easier = [Voicing(neck, frets) for frets, asked in grips.items() if asked == best]
            flat = held is None or bool(held.barres)
            helped = bool(easier) and work(easier[0]) + 0.4 <= work(shape)
            helped = helped and (flat or len(easier[0].fretted) <= len(shape.fretted))
            helped = helped and (flat or apart(easier[0]) <= apart(shape))
            assert (found is not None) == helped, (symbol, shape.digits)
            assert found is None or found in easier, (symbol, shape.digits)
            rescued += found is not None
    assert rescued


def test_what_no_hand_can_hold_has_a_rescue_where_there_is_any() -> None:
    """1-9-1-9 is out of reach of any hand."""
    neck = Instrument.named("ukulele")
    wide = Voicing.parse("1-9-1-9", neck)
    assert wide.fingering is None
    assert rescue(Chord.parse("C"), wide) is not None


def test_the_effort_of_a_change_is_counted_by_its_fingers_the_way_and_the_barre(
    arranged: Arranged,
) -> None:
    """A finger that leaves its place counts one, 20 mm of way one, a barre that is laid two."""
    way = arranged("C=0003 | F=2010 | Bb=3211 | Cm=0333 | Bbm=3111 | C=0003 | Am=2000", tempo=90)
    changes = hard_changes(way, 90, None)
    assert len(changes) == 6
    laid = []
    for one in changes:
        change = one.change
        moved = [move for move in change.moves if move.what != STAYS and move.end is not None]
        barres = [each for each in change.after.barres if each not in change.before.barres]
        laid.append(len(barres))
        # A whole bar of four at 90: that is the time which there is.
        assert one.seconds == pytest.approx(4 * 60 / 90)
        asked = len(moved) + change.mm / 20 + 2 * len(barres)
        assert one.effort == pytest.approx(asked / one.seconds)
    assert 0 in laid and max(laid) == 1


def test_what_is_practised_asks_for_something_and_begins_at_a_bar_line(arranged: Arranged) -> None:
    """From A minor to C a finger is placed; from C to open strings none is."""
    way = arranged("C=0003 C6:2=0000 | Am=2000 | C=0003 F:2=2010 | C=0003")
    practised = practised_changes(way, 90)
    names = [one.names for one in practised]
    assert ("C", "C6") not in names and ("Am", "C") in names
    assert all(one.effort > 0 for one in practised)
    first = bars_first(practised)
    assert first is not None and first.before.bar != first.after.bar
    assert first == next(one for one in practised if one.over_a_bar_line)
    assert bars_first([one for one in practised if not one.over_a_bar_line]) is None
