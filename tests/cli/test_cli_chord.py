"""What ``harmonykit chord`` tells, against published tables and by sounding each shape again."""

from __future__ import annotations

import json

import pytest
from tables import rows

from harmonykit import cli
from harmonykit.about.chord import chord
from harmonykit.about.shapes import Facts, Hand, instrument_facts
from harmonykit.about.text import MOST_SHAPES, WIDTH, printed, to_text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import as_instrument

UKULELE = (67, 60, 64, 69)
PITCH = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def facts(symbol: str, instrument: str, hand: Hand | None = None, capo: int = 0) -> Facts:
    """Return what the command tells as JSON."""
    return chord(symbol).facts(as_instrument(instrument).with_capo(capo), hand)


def pitch_class(name: str) -> int:
    """Return the pitch class of a note name, worked out here and not by the library."""
    letter, signs = name[0], name[1:]
    return (PITCH[letter] + signs.count("#") - signs.count("b")) % 12


@pytest.mark.parametrize("row", rows("dim7_parents"), ids=lambda row: row["dim7_root"])
def test_a_diminished_seventh_against_the_published_table(row: dict[str, str]) -> None:
    # tests/data/dim7_parents.tsv: Cohn 2012, ch. 7.
    known = facts(row["dim7_root"] + "dim7", "ukulele")
    lowered, raised = (
        {frozenset(map(pitch_class, move.split(":")[0].split(">"))) for move in row[column].split()}
        for column in ("lower_one_note_gives_dom7", "raise_one_note_gives_m7b5")
    )
    assert {frozenset(map(pitch_class, p["lowered"])) for p in known["parents"]} == lowered
    assert {frozenset(map(pitch_class, s["raised"])) for s in known["minor_sixths"]} == raised
    roots = {pitch_class(p["chord"].removesuffix("7")) for p in known["parents"]}
    assert roots == {int(n) for n in row["parent_dominant_roots_(7b9_minus_root)"].split(",")}


@pytest.mark.parametrize("symbol", ["F#dim7", "C6", "Bbm7b5", "C", "D7/F#", "Ebmaj9"])
def test_each_shape_sounds_the_chord(symbol: str) -> None:
    known = facts(symbol, "ukulele")
    must = {
        pitch_class(t["note"]) for t in known["tones"] if t["degree"] not in known["may_be_missing"]
    }
    may = {pitch_class(tone["note"]) for tone in known["tones"]}
    assert known["shapes"]
    for shape in known["shapes"]:
        midi = [open_ + fret for open_, fret in zip(UKULELE, shape["frets"], strict=True)]
        assert must <= {pitch % 12 for pitch in midi} <= may
        assert [pitch_class(name.rstrip("0123456789")) for name in shape["notes"]] == [
            pitch % 12 for pitch in midi
        ]


def test_a_dominant_is_told_where_it_leads() -> None:
    # Web, "Diminished Chord Patterns": VII°, the leading-tone chord, is G7b9 without its root.
    known = facts("G7", "ukulele")
    assert (known["leads_to"], known["its_diminished"]) == ("C", "Bdim7")


def test_what_is_no_dominant_is_told_what_leads_to_it() -> None:
    # Common practice, no source: the diminished seventh a semitone below, a semitone above, and
    # on the same root.
    known = facts("Dm7", "ukulele")
    assert known["led_to_by"] == {"below": "C#dim7", "above": "Ebdim7", "same": "Ddim7"}
    assert "leads_to" not in known


def test_a_guitar_mutes_strings_and_begins_with_what_is_strummed_in_one_go() -> None:
    shapes = facts("C", "guitar")["shapes"]
    assert shapes[0]["digits"] == "x-3-2-0-1-0"
    assert not any("x" in shape["digits"].strip("x-") for shape in shapes[:12])


# Common practice, no source: four strings drop a plain fifth, the root, and what is not named.
def test_a_chord_of_too_many_tones_says_which_may_be_missing() -> None:
    known = facts("C13", "ukulele")
    assert known["may_be_missing"] == ["1", "5", "9", "11"]
    assert all(len(shape["frets"]) == 4 for shape in known["shapes"])


