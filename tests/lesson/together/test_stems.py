"""The stem of who sings, where the tune has no melody: the line of chord tones, held."""

from __future__ import annotations

import pytest

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.parts import BASS, parts_of
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
    # A bass has the root of each chord where it begins, and the fifth of a whole bar: E1 is 28.
    bass = {round(2 * (event.onset - begun)): event.midi for event in stems["part-5-bass"].tones}
    assert bass == {0: 36, 2: 31, 4: 29, 6: 31, 12: 36, 14: 31}


@pytest.mark.parametrize("style", ["swing", "jazz waltz", "bossa"])
def test_a_bass_plays_its_page_whatever_the_style(style: str) -> None:
    """Of three beats no fifth: the roots of E♭, C and B♭, on the page and in the stem."""
    head = HEAD.replace("4/4", "3/4" if "waltz" in style else "4/4") + f'style = "{style}"\n'
    tune = Tune.parse(f'{head}[[sections]]\nname = "A"\nchanges = "| Eb | Cm | Bb7 | Eb |"\n')
    part = next(part for part in parts_of(tune, UKULELE) if part.name == BASS)
    written = [
        min(shape.sounding)
        for bar in tune.bars
        for change in bar.changes
        for _, shape in part.struck(bar, change)
    ]
    played = dict(stems_of(tune, UKULELE))["part-5-bass"].tones
    assert [event.midi for event in played] == written
    assert len(written) == (4 if "waltz" in style else 8)
    assert ("mid-bar" in part.about) == ("waltz" not in style)
