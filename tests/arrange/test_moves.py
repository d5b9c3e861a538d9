"""Laws that every move obeys, on drawn tunes, and how a move is found by name.

The rules (common practice, no source) are stated here a second time, on what is played.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_tunes import KINDS, tunes

from harmonykit.arrange.arrangement import Step
from harmonykit.arrange.moves import MOVES, Refused, Setting, Variant, Web, move_named
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.slots import slots_of
from harmonykit.arrange.wishes import Wishes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune, beat_length

UKULELE = Instrument.named("ukulele")
WEIGHTS = {2: (2, 1), 3: (3, 1, 1), 4: (4, 1, 2, 1), 5: (4, 1, 1, 2, 1)}
LEAST = 0.4
THREE = ("leading-tone diminished", "rootless dominant", "ascending walk")
LEADING = ("leading-tone diminished", "passing diminished")


def is_diminished(step: Step) -> bool:
    return step.chord is not None and step.chord.semitones == (0, 3, 6, 9)


def place(tune: Tune, onset: Fraction) -> tuple[int, Fraction]:
    """Return the weight of a moment and the length of its beat; a pick-up ends with its bar."""
    played = max((p for p in tune.playing if p.onset <= onset), key=lambda p: p.onset)
    meter = played.bar.meter
    beat, whole = beat_length(meter), Fraction(4 * meter[0], meter[1])
    late = whole - played.bar.length if played.bar.number == 0 else 0
    at = (onset - played.onset + late) / beat
    count = int(whole / beat)
    weights = WEIGHTS.get(count, (2, *[1] * (count - 1)))
    return (weights[int(at)] if at.denominator == 1 else 0), beat


def clashing(tune: Tune, step: Step) -> list[str]:
    """Return the melody notes a semitone above a tone that are on a beat or half a beat long."""
    assert step.chord is not None
    found = []
    for sung in tune.melody:
        over = sung.onset < step.onset + step.beats and sung.onset + sung.beats > step.onset
        above = (sung.note.midi - 1) % 12 in {tone.pitch_class for tone in step.chord.tones}
        weight, beat = place(tune, sung.onset)
        if over and above and (weight > 0 or sung.beats * 2 >= beat):
            found.append(str(sung.note))
    return found


@pytest.mark.parametrize("name", list(MOVES))
@given(tune=tunes())
def test_a_variant_fills_its_slot_and_no_more(name: str, tune: Tune) -> None:
    """Total length unchanged, no gap, no bar line crossed, and something is put in."""
    setting = Setting(tune.key, tune.melody, tune.tempo, LEAST)
    for slot in slots_of(tune):
        offered = list(move_named(name).offer(slot, setting))
        webs = [each for each in offered if isinstance(each, Web)]
        for found in [*offered, *(row for web in webs for row in web.rows())]:
            if isinstance(found, Refused):
                assert found.rule
            if isinstance(found, Refused | Web):
                continue
            reached = slot.onset
            for part in found.parts:
                assert part.onset == reached and part.beats > 0
                (piece,) = [p for p in slot.pieces if p.bar == part.bar]
                assert piece.onset <= part.onset
                reached += part.beats
                assert reached <= piece.onset + piece.beats
            assert reached == slot.onset + slot.beats
            assert {part.move for part in found.parts} <= {"", name, *KINDS.get(name, ())}
            assert any(part.move for part in found.parts)
            assert not found.needs_next or slot.after is not None
            assert all(part.reason.strip(".") == part.reason for part in found.parts)


@pytest.mark.parametrize("name", THREE)
@given(tune=tunes(bars=4), prefer=st.booleans())
def test_what_is_played_keeps_the_rules(name: str, tune: Tune, prefer: bool) -> None:
    """Each inserted chord that leads is where the rules allow it, and leads to what is written."""
    (best,) = reharmonise(
        tune, UKULELE, [name], 1, wishes=Wishes(least_seconds=LEAST, prefer=name if prefer else "")
    )
    assert sum(step.beats for step in best.steps) == tune.length
    for index, step in enumerate(best.steps):
        if not step.move:
            assert step.chord == step.written and not step.reason
        elif name == "ascending walk":
            assert not is_diminished(step) or not clashing(tune, step)
        else:
            assert is_diminished(step)
            follow(tune, best.steps, index)


def follow(tune: Tune, steps: tuple[Step, ...], index: int) -> None:
    """Check an inserted diminished seventh against what comes before and after it."""
    step, before, first = steps[index], steps[index - 1] if index else None, index
    last = index
    while last + 1 < len(steps) and steps[last + 1].chord == step.chord and steps[last + 1].move:
        last += 1  # Over a bar line it goes on.
    while first and steps[first - 1].chord == step.chord and steps[first - 1].move:
        first -= 1
    before = steps[first - 1] if first else None
    assert step.chord is not None and step.written is not None and last + 1 < len(steps)
    target = steps[last + 1]
    assert target.chord is not None and target.chord == target.written
    assert not is_diminished(target) and not (before is not None and is_diminished(before))
    assert step.written.bass.pitch_class != target.chord.bass.pitch_class
    long = sum((s.beats for s in steps[first : last + 1]), Fraction(0))
    assert float(long) * 60 / tune.tempo >= LEAST - 1e-9
    assert not clashing(tune, step)
    split = before is not None and before.written == step.written and not before.move
    here, there = place(tune, steps[first].onset)[0], place(tune, target.onset)[0]
    if step.move in LEADING or split:
        assert before is not None and before.chord == step.written
        assert here < there
        assert before.beats >= place(tune, step.onset)[1]
    else:
        assert here <= there
    # It is the leading-tone chord of its target: of its bass, or of its root for a dominant.
    goal = target.chord.bass if step.move in LEADING else target.chord.root
    assert (goal.pitch_class - step.chord.root.pitch_class) % 12 == 1
    if step.move in LEADING:
        no_parent(step.written, step.chord)
    else:
        root = step.written.root.pitch_class
        assert sorted(step.chord.pcs) == sorted((root + n) % 12 for n in (1, 4, 7, 10))


def no_parent(before: Chord, inserted: Chord) -> None:
    """Lower one note of a diminished seventh: its parents' roots (published table of parents)."""
    roots = {(pc - 1) % 12 for pc in inserted.pcs}
    dominant = {4, 10} <= set(before.semitones)
    assert not (dominant and before.root.pitch_class in roots)