def test_doubts_are_told() -> None:
    assert facts("Cdim", "ukulele")["doubts"]
    assert facts("Cdim7", "ukulele")["doubts"] == []


# Arithmetic: lowering a note of F#dim7 gives D7, which leads to G, and so on.
def test_the_hand_is_led_to_the_nearest_shape_of_each_target() -> None:
    known = facts("F#dim7", "ukulele")
    assert [lead["chord"] for lead in known["from_the_first"]] == ["Db", "E", "G", "Bb"]
    for lead in known["from_the_first"]:
        frets = map(int, lead["digits"].split("-"))
        sounds = {(s + f) % 12 for s, f in zip(UKULELE, frets, strict=True)}
        root = pitch_class(lead["chord"])
        assert sounds == {root, (root + 4) % 12, (root + 7) % 12}
        assert lead["strings_moved"] >= 1
    assert facts("G7", "ukulele")["from_the_first"][0]["digits"] == "0-0-0-3"
    assert facts("C6", "ukulele")["from_the_first"] == []


def test_each_shape_tells_how_it_lies_and_what_it_asks_of_the_hand() -> None:
    # The diminished seventh's one shape: four fingers, two frets (common practice, no source);
    # 3 frets apart 19.1 mm between frets 2 and 3 on 381 mm (fret_positions.tsv).
    shape = facts("F#dim7", "ukulele")["shapes"][0]
    assert (shape["digits"], shape["fingers"], shape["barres"]) == ("2-3-2-3", [1, 3, 2, 4], [])
    assert (shape["layout"], shape["position"], shape["bass"]) == ("close", "third inversion", "Eb")
    assert shape["difficulty"]["fingers"] == 4
    assert shape["difficulty"]["stretch_mm"] == shape["stretch_mm"] == 19.1
    assert shape["difficulty"]["level"] == 1
    barre = next(s for s in facts("F", "guitar")["shapes"] if s["digits"] == "1-3-3-2-1-1")
    assert barre["barres"] == [{"finger": 1, "fret": 1, "first": 0, "last": 5}]
    assert "if it hurts, stop" in barre["caution"]


def test_a_level_and_a_small_hand_leave_out_shapes() -> None:
    wide = facts("F", "guitar")["shapes"]
    first = facts("F", "guitar", Hand(level=1))
    small = facts("F", "guitar", Hand(level=1, small=True))
    found = [{s["digits"] for s in shapes} for shapes in (wide, first["shapes"], small["shapes"])]
    assert found[2] < found[1] < found[0]
    assert all(not s["barres"] and max(f or 0 for f in s["frets"]) <= 5 for s in first["shapes"])
    assert "within reach of a hand at level 1" in to_text(first)
    assert "within reach of a small hand at level 1" in to_text(small)


def test_frets_are_counted_from_the_capo_and_the_symbol_sounds() -> None:
    known = facts("D", "ukulele", capo=2)
    assert "0-0-0-3" in [shape["digits"] for shape in known["shapes"]]
    assert known["instrument"]["strings"] == ["A4", "D4", "F#4", "B4"]
    assert "the capo is at fret 2" in " ".join(to_text(known).split())


def test_a_shape_typed_as_a_symbol_is_met_with_the_option() -> None:
    for typed in ("2213", "x32010", "10-12-10-12"):
        with pytest.raises(HarmonyError, match="--frets") as caught:
            facts(typed, "ukulele")
        assert caught.value.mend.endswith(typed)
    with pytest.raises(HarmonyError) as caught:
        facts("Hq", "ukulele")
    assert "--frets" not in caught.value.mend


def test_strings_may_be_typed() -> None:
    assert as_instrument("G3 D4 A4 E5").midi == (55, 62, 69, 76)
    assert as_instrument("ukulele low g").midi == (55, 60, 64, 69)
    assert as_instrument("5-string banjo").name == "five-string banjo"
    with pytest.raises(HarmonyError, match="2 strings given"):
        as_instrument("G4 C4")
    with pytest.raises(HarmonyError, match="unknown instrument 'ukelele'"):
        as_instrument("ukelele")


