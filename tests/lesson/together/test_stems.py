"""The stem of who sings, where the tune has no melody: the line of chord tones, held."""

from __future__ import annotations

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.parts import parts_of
from harmonykit.lesson.together.stems import stems_of
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
# Quarters a minute: a quarter lasts half a second.
HEAD = 'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\ntempo = 120\n'


def test_a_line_holds_each_note_until_the_next_chord_and_is_silent_where_there_is_none() -> None:
    tune = Tune.parse(f'{HEAD}[[sections]]\nname = "A"\nchanges = "| C | F G7 | N.C. | C |"\n')
    stems = dict(stems_of(tune, UKULELE))
    assert list(stems) == [
        "part-1-one-finger", "part-2-two-strings", "part-3-usual-grips", "part-4-rich-grips",
        "part-5-bass", "part-6-sing",
    ]  # fmt: skip
    sung = stems["part-6-sing"]
    line = parts_of(tune, UKULELE)[-1].line
    named = {str(chord): note.midi for chord, note in line.items()}
    notes = sorted(sung.tones, key=lambda event: event.onset)
    assert [event.midi for event in notes] == [named[name] for name in ("C", "F", "G7", "C")]
    begun = notes[0].onset
    assert [round(event.onset - begun, 6) for event in notes] == [0, 2, 3, 6]
    assert [round(event.length, 6) for event in notes][:3] == [2, 1, 1]
    # The last is held to the end, which is that of all stems.
    assert notes[-1].end == sung.seconds
    assert len({each.seconds for each in stems.values()}) == 1
    # No drum, and the clicks of all are alike.
    clicks = {tuple(e.onset for e in each.clicks) for each in stems.values()}
    assert len(clicks) == 1 and clicks != {()}
    # A bass has the root of each chord where it begins, none where there is none: E1 is 28.
    bass = {round(2 * (event.onset - begun)): event.midi for event in stems["part-5-bass"].tones}
    assert [bass[at] % 12 for at in (0, 4, 6, 12)] == [0, 5, 7, 0]
    assert min(bass.values()) >= 28 and not bass.keys() & {8, 9, 10, 11}
