"""Everything about a chord: the value, the command and the panels give one answer."""

from __future__ import annotations

import json
from itertools import cycle

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import chords as any_chord
from tables import rows

from harmonykit import cli
from harmonykit.about.chord import AboutChord, chord
from harmonykit.about.shapes import Hand
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.theory.chord import QUALITIES, Chord
from harmonykit.theory.diminished import parents, resolutions
from harmonykit.theory.key import Key
from harmonykit.theory.modes import Scale
from harmonykit.theory.naming import name_chords
from harmonykit.theory.note import Note
from harmonykit.workbook.panels.clock import ClockState
from harmonykit.workbook.panels.clock import compute as on_the_clock
from harmonykit.workbook.panels.neck import shapes_of as on_the_neck
from harmonykit.workbook.panels.one_note_move import OneNoteState
from harmonykit.workbook.panels.one_note_move import compute as one_note_moved

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
SEVENTHS = ("", "m", "7", "maj7", "m7", "m7b5", "dim7", "m6")
MANY = (
    "C13", "Caug", "Bm7b5", "Adim7", "C6", "Am7", "G7", "G7sus4", "Dsus2", "C/D", "D7/F#",
    "F#7b9/B", "Ebmaj9", "Cm(maj7)", "E7#9", "Galt", "Ab13", "C5", "Cadd9", "Gm11",
)  # fmt: skip


@pytest.mark.parametrize("row", rows("synonyms"), ids=str)
def test_synonyms_are_those_of_the_table(row: dict[str, str]) -> None:
    # tests/data/synonyms.tsv: arithmetic and common practice.
    one, other = Chord.parse(row["a"]), Chord.parse(row["b"])
    known = {(c.root.pitch_class, c.degrees) for c in chord(one).synonyms}
    assert ((other.root.pitch_class, other.degrees) in known) == (row["pcs_equal"] == "1")


def test_an_augmented_triad_is_the_dominant_on_each_of_its_notes() -> None:
    # Common practice, no source: V+ of F, of A and of D flat; by hand.
    about = chord("Caug")
    assert [one.target.name for one in about.dominants] == ["F", "A", "Db"]
    # Cohn 2012: an augmented triad has six neighbours, three major and three minor triads.
    near = {str(one.chord) for one in about.neighbours}
    assert near == {"C", "E", "Ab", "Fm", "Am", "C#m"}


@pytest.mark.parametrize(
    ("symbol", "near"),
    [
        # By hand: one note moved by a half step, the others keep their letters.
        ("A7", "Am7 A7b5 Amaj7 A7#5 A7sus4 C#dim7 F#m7"),
        ("E7", "E7#5 Em7 E7b5 E7sus4 Emaj7 G#dim7 C#m7"),
        ("E", "E+ Em Esus4 Fmb5 G#m"),
        ("Ab", "Ab+ Absus4 Abm Amb5 Cm"),
        ("Gb", "Gb+ Gbsus4 Gbm Gmb5 Bbm"),
    ],
)
def test_neighbours_are_spelled_round_the_chord(symbol: str, near: str) -> None:
    assert {str(one.chord) for one in chord(symbol).neighbours} == set(near.split())


@given(st.sampled_from(ROOTS + ("Gb", "C#", "G#")), st.sampled_from(SEVENTHS))
def test_notes_in_common_keep_their_names(root: str, kind: str) -> None:
    """By hand over all usual names of the root: none keeps more names without a double sign."""
    about = chord(root + kind)
    own = {note.pitch_class: note.name for note in about.tones}

    def kept(near: Chord) -> int:
        doubles = any(abs(note.accidental) > 1 for note in near.tones)
        return -1 if doubles else sum(own.get(n.pitch_class) == n.name for n in near.tones)

    names = [letter + sign for letter in "CDEFGAB" for sign in ("b", "", "#")]
    roots = [Note.parse(name) for name in names if name not in ("Fb", "Cb", "E#", "B#")]
    for near in about.neighbours:
        assert near.move.start in about.tones
        others = [Chord.of(r, near.chord.quality) for r in roots]
        best = max(kept(one) for one in others if one.pcs == near.chord.pcs)
        assert near.chord.root == about.chord.root or kept(near.chord) == best


