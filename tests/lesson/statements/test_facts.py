"""Statements: true ones become sentences, false ones stop with a counter-example."""

from __future__ import annotations

import pytest
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import facts, laws
from harmonykit.lesson.statements.laws import LAWS

UKULELE = Instrument.named("ukulele")


def test_same_notes() -> None:
    sentence, _ = facts.same_notes("C6", "Am7")  # synonyms.tsv; common practice
    assert sentence == "C6 and Am7 have the same notes."
    with pytest.raises(LessonError, match="Am7 is A, C, E and G"):
        facts.same_notes("C", "Am7")


def test_sounds() -> None:
    sentence, _ = facts.sounds(UKULELE, "2323", "Adim7")
    assert sentence.startswith("2-3-2-3 on g C E A sounds A°7")
    with pytest.raises(HarmonyError, match="it sounds A, D, F♯ and C"):
        facts.sounds(UKULELE, "2223", "Adim7")


def test_set_class() -> None:
    """4-28 is the diminished seventh, 4-27B the dominant (Forte 1973)."""
    assert "4-28" in facts.set_class("Cdim7", "4-28")[0]
    assert "4-27B" in facts.set_class("C7", "4-27B")[0]
    with pytest.raises(LessonError, match="4-26"):
        facts.set_class("C6", "4-28")


def test_every_diminished_seventh_leads_to_its_four_places() -> None:
    """Against the independent table of parents; each target lies a fifth below its parent."""
    table = rows("dim7_parents")
    names = "C Db D Eb E F F# G Ab A Bb B".split()
    assert len(table) == 12
    for row in table:
        parents = [int(n) for n in row["parent_dominant_roots_(7b9_minus_root)"].split(",")]
        targets = {(root - 7) % 12 for root in parents}
        for root, name in enumerate(names):
            if root in targets:
                facts.leads_to(row["dim7_root"] + "dim7", name)
            else:
                with pytest.raises(LessonError, match="does not resolve"):
                    facts.leads_to(row["dim7_root"] + "dim7", name)


def test_apart() -> None:
    """dim7 to dominant: one semitone (Douthett & Steinbach 1998: Power Towers)."""
    assert "one semitone " in facts.apart("Cdim7", "B7", 1)[0]
    with pytest.raises(LessonError, match="they are 2 apart"):
        facts.apart("C6", "Cdim7", 1)


def test_repeats() -> None:
    facts.repeats(UKULELE, "2323", 3)
    with pytest.raises(LessonError, match="other notes"):
        facts.repeats(UKULELE, "2323", 2)


def test_exactly() -> None:
    assert facts.exactly("diminished sevenths", 3)[0].startswith("There are exactly three")
    assert "four places" in facts.exactly("places", 4)[0]
    with pytest.raises(LessonError, match="there are 3"):
        facts.exactly("diminished sevenths", 4)
    with pytest.raises(LessonError, match="cannot be counted"):
        facts.exactly("angels", 7)


def test_qualities_are_counted_by_their_different_sets_of_notes() -> None:
    """Twelve over the number of turns that fix the set: dim7 3, aug 4, 7b5 6, others 12.

    Those of limited transposition: Wikipedia, "Mode of limited transposition"; from memory.
    """
    for quality, number in (("aug", 4), ("dim7", 3), ("7b5", 6), ("7", 12), ("m7", 12)):
        facts.exactly(quality, number)
    assert facts.exactly("aug", 4)[0].startswith("There are exactly four different ")
    with pytest.raises(LessonError, match="there are 6"):
        facts.exactly("7b5", 12)


def test_share() -> None:
    """Tritone partners share third and seventh, which change places (common practice)."""
    assert facts.share("C7", "F#7", "E", "Bb")[0] == "C7 and F♯7 share E and B♭."
    assert facts.share("C", "F#")[0] == "C and F♯ share nothing."
    for notes in (("E",), ("E", "Bb", "G"), ()):
        with pytest.raises(LessonError, match="they share E and B♭"):
            facts.share("C7", "F#7", *notes)


def test_laws_hold() -> None:
    for law in LAWS:
        sentence, proof = facts.always(law)
        assert sentence.endswith(".") and "twelve" in proof


def test_a_law_that_fails_shows_where(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(LAWS, "false", lambda: ("", "not for C"))
    with pytest.raises(LessonError, match="not for C"):
        facts.always("false")


def test_a_law_looks_at_what_it_says(monkeypatch: pytest.MonkeyPatch) -> None:
    """With other notes, or a scale too few, the law must find its counter-example."""
    monkeypatch.setattr(laws, "_third_and_seventh", lambda chord: chord.pcs)
    with pytest.raises(LessonError, match="semitones apart"):
        facts.always("tritone pairs")
    monkeypatch.setattr(laws, "KINDS", {"major": ("6", "")})
    with pytest.raises(LessonError, match="does not hold"):
        facts.always("sixth-diminished")


def test_a_statement_about_chords_is_tried_from_every_root() -> None:
    sentence, proof = facts.always("same_notes", "C6", "Am7")
    assert sentence == (
        "Every sixth chord has the same notes as the minor seventh chord a minor third below."
    )
    assert proof == "checked for all twelve transpositions"
    facts.always("apart", "Cdim7", "B7", 1)
    facts.always("leads_to", "Bdim7", "C")
    facts.always("set_class", "C6/E", "4-26")
    with pytest.raises(LessonError, match="do not have the same notes"):
        facts.always("same_notes", "C6", "Em7")
    with pytest.raises(LessonError, match="not a law"):
        facts.always("sounds", "0000", "C6")


def test_what_holds_from_one_root_only_has_a_counter_example(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def on_a_white_key(chord: str) -> facts.Proved:
        if len(chord) > 1:
            raise LessonError(f"{chord} is on a black key")
        return f"{chord} is on a white key.", ""

    monkeypatch.setitem(facts.ABOUT_CHORDS, "white", on_a_white_key)
    monkeypatch.setitem(facts._CHORDS, "white", 1)
    with pytest.raises(LessonError, match="Db is on a black key"):
        facts.always("white", "C")
