"""Statements: true ones become sentences, false ones stop with a counter-example."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from harmonykit.fretboard.instrument import Instrument
from harmonykit.lesson import facts
from harmonykit.lesson.model import LessonError

DATA = Path(__file__).resolve().parents[1] / "data"
UKULELE = Instrument.named("ukulele")


def test_same_notes() -> None:
    sentence, _ = facts.same_notes("C6", "Am7")  # synonyms.tsv; common practice
    assert sentence == "C6 and Am7 have the same notes."
    with pytest.raises(LessonError, match="Am7 is A, C, E and G"):
        facts.same_notes("C", "Am7")


def test_sounds() -> None:
    sentence, _ = facts.sounds(UKULELE, "2323", "Adim7")
    assert sentence.startswith("2-3-2-3 on g C E A sounds A°7")
    with pytest.raises(LessonError, match="it sounds A, D, F♯ and C"):
        facts.sounds(UKULELE, "2223", "Adim7")


def test_set_class() -> None:
    """4-28 is the diminished seventh, 4-27B the dominant (Forte 1973; Wikipedia infobox)."""
    assert "4-28" in facts.set_class("Cdim7", "4-28")[0]
    assert "4-27B" in facts.set_class("C7", "4-27B")[0]
    with pytest.raises(LessonError, match="4-26"):
        facts.set_class("C6", "4-28")


def test_every_diminished_seventh_leads_to_its_four_places() -> None:
    """Against the independent table of parents; each target lies a fifth below its parent."""
    with (DATA / "dim7_parents.tsv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file, delimiter="\t"))
    names = "C Db D Eb E F F# G Ab A Bb B".split()
    assert len(rows) == 12
    for row in rows:
        parents = [int(n) for n in row["parent_dominant_roots_(7b9_minus_root)"].split(",")]
        targets = {(root - 7) % 12 for root in parents}
        for root, name in enumerate(names):
            if root in targets:
                facts.leads_to(row["dim7_root"] + "dim7", name)
            else:
                with pytest.raises(LessonError, match="does not lead"):
                    facts.leads_to(row["dim7_root"] + "dim7", name)


def test_apart() -> None:
    """dim7 to dominant: one semitone (Power Towers, Douthett and Steinbach 1998)."""
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


@pytest.mark.parametrize("law", ["lowering", "raising", "symmetry"])
def test_laws_hold(law: str) -> None:
    sentence, proof = facts.always(law)
    assert sentence.endswith(".") and "twelve" in proof


def test_a_law_that_fails_shows_where(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(facts.LAWS, "false", lambda: ("", "not for C"))
    with pytest.raises(LessonError, match="not for C"):
        facts.always("false")