def test_a_key_names_neighbours() -> None:
    # By hand: the scales of A flat major and of E major name the chord on their third and sixth.
    told = {key: {str(n.chord) for n in chord("C+", key=key).neighbours} for key in ("Ab", "E")}
    assert told["Ab"] == {"C", "E", "Ab", "Dbm", "Fm", "Am"}
    assert told["E"] == {"C", "E", "G#", "C#m", "Fm", "Am"}


@pytest.mark.parametrize("symbol", ["Db7b5", "Ab", "Gb7", "Cb", "Eb7b9", "G#m7b5", "D#7"])
def test_chords_round_a_chord_have_plain_roots(symbol: str) -> None:
    # Common practice, no source: charts write D7, not E double flat 7.
    about = chord(symbol)
    others = [one.chord for one in (*about.led_to_by[:2], *about.substitutes)]
    others += [*about.synonyms, *(way.target for way in about.resolutions)]
    assert others
    assert all(abs(one.root.accidental) < 2 for one in others)


def test_a_half_diminished_seventh_is_a_rootless_ninth_and_prepares_a_dominant() -> None:
    # Common practice, no source: Bm7b5 is G9 without its root, and ii of A minor before E7.
    about = chord("Bm7b5")
    assert (str(about.dominants[0]), about.dominants[0].target.name) == ("G9 without 1", "C")
    assert [way.target.symbol for way in about.resolutions if way.kind == "predominant"] == ["E7"]
    numerals = {(str(role.key), role.numeral) for role in about.functions}
    assert {("C major", "viiø7"), ("A minor", "iiø7")} <= numerals


@pytest.mark.parametrize("root", ROOTS)
def test_the_dominants_of_a_diminished_seventh_are_its_parents(root: str) -> None:
    about = chord(f"{root}dim7")
    assert [one.chord.root for one in about.dominants] == [p.root for p in parents(about.chord)]
    assert [w.target.root for w in about.resolutions] == [
        r.target for r in resolutions(about.chord)
    ]


def test_the_dominant_of_a_dominant_goes_by_fifths() -> None:
    # Open Music Theory, "Applied chords": V7/ii is A7 in C.
    assert [str(role) for role in chord("A7", key="C").functions] == [
        "V7/ii in C major: dominant of ii"
    ]
    assert chord("C#dim7", key="C").functions[0].numeral == "viio7/ii"


# Open Music Theory, "Applied chords": the goal's numeral has the quality of the key's own triad.
@pytest.mark.parametrize(
    ("symbol", "key", "numerals"),
    [
        ("E", "C", ["V/vi"]),
        ("A", "C", ["V/ii"]),
        ("B", "C", ["V/iii"]),
        ("D", "C", ["V/V"]),
        ("C#", "E", ["V/ii"]),
        ("A", "A minor", ["V/iv"]),
        ("Ab7", "C", ["bVI7", "subV7/V"]),
        ("Cb7", "Eb", ["bVI7", "subV7/V"]),
        ("Db7", "C", ["subV7"]),
    ],
)
def test_an_applied_triad_is_named_by_its_goal(symbol: str, key: str, numerals: list[str]) -> None:
    assert [role.numeral for role in chord(symbol, key=key).functions] == numerals


def test_a_seventh_in_the_bass_falls_to_a_third() -> None:
    # Common practice, no source: a dominant seventh over its seventh goes to a sixth chord.
    for symbol in ("C/Bb", "C7/Bb"):
        way = chord(symbol).resolutions[0]
        assert way.target.symbol == "F/A"
        assert "B♭ falls to A" in str(way)
    assert chord("D/C").resolutions[0].target.symbol == "G/B"


@pytest.mark.parametrize("place", range(7))
def test_each_seventh_of_a_major_key_lives_in_it(place: int) -> None:
    # The diatonic sevenths of a major key; by hand: I, ii, iii, IV, V, vi, vii.
    numerals = ("Imaj7", "ii7", "iii7", "IVmaj7", "V7", "vi7", "viiø7")
    kinds = ("maj7", "m7", "m7", "maj7", "7", "m7", "m7b5")
    for key in ("C", "Bb", "E", "Gb"):
        about = chord(Chord.of(Key.parse(key).scale[place], kinds[place]))
        found = {role.numeral for role in about.functions if role.key == Key.parse(key)}
        assert found == {numerals[place]}


