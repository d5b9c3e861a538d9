"""Questions of many seeds: whole, answered by their own answer, the same on every machine."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.home.figures import figure_of
from harmonykit.practice.kinds import KINDS, ask
from harmonykit.practice.question import LEVELS, RIGHT, Question, Spec, Verdict
from harmonykit.practice.theme import EVERYTHING, Theme

INSTRUMENTS = ("ukulele", "ukulele low g", "baritone ukulele", "guitar")

WAYS = [
    (k.name, medium, n + 1) for k in KINDS.values() for medium in k.media for n in range(LEVELS)
]
SEEDS = 2_000


def question(seed: int) -> Question:
    """Return the question of a seed: kinds, media and levels in turn, most on the ukulele."""
    kind, medium, level = WAYS[seed % len(WAYS)]
    themes = [EVERYTHING] * 3 + [Theme(instrument=INSTRUMENTS[seed // 7 % len(INSTRUMENTS)])]
    return ask(Spec(f"seed {seed}", seed // len(WAYS) + 1, kind, medium, level), themes[seed % 4])


@pytest.mark.parametrize("start", range(0, SEEDS, 500))
def test_questions_of_two_thousand_seeds_are_whole_and_their_answers_right(start: int) -> None:
    for seed in range(start, start + 500):
        asked = question(seed)
        assert asked.text[-1] in ".?" and len(asked.text) < 240 and "None" not in asked.text
        assert len(asked.hints) >= 3 and len(set(asked.hints)) == len(asked.hints)
        assert all(hint[-1] in ".:" and "None" not in hint for hint in asked.hints)
        verdict = asked.judge(asked.answer)
        assert verdict.score == RIGHT and verdict.said.startswith("Right. "), asked
        assert asked.spec.medium != "ear" or len(asked.sounds) >= 2
        assert all(36 <= pitch <= 96 for pitches in asked.sounds for pitch in pitches)
        silent = [place for place, pitches in enumerate(asked.sounds) if not pitches]
        cadence = [4] if asked.spec.kind == "function" else []
        assert silent == ([2, 5][: len(silent)] if asked.form == "letter" else cadence)


def test_the_second_hint_of_a_shape_says_at_which_frets_it_lies() -> None:
    for seed in range(40):
        asked = ask(Spec(f"seed {seed}", 1, "shape", "neck", 1 + seed % LEVELS), EVERYTHING)
        pressed = [int(fret) for fret in asked.answer.split("-") if fret not in ("0", "x")]
        low, high = min(pressed, default=0), max(pressed, default=0)
        at = f"fret {low}" if pressed and low == high else f"frets {low} to {high}"
        assert asked.hints[1] == f"One such shape is at {at if pressed else 'the open strings'}."


def test_no_hint_but_the_last_holds_the_whole_answer() -> None:
    for seed in range(400):
        asked = question(seed)
        words = [re.escape(each) for each in asked.answer.split()]
        if len(words) > 1 and asked.form in ("chords", "notes") and asked.spec.kind != "spelling":
            printed = asked.answer.replace("b", "♭").replace("#", "♯").split()
            for hint in asked.hints[:1]:
                assert not all(re.search(rf"\b{each}", hint) for each in printed), hint


def test_a_seed_asks_the_same_in_another_process_whatever_the_hash(root: Path) -> None:
    code = (
        "from harmonykit.practice.kinds import KINDS, ask\n"
        "from harmonykit.practice.question import Spec\n"
        "for k in KINDS.values():\n"
        "    for level in (1, 2, 3, 4):\n"
        "        q = ask(Spec('quay', 3, k.name, k.media[0], level))\n"
        "        print(ascii((q.text, q.answer, q.hints, q.sounds)))\n"
        "from harmonykit.home.practice import write_practice\n"
        "from harmonykit.practice.theme import Theme\n"
        "print(ascii(write_practice(Theme(), most=6)))\n"
    )
    printed = [
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONPATH": str(root), "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert printed[0] == printed[1] and len(printed[0].splitlines()) == 4 * len(KINDS) + 1


def test_questions_do_not_repeat_soon() -> None:
    """Of forty in a row of each kind at the highest level many differ."""
    for kind in KINDS.values():
        texts = {
            (q.text, q.answer)
            for q in (ask(Spec("quay", n, kind.name, kind.media[0], 4)) for n in range(1, 41))
        }
        assert len(texts) > 10, kind.name


def test_what_there_is_not_cannot_be_asked() -> None:
    with pytest.raises(HarmonyError, match="unknown exercise 'songs'"):
        ask(Spec("quay", 1, "songs"))
    with pytest.raises(HarmonyError, match="cannot be asked by 'ear'"):
        ask(Spec("quay", 1, "spelling", "ear"))
    with pytest.raises(HarmonyError, match="unknown level 9"):
        ask(Spec("quay", 1, "scale", "words", 9))


answers = st.text(max_size=40) | st.text("ABCDEFGabcdefg#b♭♯m7do° -,;x0123", max_size=40)


@given(st.integers(0, 479), answers)
def test_whatever_is_written_is_judged_or_told_that_it_cannot_be_read(
    seed: int, answer: str
) -> None:
    try:
        verdict = question(seed).judge(answer)
    except HarmonyError as error:
        assert error.what
    else:
        assert isinstance(verdict, Verdict)
        heads = ("Right.",) if verdict.score == RIGHT else ("Nearly.", "Not yet.")
        assert verdict.said.startswith(heads) and 0 <= verdict.score <= 1
        assert verdict.score == RIGHT or len(verdict.said) > len("Not yet. ")


@pytest.mark.parametrize("instrument", [*INSTRUMENTS, "G4 D4 A3 E3"])
def test_every_kind_is_asked_on_every_instrument(instrument: str) -> None:
    for kind, medium, level in WAYS:
        asked = ask(Spec("pier", 5, kind, medium, level), Theme(instrument=instrument))
        assert asked.judge(asked.answer).score == RIGHT


def test_a_kind_alone_is_told_what_to_type() -> None:
    with pytest.raises(HarmonyError, match=r'Spec\("harbour", 1, "scale"\)'):
        ask("scale")  # type: ignore[arg-type]


def test_the_picture_of_a_resolution_spells_the_notes_as_its_reason_does() -> None:
    """In a resolution to A the leading tone is G♯ (common practice), also of D°7."""
    for number in range(1, 25):
        asked = ask(Spec("spelt", number, "targets", "words", level=1))
        verdict = asked.judge(asked.answer)
        was = [name for _, name in figure_of(verdict.seen)["was"]]
        assert was and all(re.search(rf"(?<!\w){name} (rises|falls)", verdict.said) for name in was)


@pytest.mark.parametrize("level", [1, 2, 3])
def test_what_a_chord_does_in_its_key_may_be_answered_by_a_numeral(level: int) -> None:
    for seed in range(8):
        asked = ask(Spec(f"seed {seed}", 1, "function", "ear", level), EVERYTHING)
        named = re.findall(r"(\S+) \(([^)]+)\)", asked.text.partition("Is it")[2])
        assert len(named) > 1
        right = [numeral for _, numeral in named if asked.judge(numeral).score == RIGHT]
        assert right == [n for chord, n in named if asked.judge(chord).score == RIGHT]
        assert len(right) == 1
