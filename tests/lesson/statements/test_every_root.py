"""Statements about every root: true, false, and said without the name of a note."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import every_root, laws
from harmonykit.lesson.statements.kinds import Stated
from harmonykit.lesson.statements.laws import LAWS
from harmonykit.theory.chord import Chord


def mend_of(call: Callable[[], object]) -> str:
    with pytest.raises(LessonError) as caught:
        call()
    return caught.value.mend


def test_exactly() -> None:
    assert every_root.exactly("diminished sevenths", 3)[0].startswith("There are exactly three")
    assert "four roots" in every_root.exactly("places", 4)[0]
    with pytest.raises(LessonError, match="there are 3"):
        every_root.exactly("diminished sevenths", 4)
    with pytest.raises(LessonError, match="cannot be counted"):
        every_root.exactly("angels", 7)


def test_qualities_are_counted_by_their_different_sets_of_notes() -> None:
    """Twelve over the number of turns that fix the set: dim7 3, aug 4, 7b5 6, others 12.

    Those of limited transposition: Wikipedia, "Mode of limited transposition"; from memory.
    """
    for quality, number in (("aug", 4), ("dim7", 3), ("7b5", 6), ("7", 12), ("m7", 12)):
        every_root.exactly(quality, number)
    assert every_root.exactly("aug", 4)[0].startswith("There are exactly four different ")
    with pytest.raises(LessonError, match="there are 6"):
        every_root.exactly("7b5", 12)


def test_laws_hold() -> None:
    for law in LAWS:
        sentence, proof = every_root.always(law)
        assert sentence.endswith(".") and "twelve" in proof


def test_a_law_that_fails_shows_where(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(LAWS, "false", lambda: ("", "not for C"))
    with pytest.raises(LessonError, match="not for C"):
        every_root.always("false")


def test_a_law_looks_at_what_it_says(monkeypatch: pytest.MonkeyPatch) -> None:
    """With other notes, or a scale too few, the law must find its counter-example."""
    monkeypatch.setattr(laws, "_third_and_seventh", lambda chord: chord.pcs)
    with pytest.raises(LessonError, match="half steps apart"):
        every_root.always("tritone pairs")
    monkeypatch.setattr(laws, "KINDS", {"major": ("6", "")})
    with pytest.raises(LessonError, match="does not hold"):
        every_root.always("sixth-diminished")


def test_a_statement_about_chords_is_tried_from_every_root() -> None:
    sentence, proof = every_root.always("same_notes", "C6", "Am7")
    assert sentence == (
        "Every sixth chord has the same notes as the minor seventh chord a minor third below."
    )
    assert proof == "checked for all twelve transpositions"
    every_root.always("semitones_apart", "Cdim7", "B7", 1)
    every_root.always("resolves_to", "Bdim7", "C")
    every_root.always("set_class", "C6/E", "4-26")
    with pytest.raises(LessonError, match="do not have the same notes"):
        every_root.always("same_notes", "C6", "Em7")
    with pytest.raises(LessonError, match="not a law"):
        every_root.always("sounds", "0000", "C6")


def test_what_is_said_of_chords_can_be_said_of_every_root() -> None:
    assert set(every_root.ABOUT_CHORDS) == set(every_root._CHORDS) == set(laws.SAID)


def test_what_holds_from_one_root_only_has_a_counter_example(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def on_a_white_key(chord: str) -> Stated:
        white = len(chord) == 1
        return Stated(white, chord, f"{chord} is white", f"{chord} is on a black key", "its name")

    monkeypatch.setitem(every_root.ABOUT_CHORDS, "white", on_a_white_key)
    monkeypatch.setitem(every_root._CHORDS, "white", 1)
    with pytest.raises(LessonError, match="Db is on a black key"):
        every_root.always("white", "C")


def test_only_qualities_are_set_on_every_root() -> None:
    assert [chord.symbol for chord in every_root.from_every_root("m7")][:2] == ["Cm7", "Dbm7"]
    for wrong in ("#5", "/E", "b", "nonsense"):
        with pytest.raises(LessonError):
            every_root.from_every_root(wrong)


def test_what_always_takes() -> None:
    with pytest.raises(LessonError, match="takes no other arguments"):
        every_root.always("lowering", "C")
    with pytest.raises(LessonError, match="names no chord"):
        every_root.always("same_notes")
    assert every_root.always("common_notes", "C7", "F#7", "E", "Bb")[0].endswith(
        "shares its major third and flat seventh with the dominant seventh a tritone away."
    )
    assert every_root.always("semitones_apart", "C7", "C#dim7", 1)[0].endswith(
        "move one half step in all."
    )
    wrong = mend_of(lambda: every_root.always("semitones_apart", "Cdim7", "B7", 2))
    assert wrong == 'always("semitones_apart", "Cdim7", "B7", 1)'


@pytest.mark.parametrize("quality", ["13#11", "7b5", "7b9", "dim7", "aug", "sus4", "add9", "9"])
def test_chords_of_a_kind_are_counted_by_their_notes(quality: str) -> None:
    """A set that is its own transposition is one chord of several names: all twelve are tried."""
    own = Chord.parse(f"C{quality}").pcs
    count = len({frozenset((pc + root) % 12 for pc in own) for root in range(12)})
    for number in range(1, 14):
        assert every_root.how_many(quality, number).holds == (number == count)
