"""Tunes made from seeds, as many as one likes: phrases of the trade in usual forms, keys, metres.

Common practice, no source; invented.  The same seed makes the same tune.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from pathlib import Path

from harmonykit.score.files import write_tune
from harmonykit.tune.tune import Tune

OPENERS = {
    "C": (
        "C | Am | F | G7", "C6 | Ab7 | Dm7 | G7", "C | C7 | F | Bb7", "C | Em | F | G7",
        "F6 | G7 | Em7 | A7", "Am | D7 | Dm7 | G7", "C | G7/B | Am | F", "C | F | C | G7",
        "Dm7 | G7 | C6 | E7", "C6 | C6 | Dm7 | G7", "C | E7 | Am | D7", "Cmaj7 | Em7 | Dm7 | G7",
    ),
    "Am": (
        "Am | Dm | E7 | Am", "Am | G | F | E7", "Am | F | C | G7", "Dm | Am | E7 | Am",
        "Am | E7 | Am | A7", "Dm7 | G7 | C6 | F6", "Am6 | Am6 | Dm7 | E7", "Am | C | Dm | E7",
    ),
}  # fmt: skip
CLOSERS = {
    "C": (
        "F | Bb7 | C | G7", "Dm7 | G7 | C6 | C6", "F | G7 | C | C", "C Ab7 | Dm7 G7 | C6 | C6",
        "Am7 D7 | G7 | C | C", "F6 F#dim7 | C E7 | Am7 G7 | C6",
    ),
    "Am": (
        "Bm7b5 | E7 | Am | Am", "Dm | E7 | Am | Am", "F | E7 | Am | Am", "Dm6 E7 | Am | E7 | Am",
    ),
}  # fmt: skip
FORMS = ("AABA", "AB", "AABB", "ABAC", "A")
HOMES = {"C": "C G D A F Bb Eb", "Am": "A D E G C B"}
PLACES = "Bollard Slipway Lantern Halyard Shingle Tideline Breakwater Cleat Gangway Oarlock".split()
KINDS = "Reel Waltz Shuffle Jig Air Stroll Rag Lullaby".split()


def made_tune(seed: int) -> Tune:
    """Return the tune of a seed."""
    chance = random.Random(seed)
    home = chance.choice(("C", "C", "Am"))
    form = chance.choice(FORMS)
    meter = chance.choice(("4/4", "4/4", "4/4", "3/4", "6/8"))
    title = f"{chance.choice(PLACES)} {chance.choice(KINDS)} {seed}"
    sections = "".join(_section(chance, name, home, meter) for name in sorted(set(form)))
    tune = Tune.parse(
        f'format = 1\ntitle = "{title}"\nkey = "{home}"\nmeter = "{meter}"\n'
        f"tempo = {chance.randrange(72, 168, 4)}\nform = {list(form)}\n{sections}"
    )
    end = chance.choice(HOMES[home].split())
    return tune.transpose(f"{_INTERVALS[home][end]}")


def write_tunes(folder: Path, seeds: Sequence[int]) -> list[Path]:
    """Write the tunes of some seeds as files of their own; return their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"made_{seed:04}.toml" for seed in seeds]
    for seed, path in zip(seeds, paths, strict=True):
        write_tune(made_tune(seed), path)
    return paths


def _section(chance: random.Random, name: str, home: str, meter: str) -> str:
    phrases = chance.choice(OPENERS[home]), chance.choice(CLOSERS[home])
    bars = " | ".join(phrases)
    if meter != "4/4":
        # Two chords do not halve a bar of three: the first of them has it.
        bars = " | ".join(bar.split()[0] for bar in bars.split("|"))
    return f'\n[[sections]]\nname = "{name}"\nchanges = "| {bars} |"\n'


_INTERVALS = {
    "C": {"C": "P1", "G": "P5", "D": "M2", "A": "M6", "F": "P4", "Bb": "m7", "Eb": "m3"},
    "Am": {"A": "P1", "D": "P4", "E": "P5", "G": "m7", "C": "m3", "B": "M2"},
}
