"""One note moved: parents and minor sixths as published, voices that arrive where they should."""

from __future__ import annotations

import pytest
from tables import numbers, rows

from harmonykit.draw.tree import Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings import shipped
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.panels.one_note import OneNotePanel, draw, pressed, show
from harmonykit.workbook.panels.one_note_move import CHORDS, OneNoteState, compute

NAMES = "C Db D Eb E F F# G Ab A Bb B".split()


@pytest.mark.parametrize("row", rows("dim7_parents"), ids=lambda row: row["dim7_root"])
def test_lowered_and_raised_notes_leave_the_published_chords(row: dict[str, str]) -> None:
    """Cohn 2012, ch. 7; the table was computed by exhaustion."""
    symbol = next(
        c for c in CHORDS if Chord.parse(c).root.pitch_class == NAMES.index(row["dim7_root"])
    )
    for column, move in (
        ("lower_one_note_gives_dom7", "lower"),
        ("raise_one_note_gives_m7b5", "raise"),
    ):
        for entry in row[column].split():
            step, chord = entry.split(":")
            note = Chord.parse(step.split(">")[0]).root.pitch_class
            result = compute(OneNoteState(symbol, move, note))
            assert result.chords[1].pcs == Chord.parse(chord).pcs, entry
            assert result.shapes[1].pcs == Chord.parse(chord).pcs, entry
    assert set(numbers(row["dim7_pcs"])) == set(Chord.parse(symbol).pcs)


@pytest.mark.parametrize("instrument", shipped.names())
@pytest.mark.parametrize("symbol", CHORDS)
def test_every_way_is_played_string_by_string(symbol: str, instrument: str) -> None:
    """One string or its doubles move by one fret; then each by two at most, to the triad."""
    for note in Chord.parse(symbol).pcs:
        for move in ("lower", "raise"):
            result = compute(OneNoteState(symbol, move, note, True, instrument))
            first, second, third = (shape.frets for shape in result.shapes)
            pairs = list(zip(first, second, third, strict=True))
            sounding = [(a, b, c) for a, b, c in pairs if a is not None and b is not None]
            assert {abs(b - a) for a, b, _ in sounding} == {0, 1}
            assert all(c is not None and abs(c - b) <= 2 for _, b, c in sounding)
            assert result.shapes[2].pcs <= result.chords[2].pcs
            assert result.shapes[2].pcs == PcSet.of(*result.chords[2].pcs)


def test_the_target_lies_a_fifth_below_the_lowered_note() -> None:
    """A dominant leads a fifth down (common practice, no source): D7 to G, both ways."""
    for move in ("lower", "raise"):
        result = compute(OneNoteState("Adim7", move, 3, True))
        assert result.chords[2].root.name == "G"


def test_what_is_said_names_every_voice() -> None:
    # The third rises, the seventh falls (common practice, no source).
    facts = compute(OneNoteState("Adim7", "lower", 3, True)).facts
    assert "F♯ rises to G" in facts and "C falls to B" in facts and "D stays" in facts


def test_a_note_is_lowered_then_raised_then_as_it_was() -> None:
    panel = OneNotePanel("Adim7")
    seen = []
    for part in ("pc-3", "pc-2", "pc-4"):
        panel.press(part)
        seen.append(panel.state.move)
    assert seen == ["lower", "raise", "none"]
    assert pressed(OneNoteState(), 1) == OneNoteState()  # no note of the chord


def test_the_neck_answers_too() -> None:
    panel = OneNotePanel("Adim7")
    shape = compute(panel.state).shapes[0]
    assert shape.digits == "2-3-2-3"
    panel.press("string-2-fret-3")
    assert panel.state.note == 3 and panel.state.move == "lower"
    assert compute(panel.state).shapes[1].digits == "2-2-2-3"
    panel.press("string-2-fret-9")
    assert panel.state.move == "lower"


def test_clock_neck_and_staff_show_one_thing() -> None:
    result = compute(OneNoteState("Adim7", "lower", 3))
    shown = show(result)
    assert shown.looks["pc-3"].role == "was" and shown.looks["pc-2"].role == "root"
    assert shown.looks["string-2-fret-3"].role == "was"
    assert shown.looks["string-2-fret-2"].role == "root"
    assert [shown.looks[f"note-2-{v}"].role for v in (1, 2, 3, 4)].count("head-moved") == 1
    assert shown.looks["column-2"].text == "D7" and "column-3" not in shown.looks
    assert shown.lines["moves"] and draw(result).alt == result.facts


@pytest.mark.parametrize("move", ["lower", "raise"])
def test_no_word_runs_off_the_picture(move: str) -> None:
    for symbol in CHORDS:
        note = next(iter(Chord.parse(symbol).pcs))
        sheet = draw(compute(OneNoteState(symbol, move, note, onward=True))).sheet
        assert all(0 <= text.box.left and text.box.right <= sheet.width for text in sheet.all(Text))


def test_chords_are_heard_as_far_as_they_were_reached() -> None:
    panel = OneNotePanel("Adim7")
    lengths = [panel.hear().seconds]
    panel.press("pc-3")
    lengths.append(panel.hear().seconds)
    panel.set("onward", True)
    lengths.append(panel.hear().seconds)
    assert lengths == [1.5, 2.4, 3.3]
    assert compute(panel.state).stage == 2


@pytest.mark.parametrize(
    "state", [{"chord": "C7"}, {"move": "bend"}, {"note": 1}, {"instrument": "lute"}]
)
def test_what_cannot_be_is_refused(state: dict[str, object]) -> None:
    with pytest.raises(HarmonyError):
        OneNoteState(**state)  # type: ignore[arg-type]


def test_low_instruments_are_written_an_octave_up() -> None:
    assert min(Instrument.named("guitar").midi) == 40
    assert ">8</text>" in draw(compute(OneNoteState(instrument="guitar"))).svg


def test_a_press_beside_the_chord_is_answered_and_changes_nothing() -> None:
    """A°7 is A, C, E flat and G flat: nine semitones up from C, and every third."""
    panel = OneNotePanel("Adim7")
    before, shown = panel.state, panel.facts
    for pc in range(12):
        panel.press(f"pc-{pc}")
        inside = pc % 3 == 0
        assert bool(panel.trouble) is not inside
        if not inside:
            assert panel.trouble.endswith("press one of A, C, E♭ and G♭")
            assert (panel.state, panel.facts) == (before, shown)
        panel.state = before
    panel.press("string-1-fret-12")
    assert panel.trouble.startswith("g string, twelfth fret, G: the shape is not held there")
