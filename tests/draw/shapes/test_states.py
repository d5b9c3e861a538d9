"""What is shown at each place, against counting on every place of the neck."""

from __future__ import annotations

import json

import pytest

from harmonykit.draw.shapes.states import PLACE_ROLES, PlaceState, changed_states, neck_states
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
BANJO = Instrument.named("five-string banjo")
# Open strings as MIDI numbers: Kaai 1906 and Carcassi 1836 (from memory).
OPEN = {"ukulele": (67, 60, 64, 69), "guitar": (40, 45, 50, 55, 59, 64)}
# Common practice, no source: tones of the chords by pitch class, written out by hand.
TONES = {
    "C6": {0: ("root", "C"), 4: ("third", "E"), 7: ("fifth", "G"), 9: ("seventh", "A")},
    "G7b9": {
        **{7: ("root", "G"), 11: ("third", "B"), 2: ("fifth", "D")},
        **{5: ("seventh", "F"), 8: ("tension", "A♭")},
    },
    "F#dim7": {6: ("note", "F♯"), 9: ("note", "A"), 0: ("note", "C"), 3: ("note", "E♭")},
}


@pytest.mark.parametrize("name", OPEN)
@pytest.mark.parametrize("symbol", TONES)
def test_a_chord_is_shown_wherever_its_notes_lie(name: str, symbol: str) -> None:
    states = neck_states(Instrument.named(name), Chord.parse(symbol), frets=15)
    for string, midi in enumerate(OPEN[name], start=1):
        for fret in range(16):
            wanted = TONES[symbol].get((midi + fret) % 12, ("hidden", ""))
            assert states[f"string-{string}-fret-{fret}"] == wanted
        assert states[f"string-{string}-muted"].role == "hidden"
    assert len(states) == len(OPEN[name]) * 17


def test_a_shape_is_shown_where_it_is_held() -> None:
    shape = Voicing.parse("x32010", GUITAR)
    states = neck_states(GUITAR, shape, chord=Chord.parse("C"))
    shown = {gid: state for gid, state in states.items() if state.role != "hidden"}
    assert shown == {
        "string-1-muted": ("muted", ""),
        "string-2-fret-3": ("root", "C"),
        "string-3-fret-2": ("third", "E"),
        "string-4-fret-0": ("fifth", "G"),
        "string-5-fret-1": ("root", "C"),
        "string-6-fret-0": ("third", "E"),
    }


def test_where_a_shape_was_is_ringed_where_it_has_moved() -> None:
    before, now = Voicing.parse("2323", UKULELE), Voicing.parse("2223", UKULELE)
    states = neck_states(UKULELE, now, chord=Chord.parse("D7"), was=before)
    rings = {gid: s.letters for gid, s in states.items() if s.role == "was"}
    # Outside D7 the note takes its most usual name.
    assert list(rings) == ["string-2-fret-3"]
    assert states["string-2-fret-2"].role == "root"


def test_letters_are_names_degrees_or_nothing() -> None:
    for letters, wanted in (("notes", "B♭"), ("degrees", "♭7"), ("none", "")):
        states = neck_states(UKULELE, Chord.parse("C7"), letters=letters)
        assert states["string-4-fret-1"] == ("seventh", wanted)
    named = neck_states(UKULELE, (6,), names={6: Note.parse("Gb4")})
    assert named["string-3-fret-2"] == ("note", "G♭")
    assert neck_states(UKULELE, (6,))["string-3-fret-2"] == ("note", "F♯")


def test_pitch_classes_take_their_roles_from_a_chord() -> None:
    states = neck_states(UKULELE, (0, 1, 4, 13), chord=Chord.parse("C"))
    roles = {state.letters: state.role for state in states.values() if state.letters}
    assert roles["C"] == "root" and roles["E"] == "third"
    assert set(roles.values()) == {"root", "third", "note"}


def test_a_short_string_has_no_places_before_its_start() -> None:
    """The fifth string of a banjo starts at fret 5: common practice, no source."""
    states = neck_states(BANJO, tuple(range(12)), frets=12)
    first = [gid for gid in states if gid.startswith("string-1-fret-")]
    assert first == ["string-1-fret-0", *(f"string-1-fret-{f}" for f in range(6, 13))]
    # g at fret 5, so A at fret 7.
    assert states["string-1-fret-0"].letters == "G" and states["string-1-fret-7"].letters == "A"


def test_only_what_changed_is_sent() -> None:
    before = neck_states(UKULELE, Chord.parse("C6"))
    assert changed_states(before, before) == {}
    after = neck_states(UKULELE, Chord.parse("Am7"))
    changed = changed_states(before, after)
    # The same four notes: roles change at each of their places, and nowhere else.
    assert set(changed) == {gid for gid, state in before.items() if state.role != "hidden"}
    assert before | changed == after
    assert changed_states({}, after) == after


def test_a_state_is_two_texts_as_json() -> None:
    states = neck_states(UKULELE, Voicing.parse("2223", UKULELE))
    assert json.loads(json.dumps(states))["string-1-fret-2"] == ["note", "A"]
    assert {state.role for state in states.values()} <= set(PLACE_ROLES)
    assert PlaceState("hidden") == ("hidden", "")


def test_what_is_not_on_the_board_is_refused() -> None:
    with pytest.raises(HarmonyError, match="string-1-fret-14 is not on the board"):
        neck_states(UKULELE, Voicing.parse("14-0-0-0", UKULELE))
    with pytest.raises(HarmonyError, match="has 15"):
        neck_states(UKULELE, (), frets=16)
    with pytest.raises(HarmonyError, match="are no letters"):
        neck_states(UKULELE, (), letters="colours")
    with pytest.raises(HarmonyError, match="another number of strings"):
        neck_states(UKULELE, Voicing.parse("x32010", GUITAR))
