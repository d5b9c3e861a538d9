"""Whether parts fit together, against pairs of notes counted one by one; and keys by brute force.

C is C E G, G7 is G B D F; on g C E A 0003 is G C E C, 0212 is G D F B, 1114 is A flat, D flat, F
and D flat.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_arrangements import Arranged

from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.shapes.grips import known_grip
from harmonykit.fretboard.shapes.ranking import rank_shapes
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.fitting import key_choices, pairs_beside, said_beside, said_fit
from harmonykit.lesson.together.parts import Part
from harmonykit.theory.chord import Chord
from harmonykit.tune.class_file import ClassFile
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
C, G7 = Chord.parse("C"), Chord.parse("G7")
ROOTS = "C Db D Eb E F F# G Ab A Bb B".split()
PCS = st.frozensets(st.integers(0, 11), max_size=6)


@given(PCS, PCS, st.sampled_from(["C", "G7", "Bdim7", "F#m7b5"]))
def test_pairs_a_half_step_apart_are_counted(
    one: frozenset[int], other: frozenset[int], symbol: str
) -> None:
    chord = Chord.parse(symbol)
    tones = {note.pitch_class for note in chord.notes}
    wanted = 0
    for a in one:
        for b in other:
            # What both parts have belongs to both: it is doubled, and rubs with neither.
            if a in other or b in one or (a in tones and b in tones):
                continue
            wanted += abs(a - b) in (1, 11)
    assert pairs_beside(one, other, chord) == wanted
    assert pairs_beside(other, one, chord) == wanted


def part(name: str, **shapes: str) -> Part:
    found = {
        Chord.parse(symbol): Voicing.parse(digits, UKULELE) for symbol, digits in shapes.items()
    }
    names = {chord: chord.unicode for chord in found}
    return Part(name, "", UKULELE, found, names)


USUAL, FAR = part("Usual", C="0003", G7="0212"), part("Far", C="1114", G7="0212")


def test_parts_take_turns_in_the_bars_where_they_clash() -> None:
    """A flat, D flat and F beside G, C and E: five pairs a half step apart."""
    assert pairs_beside(USUAL.sounds(C), FAR.sounds(C), C) > 1
    tune = Tune.parse("| C | G7 | G7 | C |")
    assert said_fit([USUAL, FAR], tune) == (
        "Usual and Far clash in bars 1 and 4; take turns there.", "The others: all together.",
    )  # fmt: skip
    alone = Tune.parse("| G7 | G7 C | G7 |")
    assert said_fit([USUAL, FAR], alone)[0] == "Usual and Far clash in bar 2; take turns there."
    assert said_fit([USUAL, USUAL], tune) == ("All together in every bar.",)
    # Silence clashes with nothing.
    silent = Tune.parse("| N.C. | G7 | C |")
    assert said_fit([USUAL, FAR], silent)[0] == "Usual and Far clash in bar 3; take turns there."
    three = said_fit([USUAL, FAR, part("Other", C="0003", G7="0212")], tune)
    assert [line.split(" clash")[0] for line in three[:-1]] == ["Usual and Far", "Far and Other"]


def test_a_level_is_said_to_sound_beside_parts_or_to_clash(arranged: Arranged) -> None:
    way = arranged("C=0003 | NC | G7=0212 | C=0003")
    (line,) = said_beside([USUAL], [way])
    assert line == f"{way.name}: together with every part."
    (line,) = said_beside([USUAL, FAR], [way])
    assert line == f"{way.name}: clashes with Far in bars 1 and 4; take turns there."
    assert len(list(said_beside([USUAL], [way, way]))) == 2


SUNG = """format = 1
title = "Ebb"
key = "C"
meter = "4/4"
[[sections]]
name = "A"
changes = "| C | Eb7 | F |"
melody = "| C4:4 | G4:4 | C5:4 |"
"""


def test_keys_are_all_twelve_the_easiest_first() -> None:
    tune = Tune.parse(SUNG)
    keys = key_choices(tune, UKULELE)
    assert len({key.sounds.tonic.pitch_class for key in keys}) == len(keys) == 12
    order = [(-key.known, key.outside or 0, key.capo) for key in keys]
    assert order == sorted(order)
    for key in keys:
        # A capo at a fret raises what the hands play by as many semitones.
        assert (key.sounds.tonic.pitch_class - key.played.tonic.pitch_class) % 12 == key.capo
        assert 0 <= key.capo <= 5 and 0 <= key.known <= key.chords == 3
        # The melody's ends are an octave apart, at the pitch of its key.
        assert key.lowest is not None and key.highest is not None
        assert key.highest - key.lowest == 12
        assert key.lowest % 12 == key.sounds.tonic.pitch_class
    plain = key_choices(Tune.parse("| C | F |"), UKULELE)
    assert all((key.outside, key.lowest, key.highest) == (None, None, None) for key in plain)


@pytest.mark.parametrize(("low", "high"), [("C1", "C2"), ("C3", "C4"), ("C4", "C5"), ("C6", "C7")])
def test_a_melody_is_set_in_the_octave_that_fits_best(low: str, high: str) -> None:
    """Written too low or too high it is sung where it lies best: octaves make no difference."""
    text = SUNG.replace("C4:4 | G4:4 | C5:4", f"{low}:4 | {low}:4 | {high}:4")
    (own,) = [k for k in key_choices(Tune.parse(text), UKULELE) if k.sounds.tonic.name == "C"]
    # By hand: from A3 (57) to C5 (72); C4 to C5 lies within.
    if low != "C1":
        assert (own.lowest, own.highest, own.outside) == (60, 72, 0)
    else:
        # Two octaves is the furthest: C3 to C4, nine semitones under A3.
        assert (own.lowest, own.highest, own.outside) == (48, 60, 9)


def test_of_two_keys_as_good_and_as_far_the_higher_comes_first() -> None:
    """In each of the twelve keys; a tune without a melody has no range to go by."""
    for key in ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"):
        tune = Tune.parse(f"Key: {key}\n| {key} | {key} |")
        own = tune.key.tonic.pitch_class
        found = key_choices(tune, UKULELE)
        steps = [(one.sounds.tonic.pitch_class - own + 5) % 12 - 5 for one in found]
        assert sorted(steps) == list(range(-5, 7))
        ranks = [(-one.known, one.capo, abs(step), step < 0)
                 for one, step in zip(found, steps, strict=True)]  # fmt: skip
        assert ranks == sorted(ranks)


@pytest.mark.parametrize("grips", [("C 0003", "F 2010", "G7 0212"), ("D 2220", "A7 0100"), ()])
def test_a_capo_lies_as_low_as_it_can_where_the_most_grips_are_known(
    grips: tuple[str, ...],
) -> None:
    """Frets 0 to 5 are tried for each of the twelve keys, and grips counted chord by chord."""
    tune = Tune.parse("| C | F | G7 | C |")
    knows = ClassFile.of("Ours", "ukulele", *grips) if grips else None

    def known(key: int) -> int:
        count = 0
        for name, root in (("", 0), ("", 5), ("7", 7)):
            chord = Chord.of(ROOTS[(key + root) % 12], name)
            if knows is not None:
                count += known_grip(chord, knows.grips_on(UKULELE)) is not None
            else:
                # Two fingers at most and none flat, low on the neck: one of the first three shapes.
                shapes = rank_shapes(chord, UKULELE)[:3]
                held = [fit(one.frets, UKULELE, limits_at(1, UKULELE)) for one in shapes]
                easy = [h for h in held if h and not h.barres and len(set(h.fingers) - {0}) <= 2]
                count += bool(easy)
        return count

    found = key_choices(tune, UKULELE, knows)
    assert len(found) == 12
    capos = set()
    for one in found:
        heard = one.sounds.tonic.pitch_class
        ways = [known((heard - capo) % 12) for capo in range(6)]
        assert (one.known, one.capo) == (max(ways), ways.index(max(ways)))
        assert one.chords == 3
        capos.add(one.capo)
    assert {0, 5} <= capos or not grips
