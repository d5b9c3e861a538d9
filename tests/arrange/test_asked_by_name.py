"""What a player asks for by name stands where its row is, on few strings and on many.

The rows are common practice, no source.
"""

from __future__ import annotations

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.tune.tune import Tune

MAJOR = "| C6 | F6 | C6 | G7 | C6 | F6 | C6 | C6 |"
MINOR = "| Am7 | Dm7 | E7 | Am7 | Dm7 | E7 | Am7 | Am7 |"
TRIADS = "| Am | Dm | E7 | Am | Dm | E7 | Am | Am |"


def asked(name: str, changes: str, key: str, instrument: str) -> Arrangement:
    tune = Tune.parse(
        f'format = 1\ntitle = "Slipway"\nkey = "{key}"\nmeter = "4/4"\ntempo = 110\n'
        f'form = ["A", "A"]\n[[sections]]\nname = "A"\nchanges = "{changes}"\n'
    )
    return reharmonise(tune, instrument, [name], 1, wishes=Wishes(prefer=name))[0]


@pytest.mark.parametrize("instrument", ["ukulele", "guitar"])
@pytest.mark.parametrize(
    ("name", "changes", "key", "row"),
    [
        ("turnaround", MAJOR, "C", "C6 Am7 Dm7 G7"),
        ("minor turnaround", MINOR, "Am", "Am7 F#m7b5 Bm7b5 E7"),
        ("minor turnaround", TRIADS, "Am", "Am F#m7b5 Bm7b5 E7"),
    ],
)
def test_a_turnaround_stands(name: str, changes: str, key: str, row: str, instrument: str) -> None:
    way = asked(name, changes, key, instrument)
    assert [str(step.chord) for bar in way.bars()[6:8] for step in bar] == row.split()


def test_a_guitar_plays_a_bass_line_itself() -> None:
    """C E F F♯ G under I I/3 IV ♯iv°7 I/5; four strings leave it to whoever plays the bass."""
    name = "turnaround through the raised fourth"
    way = asked(name, "| C6 | F6 | C6 | G7 | C6 | C6 |", "C", "guitar")
    lowest = [min(step.voicing.sounding) for step in way.steps[:5] if step.voicing]
    assert [pitch % 12 for pitch in lowest] == [0, 4, 5, 6, 7]
    assert lowest[1:] == sorted(lowest[1:])
    assert not asked(name, "| C6 | F6 | C6 | G7 | C6 | C6 |", "C", "ukulele").added
