"""Lessons made by a grammar: thousands are read and judged, some are built whole."""

from __future__ import annotations

import random
import time
from collections import Counter
from pathlib import Path

from made_tunes import write_tunes
from proving import Tell, many

import harmonykit as hk
from harmonykit.arrange.moves import MOVES
from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import build_lesson
from harmonykit.lesson.statements.signature import EXAMPLES
from harmonykit.workbook.writing.reader import LessonReader

INSTRUMENTS = ("ukulele", "baritone", "guitar", "tenor low g", "mandolin", "banjo")
SETTINGS = {
    "style": ("usual", "smooth", "low on the neck", "walking", "few shapes", "sparse", "rich"),
    "texture": ("open and barre", "shells", "two strings", "close", "rootless"),
    "density": ("usual", "any"),
    "walks": ("ascending", "descending", "both"),
}
HEADINGS = ("The idea", "Two sounds", "The tune", "At home", "What changed?")
PLAIN = (
    "Play each of them twice, slowly.", "One of them is not in the key.", "Sing the lowest note.",
    "Three voices stay and one falls by a half step.", "Every other bar is left alone.",
)  # fmt: skip


def made_lesson(chance: random.Random, tune: str) -> str:
    """Return a lesson on a tune beside it, of random levels, calls and words."""
    levels = []
    for number in range(chance.randrange(1, 4)):
        moves = chance.sample(sorted(MOVES), chance.randrange(3, 6) if number else 0)
        given = [f'name = "Level {number}"', f"moves = {moves!r}".replace("'", '"')]
        if chance.random() < 0.4:
            given.append(f"tempo = {chance.randrange(40, 200)}")
        for key, values in SETTINGS.items():
            if chance.random() < 0.2:
                given.append(f'{key} = "{chance.choice(values)}"')
        levels.append("[[levels]]\n" + "\n".join(given) + "\n")
    blocks = []
    for _ in range(chance.randrange(1, 5)):
        lines = [f"## {chance.choice(HEADINGS)}"]
        for _ in range(chance.randrange(1, 5)):
            call = chance.choice(list(EXAMPLES.values()))
            lines.append(chance.choice([f"{{{{ {call} }}}}", chance.choice(PLAIN)]))
        blocks.append("\n\n".join(lines))
    instrument = chance.choice(INSTRUMENTS)
    chord = f"{chance.choice('CDEFGAB')}{chance.choice(('dim7', '7', 'm6', 'm7b5', '6'))}"
    shape = hk.find_voicings(chord, instrument)[0]
    frets = "-".join("x" if fret is None else str(fret) for fret in shape.frets)
    return (
        f'+++\nformat = 2\ntitle = "Made {chance.random():.6f}"\nclass = "Quay"\n'
        f'tune = "{tune}"\ninstrument = "{instrument}"\n'
        f'chord = "{chord}"\nchord_shape = "{frets}"\n'
        f"\n{''.join(levels)}+++\n\n" + "\n\n".join(blocks) + "\n"
    )


def test_five_thousand_lessons_are_read(tmp_path: Path, tell: Tell) -> None:
    tunes = write_tunes(tmp_path, range(20))
    chance, came, begun = random.Random(5), Counter[str](), time.monotonic()
    for _ in range(many(5_000)):
        text = made_lesson(chance, chance.choice(tunes).name)
        look = LessonReader().look(tmp_path / "made.md", text)
        for verdict in look.verdicts:
            assert verdict.kind and verdict.said is not None
            came[verdict.kind] += 1
        came["refused" if look.fault else "read"] += 1
        assert look.fault is None or str(look.fault).strip()
    each = (time.monotonic() - begun) / many(5_000) * 1e3
    told = ", ".join(f"{kind} {count:,}" for kind, count in came.most_common())
    tell("lessons by grammar, read", f"{many(5_000):,}", "real", f"{each:.0f} ms each; {told}")


def test_two_hundred_are_built(tmp_path: Path, tell: Tell) -> None:
    tunes = write_tunes(tmp_path, range(20))
    chance, came, begun = random.Random(6), Counter[str](), time.monotonic()
    while came["built"] < many(200):
        number = came.total()
        text = made_lesson(chance, chance.choice(tunes).name)
        text = text.replace("format = 2", 'format = 2\noutputs = ["script", "scores", "page"]', 1)
        path = tmp_path / "made.md"
        path.write_text(text, encoding="utf-8")
        try:
            out = build_lesson(path, tmp_path / f"out{number}")
            assert (out / "script.md").is_file() and (out / "manifest.json").is_file()
            came["built"] += 1
        except HarmonyError as error:
            assert str(error).strip()
            assert not (tmp_path / f"out{number}").exists()
            came["refused"] += 1
    spent = time.monotonic() - begun
    each = spent / came["built"]
    rest = f"{each:.1f} s each; {came['refused']} refused, each with its reason"
    tell("lessons by grammar, built", str(came["built"]), "real", rest)
