"""How long the text form of a tune takes to read, against music21 with the same music, in one run.

The figure to keep: a tune of 500 bars in at most a tenth of music21's time for the same tune as
MusicXML.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from measured import measured, repeated

from harmonykit.score.lead import lead_score
from harmonykit.score.musicxml_out import write_musicxml
from harmonykit.theory.symbols import read as symbol_read
from harmonykit.tune.tune import Tune

MOST_RATIO = 0.1
BARS = 500
ROUNDS = 5
WORDS = (
    "C6", "Am7 D7", "Dm7", "G7(b9) / / Db7", "Cmaj7", "Em7b5 A7@3.5", "F6 F#dim7", "C/G", "Bbmaj7",
    "G7sus4 G7", "Ebdim7", "Ab13",
)  # fmt: skip


def text_of(bars: int) -> str:
    changes = "".join(f"| {WORDS[n % len(WORDS)]} {'|' * (n % 4 == 3)}\n" for n in range(bars))
    melody = "".join("| C5:3/2 D5:1/2 E5 G5:1/3 F5:1/3 E5:1/3 |\n" for _ in range(bars))
    return (
        'format = 1\ntitle = "Long Breakwater"\nkey = "C"\nmeter = "4/4"\n'
        '[[sections]]\nname = "A"\n'
        f"changes = '''\n{changes}'''\nmelody = '''\n{melody}'''\n"
    )


def _seconds(call: Callable[[], object]) -> float:
    begun = time.perf_counter()
    call()
    return time.perf_counter() - begun


def test_a_long_tune_reads_in_a_tenth_of_music21s_time() -> None:
    from music21 import converter

    text = text_of(BARS)
    tune = Tune.parse(text)
    assert len(tune.bars) == BARS
    score = write_musicxml(lead_score(tune))

    def theirs() -> object:
        return converter.parse(score, format="musicxml", forceSource=True)

    def mine() -> object:
        for cached in vars(symbol_read).values():
            if hasattr(cached, "cache_clear"):
                cached.cache_clear()
        return Tune.parse(text)

    rounds = repeated(lambda: (_seconds(mine), _seconds(theirs)), ROUNDS)
    ours, library = map(min, zip(*rounds, strict=True))
    assert measured(
        "a tune of 500 bars read", ours, beside=("music21", library), most=MOST_RATIO
    ).met