SYMBOLS = ["F#dim7", "Ebdim7", "G7", "C/E", "F#7b9/B", "Abm13", "Cdim", "E5"]
NECKS = ["ukulele", "guitar", "five-string banjo", "E2 A2 D3 G3 B3 E4 A4 D5"]


@pytest.mark.parametrize("turn", [0, pytest.param(1, marks=pytest.mark.long)])
@pytest.mark.parametrize("number", range(len(SYMBOLS)))
def test_the_text_fits_a_terminal(number: int, turn: int) -> None:
    """Each chord on one instrument, or on two, and each instrument with two chords at least."""
    symbol, instrument = SYMBOLS[number], NECKS[(number + number // len(NECKS) + turn) % len(NECKS)]
    text = to_text(facts(symbol, instrument))
    assert max(map(len, text.splitlines())) <= WIDTH
    assert "♭♭" not in text and "♯♯" not in text


def test_ten_strings_high_up_the_neck_fit_too() -> None:
    strings = "C2 E2 G2 C3 E3 G3 C4 E4 G4 C5"
    shape = {
        **facts("E5", "ukulele")["shapes"][0],
        "digits": "-".join(["10"] * 10),
        "notes": ["Bb5"] * 10,
        "fingers": [1] * 10,
    }
    known = {**facts("E5", "ukulele"), "shapes": [shape]}
    known["instrument"] = instrument_facts(as_instrument(strings))
    text = to_text(known)
    assert max(map(len, text.splitlines())) <= WIDTH
    assert shape["digits"] in text


def test_the_text_tells_the_facts() -> None:
    text = to_text(facts("F#dim7", "ukulele"))
    assert text.startswith("F♯°7   (typed F#dim7)\n")
    assert "D7        E♭ falls to D; resolves to G: F♯–G, A–G, C–B, E♭–D" in text
    assert "2-3-2-3      1324     19 mm    1      A4 E♭4 F♯4 C5  close over E♭" in text
    assert "9 shapes. For the ukulele tuned g C E A; the g sounds above" in text
    assert "1-3-2-3 A♭7; 2-2-2-3 D7" in text


def test_no_more_shapes_than_a_screen_holds() -> None:
    known = facts("C", "guitar")
    text = to_text(known)
    assert f"and {len(known['shapes']) - MOST_SHAPES} more: --json, or .shapes() in Python" in text


def test_where_no_shape_is_found_it_is_said() -> None:
    assert "No shape on the ukulele" in to_text(facts("F#7b9/B", "ukulele"))


@pytest.mark.parametrize(
    ("symbol", "beside", "never"),
    [("Ebm7", "G♭7", "F♯7"), ("F#alt", "D♯m6", "E♭m6"), ("C7", "B♭°7", "A♯°7")],
)
def test_what_lies_near_is_spelled_as_the_chord(symbol: str, beside: str, never: str) -> None:
    text = to_text(facts(symbol, "ukulele")).partition("One string of")[2]
    assert beside in text and never not in text


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("Bbm7b5", "B♭m7♭5"),
        ("Ebb", "E𝄫"),
        ("b7", "♭7"),
        ("C#dim7", "C♯°7"),
        ("bb7", "𝄫7"),
        ("G##4", "G𝄪4"),
        ("F##dim7", "F𝄪°7"),
    ],
)
def test_names_are_printed_with_their_signs(typed: str, shown: str) -> None:
    assert printed(typed) == shown


