"""The texts of the essays: what they print comes out, and each choice has its own reason."""

from __future__ import annotations

import contextlib
import io
import re

import pytest
from plain_notes import chord, note

import harmonykit as hk
from harmonykit.errors import HarmonyError
from harmonykit.workbook.essay.asked import ask_all
from harmonykit.workbook.essay.text import essay_names, parts_of, read_essay, read_moment

ASKED = [(name, asked) for name in essay_names() for asked in ask_all(read_essay(name))]
UKULELE = hk.Instrument.named("ukulele")
FLATS = str.maketrans({"♭": "b", "♯": "#"})


@pytest.mark.parametrize("name", essay_names())
def test_what_the_code_prints_is_what_the_essay_says(name: str) -> None:
    known = {"hk": hk}
    for section in read_essay(name).sections:
        said = io.StringIO()
        with contextlib.redirect_stdout(said):
            exec(section.code, known)
        assert said.getvalue().strip() == section.prints.strip(), section.heading


def test_each_other_choice_has_a_reason_of_its_own() -> None:
    for _, asked in ASKED:
        others = set(asked.section.choices) - {asked.right.typed}
        reasons = dict(asked.section.said)
        assert set(reasons) == others, asked.section.heading
        assert len(set(reasons.values())) == len(reasons)


def test_what_is_said_to_be_missing_is_missing() -> None:
    """Of every "From A a dominant needs C♯, E and G. None of them is here"."""
    found = 0
    for _, asked in ASKED:
        for choice, said in asked.section.said:
            if match := re.match(r"From (\S+) a dominant needs (.*?)\. None", said):
                names = match[2].translate(FLATS).replace(" and ", ", ").split(", ")
                needs = {note(name) for name in names}
                assert needs == chord(f"{choice}7") - {note(choice)}
                assert not needs & set(asked.section.asked.now.chord.pcs)
                found += 1
    assert found == 6


@pytest.mark.parametrize("name", essay_names())
def test_a_shape_sounds_notes_of_its_chord_and_no_other(name: str) -> None:
    """A shape may leave out the root of a ninth, or double a note; it never adds one."""
    essay = read_essay(name)
    texts = [t for s in essay.sections for t in (s.text, s.reason, s.then)]
    played = [p for t in texts for p in parts_of(t, essay.instrument) if not isinstance(p, str)]
    moments = [m for s in essay.sections for m in (s.asked, s.told)]
    played += [p for m in moments for p in (m.now, m.was) if p is not None]
    shaped = [each for each in played if each.shape is not None]
    assert shaped
    for each in shaped:
        assert each.shape is not None
        assert each.shape.pcs <= each.chord.pcs, (each.chord, each.shape)
        assert len(each.chord.pcs - each.shape.pcs) <= 1
        root = each.chord.root.pitch_class
        assert root in {pitch % 12 for pitch in each.pitches}


def test_a_question_that_keeps_the_name_back_does_not_show_it() -> None:
    moment = read_moment("? D7 2223 after Adim7 2323", UKULELE)
    assert not moment.named and moment.was is not None
    assert (moment.now.chord.symbol, moment.was.chord.symbol) == ("D7", "Adim7")
    with pytest.raises(HarmonyError, match="unknown essay"):
        read_essay("five_parents")