def test_the_scales_that_hold_a_major_seventh() -> None:
    # By hand: C E G B stands in C and G major, and in E harmonic minor.
    held = {str(scale) for scale in chord("Cmaj7").held_by}
    assert {"C major", "G major", "E harmonic minor"} <= held
    assert "F major" not in held and "C melodic minor" not in held
    # C6 is the chord of the major sixth-diminished scale on C.
    assert "C major sixth-diminished" in {str(scale) for scale in chord("C6").held_by}


# By hand, common practice, no source: the scale's notes over C against the chord's.
@pytest.mark.parametrize(
    ("symbol", "first", "among"),
    [
        ("C7alt", "C altered", ()),
        ("C7(#5,#9)", "C altered", ()),
        ("C7#9", "C altered", ("C octatonic half-whole",)),
        ("F#7#9", "F♯ altered", ("F♯ octatonic half-whole",)),
        ("C7#5", "C whole tone", ("C altered", "C mixolydian flat six", "C phrygian dominant")),
        ("Bb7b5", "B♭ whole tone", ("B♭ lydian dominant", "B♭ altered")),
        ("C9#5", "C whole tone", ("C mixolydian flat six",)),
        ("C7(b9,b13)", "C phrygian dominant", ("C altered",)),
        ("C7#11", "C lydian dominant", ()),
        ("C7b9", "C phrygian dominant", ("C octatonic half-whole",)),
        ("C7", "C mixolydian", ("C lydian dominant", "C bebop dominant")),
        ("Cm7b5", "C locrian", ("C locrian natural two",)),
        ("C/Bb", "C mixolydian", ("C lydian dominant",)),
    ],
)
def test_the_scales_over_an_altered_dominant(
    symbol: str, first: str, among: tuple[str, ...]
) -> None:
    found = [one.scale.title for one in chord(symbol).scales]
    assert found[0] == first
    assert {*among} <= {*found}


def test_the_altered_scale_has_nothing_to_avoid() -> None:
    # Common practice, no source: every note of it is a tension of its dominant.  The natural fifth
    # clashes with a flat one, the fourth with a major third.
    for symbol in ("C7alt", "C7#9", "Eb7b5", "F#7#5"):
        assert [one.avoid for one in chord(symbol).scales if one.scale.name == "altered"] == [()]
    told = {one.scale.name: [n.name for n in one.avoid] for one in chord("C7b5").scales}
    assert told["lydian dominant"] == ["G"]
    told = {one.scale.name: [n.name for n in one.avoid] for one in chord("C7#5").scales}
    assert told["mixolydian flat six"] == ["F"]


# Wikipedia, "Bebop scale": which chords each goes with; a major seventh by common practice.
@pytest.mark.parametrize(
    ("symbol", "bebop"),
    [
        ("Cmaj7", ["bebop major"]),
        ("C6", ["bebop major"]),
        ("C7", ["bebop dominant"]),
        ("Cm7", ["bebop dorian"]),
        ("Cm6", ["bebop melodic minor"]),
        ("C7#9", []),
        ("Cm7b5", []),
        ("C7alt", []),
        ("C+", []),
    ],
)
def test_a_bebop_scale_goes_with_its_own_chord(symbol: str, bebop: list[str]) -> None:
    found = [one.scale.name for one in chord(symbol).scales]
    assert [name for name in found if name.startswith("bebop")] == bebop


@given(any_chord)
def test_what_holds_a_chord_holds_its_notes(one: Chord) -> None:
    about = chord(one)
    assert all(one.pcs <= scale.pcs for scale in about.held_by)
    fifth = {(one.root.pitch_class + 7) % 12}
    assert all(set(one.pcs) - set(fit.scale.pcs) <= fifth for fit in about.scales)
    assert all(other.pcs == one.pcs for other in about.synonyms)
    for sub in about.substitutes:
        assert {note.pitch_class for note in sub.common} == set(one.pcs & sub.chord.pcs)
    for near in about.neighbours:
        assert len(near.chord.pcs & one.pcs) == len(one.pcs) - 1
        assert abs(near.move.semitones) == 1
    for role in about.functions:
        assert role.chord.pcs == one.pcs
        if role.scale:
            assert one.pcs <= Scale(role.key.tonic, role.scale).pcs