def test_json_holds_every_fact(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main(["chord", "F#dim7", "--json"])
    assert left.value.code == 0
    told = json.loads(capsys.readouterr().out)
    assert told == json.loads(json.dumps(facts("F#dim7", "ukulele")))
    assert told["format"] == 1


def test_the_scales_on_the_root_are_told_with_the_notes_that_clash() -> None:
    # The modes of the schools: over G7 mixolydian C is to be passed over, over Cmaj7 in major F,
    # in lydian nothing (common practice, no source).
    told = {each["scale"]: each["avoid"] for each in facts("G7", "ukulele")["scales"]}
    assert told["mixolydian"] == ["C"] and told["lydian dominant"] == []
    assert "major" not in told and "altered" not in told
    told = {each["scale"]: each["avoid"] for each in facts("Cmaj7", "ukulele")["scales"]}
    assert (told["major"], told["lydian"]) == (["F"], [])
    assert "scales      C major (avoid F); C lydian" in to_text(facts("Cmaj7", "ukulele"))


def test_every_scale_on_the_root_holds_every_tone() -> None:
    for symbol in ("C", "Dm7b5", "F#dim7", "Ab7#5", "Bbm(maj7)"):
        known = facts(symbol, "ukulele")
        tones = {pitch_class(tone["note"]) for tone in known["tones"]}
        assert known["scales"], symbol
        for each in known["scales"]:
            assert not tones & set(map(pitch_class, each["avoid"]))
            assert pitch_class(each["tonic"]) == pitch_class(known["tones"][0]["note"])


def test_a_note_away_lie_chords_that_share_all_notes_but_one() -> None:
    # Cohn 2012: an augmented triad has three major and three minor triads.
    known = facts("C+", "ukulele")
    assert {each["chord"] for each in known["one_note_away"]} == {
        "C", "C#m", "E", "Fm", "Ab", "Am",
    }  # fmt: skip
    for each in known["one_note_away"]:
        old, new = map(pitch_class, each["moved"])
        assert (new - old) % 12 in (1, 11)
    assert "a note away C (G♯–G)" in to_text(known)


def test_the_reasons_of_what_leads_to_a_chord_are_told() -> None:
    why = facts("Dm7", "ukulele")["why"]
    assert set(why) == {"below", "above", "same"}
    assert "C♯ rises to D" in why["below"]


def test_after_a_shape_the_next_ones_are_told_in_the_order_in_which_players_take_them() -> None:
    """Common practice, no source: the grip goes down a whole step, and its strings stay."""
    known = facts("C7", "guitar", Hand(after="x-5-7-5-6-x"))
    assert "x-3-5-3-5-x" in [shape["digits"] for shape in known["shapes"][:3]]
    assert "the most natural after x-5-7-5-6-x first" in " ".join(to_text(known).split())


def test_after_a_shape_the_level_still_holds(capsys: pytest.CaptureFixture[str]) -> None:
    known = facts("F", "guitar", Hand(level=1, after="x32010"))
    assert known["shapes"]
    assert all(not shape["barres"] for shape in known["shapes"])
    with pytest.raises(SystemExit):
        cli.main(["chord", "F", "--after", "32", "--instrument", "guitar"])
    assert "'32' has frets for 2 strings" in capsys.readouterr().err


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    with pytest.raises(SystemExit) as left:
        cli.main(["chord", *arguments])
    assert left.value.code == 0
    return capsys.readouterr().out


# Common practice, no source: the shell of C7 with its root on the fifth string.
def test_shapes_of_a_texture_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, "C7", "--texture", "shells", "--instrument", "guitar")
    assert "x-3-2-3-x-x" in said and "x-3-5-3-5-3" not in said


def test_one_voice_moves_from_the_shape_before(capsys: pytest.CaptureFixture[str]) -> None:
    """C, Cmaj7, C7: C falls to B, B to B flat (common practice, no source)."""
    said = told(capsys, "C7", "--texture", "one voice moves", "--after", "0002")
    assert "0-0-0-1" in said and "3-4-3-3" not in said


def test_a_texture_that_is_missing_says_why(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main(["chord", "C", "--texture", "drop 3"])
    assert left.value.code == 2
    assert "C is a triad" in capsys.readouterr().err


def test_a_chord_points_to_its_ideas(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys, "Bdim7").endswith('  harmonykit ideas "Bdim7"\n')
    said = told(capsys, "Bdim7", "--instrument", "guitar")
    assert said.endswith('  harmonykit ideas "Bdim7" --instrument "guitar"\n')
