"""Small percussion: where its data has it, as human as its groove says, and silent where it is."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import groupby, pairwise
from statistics import mean, pstdev

import pytest
from small_arrangements import _arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.errors import HarmonyError
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.sound.events import play
from harmonykit.sound.files import write_midi
from harmonykit.sound.parts import MIDI, hardness
from harmonykit.sound.strums import ratio_of, swung
from harmonykit.tune.bar import bar_length
from harmonykit.tune.groove.shelf import grooves
from harmonykit.tune.groove.strokes import hits_of
from harmonykit.tune.groove.value import Groove

BARS = 33
SHAKEN = hits_of("S (S) S+T! (S)", (4, 4))


def one_chord(groove: Groove, changes: str = "", tempo: float = 100) -> Arrangement:
    text = changes or " | ".join(["C=0003"] * BARS)
    steady = replace(groove, ritard=1.0, ending=())
    return _arranged(text, groove.meter, tempo, groove=steady)


@pytest.mark.parametrize("name", grooves())
def test_percussion_falls_where_the_data_has_it_and_no_two_bars_are_alike(name: str) -> None:
    groove, tempo = grooves()[name], 100.0
    performance = play(one_chord(groove), count_in=False, click=False)
    quarter, whole = 60 / tempo, float(bar_length(groove.meter))
    bound = min(groove.timing / 1000, 0.05 * quarter) + 1e-9
    ratio = ratio_of(groove, tempo)
    meant = [
        [(swung(h.at, groove.meter, ratio) * quarter, MIDI[h.what], hardness(h)) for h in bar]
        for bar in groove.beat
    ]
    histogram: Counter[tuple[int, float, int]] = Counter()
    late: list[float] = []
    louder: list[int] = []
    for hit in performance.percussion:
        bar = int((hit.onset + bound) / (whole * quarter))
        inside = hit.onset - bar * whole * quarter
        here = [one for one in meant[bar % len(meant)] if one[1] == hit.midi]
        if bar == BARS - 1:
            # The last chord is held: its first place alone.
            assert inside <= bound
            continue
        place, what, hard = min(here, key=lambda one: abs(one[0] - inside))
        assert abs(inside - place) <= bound and abs(hit.velocity - hard) <= groove.dynamics
        histogram[bar % len(meant), place, what] += 1
        late.append(inside - place)
        louder.append(hit.velocity - hard)
    turns = [len(range(turn, BARS - 1, len(meant))) for turn in range(len(meant))]
    asked = {(n, at, what): turns[n] for n, bar in enumerate(meant) for at, what, _ in bar}
    assert histogram == asked
    assert abs(mean(late)) < bound / 3 and pstdev(late) > bound / 10 and pstdev(louder) > 0.5
    by_bar = [
        [(round(hit.onset - n * whole * quarter, 6), hit.velocity) for hit in hits]
        for n, hits in groupby(
            performance.percussion, key=lambda hit: int((hit.onset + bound) / (whole * quarter))
        )
    ]
    assert len({tuple(bar) for bar in by_bar}) == len(by_bar)


def test_percussion_is_silent_where_no_chord_sounds_and_while_one_is_held() -> None:
    groove = Groove("shaken", (4, 4), Groove.parse("D D D D").bars, beat=SHAKEN).exact
    way = reharmonise("| C | N.C. | C {fermata} | C |", "ukulele", (), k=1)[0]
    performance = play(replace(way, groove=groove), 60, count_in=False, click=False)
    starts = [start for _, start in performance.bars]
    places = [
        [round(hit.onset - start, 6) for hit in performance.percussion if start <= hit.onset < end]
        for start, end in zip(starts, [*starts[1:], performance.seconds], strict=True)
    ]
    assert places == [[0, 1, 2, 2, 3], [], [0], [0]]


@cache
def bossa() -> Arrangement:
    return reharmonise(read_tune(find_data("tunes", "dry_dock_bossa")), "ukulele", (), k=1)[0]


def test_percussion_is_the_tenth_channel_of_a_midi_file() -> None:
    """General MIDI, RP-003: percussion on channel 10, its sounds by their numbers."""
    import io

    import mido

    played = play(bossa())
    file = mido.MidiFile(file=io.BytesIO(write_midi(played)))
    track = next(track for track in file.tracks if track.name == "percussion")
    struck = [one for one in track if one.type == "note_on" and one.velocity]
    assert {one.channel for one in struck} == {9} and {one.note for one in struck} == {37, 82}
    assert len(struck) == len(played.percussion) > 300
    for what in (37, 82):
        ends = [(hit.onset, hit.end) for hit in played.percussion if hit.midi == what]
        assert all(end <= onset + 1e-9 for (_, end), (onset, _) in pairwise(ends))
    less = played.without("drum")
    assert not less.percussion and len(less.events) + len(struck) == len(played.events)


@pytest.mark.parametrize(
    ("text", "column"), [("S Q S S", 3), ("S S S", 1), ("S+ S S S", 2), ("S - S+T!+(B) (S)", 0)]
)
def test_a_line_of_percussion_is_read_or_refused_with_its_column(text: str, column: int) -> None:
    if not column:
        bars = hits_of(text, (4, 4))
        assert Groove("own", (4, 4), Groove.parse("D D D D").bars, beat=bars).percussion == text
        return
    with pytest.raises(HarmonyError) as raised:
        hits_of(text, (4, 4))
    assert raised.value.place is not None and raised.value.place.column == column