@given(tunes(bars=5), st.integers(1, 3))
def test_all_moves_together_keep_every_target(tune: Tune, k: int) -> None:
    """What a chord leads to is there, with the root and all the notes that the tune has."""
    for found in reharmonise(tune, UKULELE, k=k, wishes=Wishes(least_seconds=LEAST)):
        steps = found.steps
        for step, after in zip(steps, steps[1:], strict=False):
            both = is_diminished(step) and is_diminished(after) and step.chord != after.chord
            assert not both or not (step.move or after.move)
            if step.move in LEADING:
                assert step.chord is not None and after.chord and after.written
                assert after.chord.root == after.written.root
                assert set(after.written.pcs) <= set(after.chord.pcs)


def test_the_three_moves_are_known_by_name() -> None:
    assert set(THREE) <= set(MOVES)
    assert all(move_named(name).name == name for name in MOVES)


@pytest.mark.parametrize(
    ("typed", "near"),
    [
        ("aproach", "leading-tone diminished"),
        ("asending walk", "ascending walk"),
        ("dominant", "rootless dominant"),
    ],
)
def test_an_unknown_move_is_met_with_near_names(typed: str, near: str) -> None:
    with pytest.raises(HarmonyError, match=f"unknown move '{typed}'") as caught:
        move_named(typed)
    assert near in caught.value.mend


def test_a_name_like_no_other_is_met_with_all() -> None:
    with pytest.raises(HarmonyError) as caught:
        move_named("zzz")
    assert all(repr(name) in caught.value.mend for name in MOVES)


def test_a_setting_counts_seconds_at_its_tempo() -> None:
    from harmonykit.theory.key import Key

    setting = Setting(Key.parse("C"), (), 90.0, 2.0)
    assert setting.lasts(Fraction(3)) and not setting.lasts(Fraction(29, 10))


def test_variants_are_values() -> None:
    assert hash(Variant(())) == hash(Variant(()))
