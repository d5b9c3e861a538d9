"""The class file: read with places, and what it says of shapes that are new."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.change import change
from harmonykit.fretboard.hands.hand import Barre, Fingering
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.grips import Grip, nearest_grip
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.tune.class_file import ClassFile, parse_voices, read_class

UKULELE = Instrument.named("ukulele")
WRITTEN = """format = 1
name = "Thursday ukuleles"
instruments = ["ukulele", "guitar"]
minutes = 50
voices = "G3 to B4"

[grips]
ukulele = ["C 0003", "F 2010", "Bb 3211"]
guitar = ["C x32010"]
"""


@pytest.fixture
def thursday(tmp_path: Path) -> ClassFile:
    path = tmp_path / "thursday.toml"
    path.write_text(WRITTEN, encoding="utf-8")
    return read_class(path)


def test_a_class_file_is_read(thursday: ClassFile) -> None:
    assert str(thursday) == "Thursday ukuleles: 4 grips, 50 minutes"
    assert [str(grip) for grip in thursday.grips_on(UKULELE)] == [
        "C 0-0-0-3",
        "F 2-0-1-0",
        "B♭ 3-2-1-1",
    ]
    assert (thursday.lowest.midi, thursday.highest.midi) == (55, 71)


@pytest.mark.parametrize(
    ("old", "new", "said", "line"),
    [
        ('"C 0003"', '"C 0005"', "it has D", 8),
        ('"F 2010"', '"2010"', "is not a grip", 8),
        ('"F 2010"', '"F 201"', "", 8),
        ("minutes = 50", "minutes = 5", "minutes is 5", 4),
        ("minutes", "minuets", "unknown key 'minuets'", 4),
        ("G3 to B4", "B4 to G3", "cannot be read", 5),
        ("guitar = [", "mandolin = [", "which the class does not play", 9),
        ('name = "Thursday ukuleles"', 'name = ""', "name is empty", 2),
        ("format = 1", "format = 2", "format is 2", 1),
    ],
)
def test_what_is_wrong_is_placed(tmp_path: Path, old: str, new: str, said: str, line: int) -> None:
    path = tmp_path / "thursday.toml"
    path.write_text(WRITTEN.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(HarmonyError) as wrong:
        read_class(path)
    assert said in wrong.value.what
    assert wrong.value.place is not None
    assert (wrong.value.place.source, wrong.value.place.line) == ("thursday.toml", line)


def test_a_movable_grip_is_known_at_every_fret_and_an_open_one_where_it_stands(
    thursday: ClassFile,
) -> None:
    # B flat, 3211, is movable: common practice, no source.
    moved = [Voicing(UKULELE, (2 + n, 1 + n, n, n)) for n in range(1, 11)]
    assert all(map(thursday.knows, moved))
    assert not thursday.knows(Voicing.parse("2100")) and not thursday.knows(Voicing.parse("4232"))
    assert thursday.new([*moved, *map(Voicing.parse, ("2223", "3334", "0232"))]) == tuple(
        map(Voicing.parse, ("2223", "0232"))
    )


def test_the_nearest_grip_differs_by_the_fewest_fingers(thursday: ClassFile) -> None:
    """No grip of the class, tried one by one, is left by fewer fingers."""
    shapes = [
        shape for chord in ("F7", "Dm", "C7", "Bbm") for shape in find_voicings(chord, UKULELE, 4)
    ]
    for shape in (each for each in shapes if can_hold(each.frets, UKULELE)):
        kin = thursday.nearest(shape)
        assert kin is not None
        others = (change(grip.shape, shape) for grip in thursday.grips_on(UKULELE))
        least = min(len(other.moves) - len(other.fingers("stays")) for other in others)
        assert len(kin.fingers) <= least
        assert bool(kin.fingers) != thursday.knows(shape)


def test_a_string_an_octave_lower_takes_the_same_fingers() -> None:
    """G C E A with a low or a high g is fretted alike; D G B E, of other letters, is not."""
    ours = ClassFile.of("Ours", UKULELE, "C 0003", "F 2010")
    low = Instrument.named("low g tenor")
    assert [grip.shape for grip in ours.grips_on(low)] == [
        Voicing.parse("0003", low), Voicing.parse("2010", low),
    ]  # fmt: skip
    assert ours.knows(Voicing.parse("2010", low)) and not ours.knows(Voicing.parse("0212", low))
    assert not ours.grips_on("baritone ukulele")


def test_it_is_said_as_a_teacher_says_it() -> None:
    ours = ClassFile.of("Ours", UKULELE, "F 2010", "Bb 3211")
    said = {shape: str(ours.nearest(Voicing.parse(shape))) for shape in ("2013", "2000", "5433")}
    assert said == {
        "2013": "your F (2-0-1-0), third finger is added",
        "2000": "your F (2-0-1-0), first finger lifts",
        "5433": "your B♭ (3-2-1-1) at fret 3, the same fingers",
    }
    open_strings = ClassFile.of("Ours", UKULELE, "Am7 0000").nearest(Voicing.parse("00xx"))
    assert str(open_strings) == "your Am7 (0-0-0-0), on fewer strings"


@pytest.mark.parametrize(
    ("instrument", "known", "new", "said"),
    [
        (
            "guitar",
            ("C7", "x-3-5-3-5-3", "013141"),
            ("x-x-5-3-3-3", "003111"),
            "lies over fewer strings",
        ),
        (
            "guitar",
            ("C7", "x-3-5-3-5-3", "013141"),
            ("3-5-3-3-5-3", "131141"),
            "lies over more strings",
        ),
        ("ukulele", ("A7", "0-1-0-0", "0100"), ("2-2-2-2", "1111"), "moves and is laid flat"),
        ("ukulele", ("D7", "2-2-2-3", "1112"), ("0-2-0-2", "0102"), "moves and is put upright"),
        ("ukulele", ("A7", "0-1-0-0", "0100"), ("0-2-0-0", "0100"), "moves"),
        ("ukulele", ("F", "2-0-1-0", "2010"), ("2-1-1-1", "2111"), "is laid flat"),
        ("ukulele", ("D7", "2-2-2-3", "1112"), ("2-0-0-3", "1002"), "is put upright"),
    ],
)
def test_what_the_first_finger_does_is_seen_from_the_strings_under_it(
    instrument: str, known: tuple[str, str, str], new: tuple[str, str], said: str
) -> None:
    """One string: upright; several: flat, over as many as it presses (by hand)."""
    chord, shape, fingers = known
    grip = Grip(Chord.parse(chord), Voicing.parse(shape, instrument), _held(shape, fingers))
    kin = nearest_grip(Voicing.parse(new[0], instrument), [grip], _held(*new))
    assert kin is not None
    assert f"first finger {said}" in kin.words.split(", ")


def _held(shape: str, fingers: str) -> Fingering:
    """Return the fingers, the first laid flat from the first to the last string that it presses."""
    at = [string for string, finger in enumerate(fingers) if finger == "1"]
    fret = int(shape.split("-")[at[0]])
    flat = (Barre(1, fret, at[0], at[-1]),) if len(at) > 1 else ()
    muted = [fret == "x" for fret in shape.split("-")]
    return Fingering(
        tuple(None if mute else int(f) for f, mute in zip(fingers, muted, strict=True)), flat
    )


def test_a_grip_at_another_fret_is_called_by_the_chord_that_it_sounds_there() -> None:
    """Dm6 is 2-2-1-2, and its notes two frets higher are those of Em6."""
    ours = ClassFile.of("Ours", UKULELE, "Dm6 2212", "Bb/D 3211")
    names = set()
    chords = ("Gm6", "A7", "E7", "B7", "F#7")
    for shape in (shape for chord in chords for shape in find_voicings(chord, UKULELE, 5)):
        kin = ours.nearest(shape) if can_hold(shape.frets, UKULELE) else None
        if kin is not None:
            assert set(kin.start.pcs) == set(Chord.parse(kin.start_name).pcs)
            names.add(kin.start_name)
    assert {"Dm6", "Em6", "B♭/D", "B/D♯"} < names
    known = ClassFile.of("Ours", UKULELE, "F 2010").grips_on(UKULELE)
    far = nearest_grip(Voicing.parse("3545"), known)
    assert far is not None and far.words.startswith("from your F (2-0-1-0), ")
    assert far.beside == far.words.replace(" (2-0-1-0)", "")


def test_voices_are_two_notes_the_lower_first() -> None:
    assert [note.midi for note in parse_voices("A3 to C5")] == [57, 72]
    for wrong in ("", "A3", "C5 to A3", "A3 to A3", "A to C"):
        with pytest.raises(HarmonyError, match="cannot be read"):
            parse_voices(wrong)


@pytest.mark.parametrize(
    ("line", "mend"),
    [('grips = ["C 0003"]', "[grips]"), ('minutes = "long"', "minutes = 45"),
     ("minutes = 5", "minutes = 45"), ('instruments = "ukulele"', 'instruments = ["ukulele"]')],
)  # fmt: skip
def test_a_value_of_another_kind_is_told_how_it_is_typed(
    tmp_path: Path, line: str, mend: str
) -> None:
    key = line.split()[0]
    rows = ["format = 1", 'name = "Quay"', 'instruments = ["ukulele"]']
    text = "\n".join([row for row in rows if not row.startswith(key)] + [line])
    path = tmp_path / "quay.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(HarmonyError) as caught:
        read_class(path)
    assert mend in caught.value.mend and caught.value.place is not None