@given(any_chord)
def test_a_dominant_is_read_from_the_notes(one: Chord) -> None:
    """A chord that stands for a dominant has its notes, but for what is said to be missing."""
    for dominant in chord(one).dominants:
        missing = {degree.over(dominant.chord.root).pitch_class for degree in dominant.missing}
        sounding = set(dominant.chord.pcs) - missing
        assert sounding <= set(one.pcs)
        assert (dominant.chord.root.pitch_class - dominant.target.pitch_class) % 12 == 7


@pytest.mark.parametrize("symbol", MANY)
def test_command_and_value_give_one_answer(symbol: str, capsys: pytest.CaptureFixture[str]) -> None:
    about = chord(symbol)
    cli.app(["chord", symbol, "--json"], standalone_mode=False)
    told = json.loads(capsys.readouterr().out)
    assert told == json.loads(json.dumps(about.facts("ukulele")))
    assert told["symbol"] == about.symbol
    assert [tone["note"] for tone in told["tones"]] == [note.name for note in about.tones]
    assert told["synonyms"] == [one.symbol for one in about.synonyms]
    assert [one["chord"] for one in told["dominants"]] == [d.chord.symbol for d in about.dominants]
    assert [one["chord"] for one in told["substitutes"]] == [
        s.chord.symbol for s in about.substitutes
    ]
    assert [one["numeral"] for one in told["functions"]] == [r.numeral for r in about.functions]
    assert [one["digits"] for one in told["shapes"]] == [s.digits for s in about.shapes("ukulele")]
    assert [one["missing"] for one in told["shapes"]] == [
        [degree.name for degree in s.leaves_out] for s in about.shapes("ukulele")
    ]
    cli.app(["chord", symbol], standalone_mode=False)
    text, _, ideas = capsys.readouterr().out.partition("\n\nIdeas for lessons\n")
    assert text.strip() == about.text("ukulele").strip()
    assert ideas.strip() == f'harmonykit ideas "{about.symbol}"'


@pytest.mark.parametrize("symbol", MANY)
def test_panels_and_value_give_one_answer(symbol: str) -> None:
    about = chord(symbol)
    clock = on_the_clock(ClockState(about.pcs))
    assert about.set_class.forte_name in clock.facts
    shapes = [shape.digits for shape in find_voicings(about.chord, "ukulele")]
    assert [shape.digits for shape in about.shapes("ukulele")] == shapes
    if about.chord.bass == about.chord.root:
        neck = on_the_neck(about.pcs, about.symbol, "ukulele")
        assert [shape.digits for shape in neck] == shapes


@pytest.mark.parametrize("root", ROOTS)
def test_the_panel_of_one_note_leaves_the_same_dominants(root: str) -> None:
    about = chord(f"{root}dim7")
    for dominant in about.dominants:
        lowered = (dominant.chord.root.pitch_class + 1) % 12
        told = one_note_moved(OneNoteState(about.symbol, "lower", lowered)).facts
        assert told.endswith(f": the chord becomes {dominant.chord.root.unicode}7.")


@pytest.mark.parametrize(
    ("quality", "instrument"),
    list(zip(QUALITIES, cycle(["ukulele", "guitar", "D4 F#4 A4 D5"]), strict=False)),
    ids=lambda given: getattr(given, "suffix", given) or "major",
)
def test_every_quality_is_told_on_instruments_in_turn(quality: object, instrument: str) -> None:
    about = chord(Chord.of("Eb", quality.suffix))  # type: ignore[attr-defined]
    text = about.text(instrument, Hand(level=3))
    assert max(map(len, text.splitlines())) <= 80
    assert str(about) in text or about.facts(instrument)["shapes"] == []


