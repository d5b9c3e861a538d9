"""Statements: true ones become sentences, false ones stop with a counter-example."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import every_root, facts, kinds, turning
from harmonykit.words.numbers import number

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
    assert "one half step " in facts.apart("Cdim7", "B7", 1)[0]
    with pytest.raises(LessonError, match="they are 2 apart"):
        facts.apart("C6", "Cdim7", 1)


def test_repeats() -> None:
    facts.repeats(UKULELE, "2323", 3)
    with pytest.raises(LessonError, match="different notes"):
        facts.repeats(UKULELE, "2323", 2)


def test_share() -> None:
    """Tritone partners share third and seventh, which change places (common practice)."""
    assert facts.share("C7", "F#7", "E", "Bb")[0] == "C7 and F♯7 share E and B♭."
    assert facts.share("C", "F#")[0] == "C and F♯ share no note."
    for notes in (("E",), ("E", "Bb", "G"), ()):
        with pytest.raises(LessonError, match="they share E and B♭"):
            facts.share("C7", "F#7", *notes)


def test_numbers_are_words_up_to_twelve() -> None:
    words = [number(count) for count in (-1, 0, 1, 12, 13)]
    assert words == ["-1", "no", "one", "twelve", "13"]


def mend_of(call: Callable[[], object]) -> str:
    with pytest.raises(LessonError) as caught:
        call()
    return caught.value.mend


def test_what_would_be_true_is_offered() -> None:
    """C6 is Am7: C, E, G and A."""
    assert mend_of(lambda: facts.same_notes("C6", "C7")) == 'same_notes("C6", "Am7")'
    assert mend_of(lambda: facts.set_class("C6", "4-28")) == 'set_class("C6", "4-26")'
    assert mend_of(lambda: facts.apart("C6", "Cdim7", 1)) == 'semitones_apart("C6", "Cdim7", 2)'
    assert mend_of(lambda: facts.share("C7", "F#7")) == 'common_notes("C7", "F#7", "E", "Bb")'
    assert mend_of(lambda: every_root.exactly("places", 5)) == 'exactly("places", 4)'
    assert mend_of(lambda: every_root.always("lowering", "C")) == 'always("lowering")'
    # B diminished seventh is the rootless dominant on G, B flat, D flat and E.
    with pytest.raises(LessonError) as caught:
        facts.leads_to("Bdim7", "D")
    places = {"C", "E♭", "G♭", "A"}
    assert caught.value.mend in {
        f'resolves_to("Bdim7", "{place.replace("♭", "b")}")' for place in places
    }
    told = caught.value.rule.removeprefix("it resolves to ").replace(" and ", ", ")
    assert set(told.split(", ")) == places


def test_a_diminished_shape_comes_again_after_three_frets() -> None:
    """2-3-2-3 is Adim7; the ukulele here has so many frets that 3 + 3 = 6 lies on it."""
    sentence, proof = facts.repeats(UKULELE, "2323", 3)
    assert sentence == "2-3-2-3 moved up three frets sounds the same four notes."
    assert proof == "5-6-5-6 sounds 0 3 6 9 too"
    assert mend_of(lambda: facts.repeats(UKULELE, "2323", 2)) == 'repeats(3, "2-3-2-3")'
    # C6 fixes no turn but the whole octave.
    assert mend_of(lambda: facts.repeats(UKULELE, "0000", 2)) == 'repeats(12, "0-0-0-0")'
    room = UKULELE.frets - 3
    for up in (0, room + 1):
        with pytest.raises(LessonError, match=f"cannot be moved up {up} frets") as caught:
            facts.repeats(UKULELE, "2323", up)
        assert caught.value.rule == f"1 to {room} on this neck, which has {UKULELE.frets} frets"
    top = UKULELE.frets
    high = f"{top - 2}-{top - 1}-{top - 2}-{top - 1}"
    assert mend_of(lambda: facts.repeats(UKULELE, high, 1)) == ""
    at_three = f"{top - 4}-{top - 3}-{top - 4}-{top - 3}"
    assert facts.repeats(UKULELE, at_three, 3)[0].endswith("the same four notes.")


def test_a_muted_string_stays_muted_higher_up() -> None:
    """x-3-2-3 is E flat, F sharp, C: moved up three frets F sharp, A, E flat."""
    with pytest.raises(LessonError, match="different notes") as caught:
        facts.repeats(UKULELE, "x323", 3)
    assert caught.value.rule == "E♭, F♯ and C become F♯, A and E♭"


def test_a_bass_that_is_not_the_lowest_note() -> None:
    """0-0-0-3 on g4 C4 E4 A4 has its C string lowest; 0-4-0-3 its E string (C string at E)."""
    assert facts.sounds(UKULELE, "0403", "C/E")[0] == "0-4-0-3 on g C E A sounds C/E: C, E and G."
    with pytest.raises(HarmonyError, match="0-0-0-3 does not sound C/E"):
        facts.sounds(UKULELE, "0003", "C/E")
    assert facts.sounds(UKULELE, "0003", "C")[1] == "pitch classes 0 4 7"


def test_whole_sentences_of_statements() -> None:
    assert facts.apart("C6", "Am7", 0)[0] == "From C6 to Am7 the voices move no half steps in all."
    assert facts.apart("C6", "Cdim7", 2)[0].endswith("move two half steps in all.")
    with pytest.raises(LessonError, match="not 0 half steps apart"):
        facts.apart("C6", "Cdim7", 0)
    # B7 with a flat ninth resolves to E: its third and seventh, D sharp and A, go to E and G sharp.
    sentence, proof = facts.leads_to("D#dim7", "E")
    assert sentence.startswith("As a dominant D♯°7 resolves to E: ")
    assert proof == "B7 falls a fifth to E"
    assert (
        every_root.exactly("dim7", 3)[0] == "There are exactly three different diminished sevenths."
    )


def test_what_a_wrong_statement_could_say_instead() -> None:
    """Am7 has the note E and no triad on E; C has C and no B; G7sus4 wants its third, no more."""
    assert kinds.contains("Am7", "E").mend == 'holds("Am7", "E")'
    assert kinds.contains("Cmaj7", "C").mend == 'contains("Cmaj7", "major triad")'
    assert not kinds.contains("C", "Em").mend.startswith("holds")
    assert not kinds.contains("Am7", "F").mend.startswith("holds")
    assert (
        turning.resolves_to("G7sus4", "C").holds
        and turning.resolves_to("Gsus4", "C").holds is False
    )
    assert not turning.resolves_to("Gm11", "C").holds