def test_a_key_and_a_chord_are_handed_in_as_text_or_as_values() -> None:
    about = chord(Chord.parse("Dm7"), key=Key.parse("C"))
    assert about == chord("Dm7", "C major") == chord(chord("Dm7"), "C")
    assert repr(about) == "chord('Dm7', key='C major')"
    assert eval(repr(about), {"chord": chord}) == about  # noqa: S307
    assert hash(about) == hash(chord("Dm7", "C"))
    assert isinstance(about.in_key("F"), AboutChord)


@pytest.mark.parametrize(
    "wrong", [None, 7, [], b"", object(), "", "Hq", "N.C.", "2213", Key.parse("C")]
)
def test_what_is_not_a_chord_is_refused(wrong: object) -> None:
    with pytest.raises(HarmonyError):
        chord(wrong)  # type: ignore[arg-type]


def test_a_shape_is_told_where_shapes_are_read() -> None:
    with pytest.raises(HarmonyError, match="read_shape"):
        chord("2213")


@given(st.sampled_from(ROOTS), st.sampled_from(["7", "m7", "maj7", "m7b5", "dim7"]))
def test_the_names_are_all_readings_but_itself(root: str, kind: str) -> None:
    about = chord(root + kind)
    found = name_chords(about.pcs, bass=about.bass)
    assert {name.chord.pcs for name in about.names} <= {name.chord.pcs for name in found}
    assert len(about.names) == len(found) - 1


def test_the_sound_is_made_when_asked_for() -> None:
    sound = chord("C/D").sound()
    assert sound.wav[:4] == b"RIFF" and sound.seconds == 1.5


def test_two_chords_are_compared() -> None:
    # By hand: C E G A and F A C E flat share C and A; C6 and Am7 have the same notes.
    about = chord("C6")
    assert [note.name for note in about.common_tones("F7")] == ["C", "A"]
    assert about.same_notes("Am7") and not about.same_notes(Chord.parse("Am"))


def test_distances_to_the_sevenths() -> None:
    # By hand: C E G B to C E G Bb, and to Db E G B, is a semitone; to E G B D, two.
    far = chord("Cmaj7").distances()
    assert (far["C7"], far["Dbm7b5"], far["Em7"], far["Cdim7"]) == (1, 1, 2, 4)
    assert len(far) == 59 and list(far.values()) == sorted(far.values())


def test_what_follows_shows_itself_in_one_line() -> None:
    about = chord("G7", key="C")
    for each in (*about.resolutions, *about.functions, *about.substitutes, *about.scales):
        assert repr(each) == f"<{each}>" and "\n" not in repr(each)
    shown: list[str] = []
    about._repr_pretty_(type("Printer", (), {"text": lambda _, text: shown.append(text)})(), False)
    assert shown == [str(about)]


# A 13 is played without its eleventh, which clashes with the third: Wikipedia, "Thirteenth".
@pytest.mark.parametrize(
    ("symbol", "scales", "avoid"),
    [
        ("C13", {"mixolydian", "lydian dominant"}, "F"),
        ("Cmaj13", {"major", "lydian"}, "F"),
        ("Ab13", {"mixolydian", "lydian dominant"}, "Db"),
    ],
)
def test_a_thirteenth_is_played_without_its_eleventh(
    symbol: str, scales: set[str], avoid: str
) -> None:
    about = chord(symbol)
    assert [str(degree) for degree in about.not_played] == ["11"]
    assert scales <= {one.scale.name for one in about.scales}
    first = about.scales[0]
    assert [note.name for note in first.avoid] == [avoid]
    assert chord(f"{symbol}(no11)").symbol == f"{symbol}no11"
    assert f"not played  {Note.parse(avoid).unicode} (11)" in str(about)


@pytest.mark.parametrize("symbol", ["Cm13", "C13#11", "C13sus4", "C11", "C9"])
def test_other_chords_are_played_whole(symbol: str) -> None:
    assert chord(symbol).not_played == ()


def test_an_augmented_triad_is_matched_by_sound() -> None:
    # Common practice, no source: whole tone first; G sharp is A flat in mixolydian flat six.
    for root in ("C", "E", "Ab"):
        names = [one.scale.name for one in chord(f"{root}+").scales]
        assert names[0] == "whole tone"
        assert {"lydian augmented", "mixolydian flat six", "altered", "augmented"} <= set(names)
