"""Whatever is handed to a public function: it works, or our error says what to type.

Each parameter of each public function in turn is given things of every other kind; the law is that
nothing but a ``HarmonyError`` comes of it.
"""

from __future__ import annotations

import inspect
import pickle
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

import harmonykit as hk
from harmonykit.errors import HarmonyError, WrongKind
from harmonykit.public import careful

UKULELE = hk.Instrument.named("ukulele")
SHAPE, NEXT = hk.Voicing.parse("0003", UKULELE), hk.Voicing.parse("0212", UKULELE)
TUNE = hk.read_tune("heron_landing")
PLAYED = hk.reharmonise(TUNE, UKULELE, (), 1)
LISTS = ([], [7], ["Am7", None], {"C": 1})
WRONG: tuple[Any, ...] = (
    None, 7, -1, 1.5, float("nan"), True, "", "nonsense", " ", b"", b"C7", object(), *LISTS,
    hk.Key.parse("C"), hk.PcSet.of(0, 4, 7), hk.Note.parse("C4"), hk.Interval.parse("m3"),
    hk.Chord.parse("C"), SHAPE, UKULELE, hk.SixthDiminished("C"), TUNE, PLAYED[0], hk.Limits(),
    hk.chord("C9"), hk.progression("Dm7 G7"), hk.Dialect(), Path("nowhere.toml"), ..., 10**30,
)  # fmt: skip

# What each public function is called with where nothing is wrong; a lesson's are tried apart.
RIGHT: dict[str, tuple[Any, ...]] = {
    "Chord.build": (hk.Note.parse("C"), hk.Chord.parse("C").degrees, None),
    "Chord.of": ("C", "m7"),
    "Chord.parse": ("C7", hk.Dialect()),
    "Degree": (3, -1),
    "Degree.parse": ("b7",),
    "Instrument.named": ("ukulele",),
    "Instrument.parse": ("G4 C4 E4 A4", "mine", 350.0, 12),
    "Interval.parse": ("m3",),
    "Key": (hk.Note.parse("C"), "major"),
    "Key.parse": ("C",),
    "Wishes": (
        "usual",
        "full",
        "",
        ("rise",),
        "",
        hk.Limits(),
        hk.Demands(),
        None,
        120,
        0.5,
        True,
        False,
        "mine",
    ),
    "Limits": (5, 67.0, "full", 11.0, 98.0, False),
    "Note": ("C", 0, 4),
    "Note.from_fifths": (1, 4),
    "Note.from_midi": (60, True),
    "Note.parse": ("C4",),
    "Note.spelled": (1, "D"),
    "PcSet": (7,),
    "PcSet.from_mask": (7,),
    "PcSet.of": (0, 4, 7),
    "PcSet.parse": ("047",),
    "Scale": ("C", "major"),
    "SetClass.named": ("4-28",),
    "SetClass.of": ("C7",),
    "SixthDiminished": ("C", "major"),
    "Scale.parse": ("D dorian",),
    "SixthDiminished.parse": ("C major",),
    "Voicing": (UKULELE, (0, 0, 0, 3)),
    "Voicing.parse": ("0003", "ukulele"),
    "Tune.parse": ("| Dm7 | G7 |", "two bars", "C", "3/4", "letters"),
    "analyse": (TUNE, "F"),
    "approach": ("Dm7", "below"),
    "avoid_notes": ("C major", "Cmaj7"),
    "arrange.harmonise_note": ("E", "C", "C6"),
    "best_voice_leading": ("C7", "F6", 1, False),
    "best_voice_leadings": ("C7", "F6", 1, False),
    "change": (SHAPE, NEXT, hk.Limits()),
    "chord": ("C13", "F"),
    "compare": (PLAYED,),
    "diminished_sevenths": (),
    "draw.box": (SHAPE, "C"),
    "draw.clock": ("C7",),
    "draw.cube": ("Bdim7",),
    "draw.matrix": ("C7 F6",),
    "draw.neck": ("ukulele", [(SHAPE, "C")]),
    "draw.scale": ("ukulele", "C dorian"),
    "draw.shape_sheet": ("ukulele", "C7"),
    "draw.spoken": (SHAPE, "C"),
    "draw.text": (SHAPE, "C"),
    "draw.tuning": ("ukulele",),
    "draw.voices": ([("0003", "C"), (NEXT, "G7")],),
    "discover": ("C+", "ukulele", (), None),
    "displacement": (0, 1),
    "distance": ("C7", "F6", 1, False),
    "distance_matrix": (["C7", "F6"], 1, False, ["Am"]),
    "exact_names": ("C6", "C"),
    "find_data": ("tunes", "heron_landing"),
    "find_keys": (TUNE,),
    "find_phrases": (TUNE,),
    "find_voicings": ("G7", "ukulele", 5, True, hk.Limits(), hk.fretboard.Wanted()),
    "fretboard.Wanted": ("G", "F", ["5"], "none", ["1"], True, "close", 3),
    "fretboard.changes": ([SHAPE, "2010"], hk.Limits(), False),
    "fretboard.difficulty": (SHAPE,),
    "fretboard.fingerings": ([SHAPE, "2010"], hk.Limits()),
    "fretboard.register_marks": (SHAPE,),
    "fretboard.travel_mm": (SHAPE, "2010", hk.Limits()),
    "fretboard.texture_missing": ("C7", "ukulele", "shells", hk.Limits()),
    "fretboard.texture_shapes": ("C7", "ukulele", "shells", hk.Limits()),
    "glossary": (),
    "how_often": ("C G7",),
    "limits_at": (1, "ukulele", False),
    "minor_sixths": ("Cdim7",),
    "name_chords": ("C E G", "C", "C"),
    "nearest_shapes": (SHAPE, "G7", "strings", "ukulele", hk.Limits(), hk.fretboard.Wanted()),
    "neighbours": ("C7", 1),
    "often_next": ("C", 2),
    "parents": ("Cdim7",),
    "playability": ("| C | G7 |", "ukulele", hk.Limits()),
    "progression": ("Dm7 G7", "C"),
    "raisings": ("Cdim7",),
    "rank_shapes": ("C7", "ukulele", SHAPE, "close"),
    "read_shape": ("0003", "ukulele", "C"),
    "read_symbol": ("C7", hk.Dialect()),
    "read_tune": ("heron_landing", None),
    "reharmonise": ("| C6 | G7 |", "ukulele", (), 1, "usual", hk.Wishes()),
    "resolutions": ("Cdim7",),
    "scale_of_chords": ("C major", "0000", 2, "ukulele"),
    "scales_for": ("C7",),
    "scales_holding": ("C7", ["major"]),
    "set_classes": (),
    "shipped": ("tunes",),
    "subsets": ("C7", 3),
    "term": ("pedal point",),
    "theory.class_distance": ("C7", "F6"),
    "theory.embedded": ("C", "C7"),
    "theory.evenness": ("C7",),
    "theory.fourier": ("C7",),
    "theory.icvsim": ("C7", "F6"),
    "theory.one_note_changes": ("C7", 2, True),
    "theory.plr": ("C", "PL"),
    "theory.roughness": ([60, 64, 67],),
    "theory.seventh_kin": ("C7",),
    "theory.shortest_paths": ("C7", "F7", 2),
    "theory.tonnetz": (4, 3, 0),
    "theory.zone": ("C7",),
    "theory.before_all": ("Bdim7", "m"),
    "theory.forms_within": ("C", "C7"),
    "theory.functions": ("C",),
    "theory.gaps": ("Bdim7",),
    "surprise": ("C G7 C", "C"),
    "tune.analyse_chords": ("Dm7 G7 C6", "C"),
    "uses": ("C",),
}
# The same of what a tune does.
TUNE_RIGHT: dict[str, tuple[Any, ...]] = {
    "transpose": ("M2",),
    "transpose_by": (-2,),
    "transpose_to": ("Bb",),
}
# Of two a search or a whole lesson comes; their other arguments are those of what is tried here.
APART = {"build_lesson", "pareto_front", "write_tune"}


def called(name: str) -> Callable[..., Any]:
    """Return a public function, a class, or a function of a class that makes one."""
    found: Any = TUNE if name in TUNE_RIGHT else hk
    for part in name.split("."):
        found = getattr(found, part)
    return found  # type: ignore[no-any-return]


def call(name: str, given: Sequence[Any]) -> None:
    """Call a public function with things in the order of its parameters, by keyword or not."""
    function = called(name)
    row = inspect.signature(function).parameters.values()
    if any(each.kind is each.VAR_POSITIONAL for each in row):
        function(*given)
    else:
        function(**dict(zip((each.name for each in row), given, strict=False)))


def cases() -> Iterator[tuple[str, int]]:
    for name, right in (RIGHT | TUNE_RIGHT).items():
        for place in range(len(right)):
            yield name, place


def test_every_public_function_is_tried() -> None:
    offered = {
        name
        for name in hk.__all__
        if callable(getattr(hk, name)) and not inspect.isclass(getattr(hk, name))
    }
    assert offered - APART - set(RIGHT) == set()


@pytest.mark.parametrize("name", RIGHT | TUNE_RIGHT)
def test_what_is_right_works(name: str) -> None:
    call(name, (RIGHT | TUNE_RIGHT)[name])


@pytest.mark.parametrize(("name", "place"), list(cases()))
def test_what_is_wrong_is_said(name: str, place: int) -> None:
    for wrong in WRONG:
        given = [*(RIGHT | TUNE_RIGHT)[name]]
        given[place] = wrong
        try:
            call(name, given)
        except HarmonyError as error:
            assert str(error).strip()
        except Exception as error:  # noqa: BLE001
            pytest.fail(f"{name}{tuple(given)!r}: {type(error).__name__}: {error}")


@pytest.mark.parametrize("name", RIGHT)
def test_an_unknown_parameter_is_said(name: str) -> None:
    function = called(name)
    if inspect.isfunction(function):
        with pytest.raises(WrongKind, match=rf"^hk\.{name} has no parameter 'unheard'"):
            function(*RIGHT[name], unheard=1)


@pytest.mark.parametrize(
    ("wrong", "said", "mend"),
    [
        (
            lambda hk: hk.find_voicings("C9", "ukulele", layout="drop 2"),
            "has no parameter 'layout'",
            "wanted=hk.fretboard.Wanted(layout='drop 2')",
        ),
        (lambda hk: hk.reharmonise("a", "b", tempo=90), "'tempo'", "wishes=hk.Wishes(tempo=90)"),
        (lambda hk: hk.chord(simbol="C"), "has no parameter 'simbol'", "symbol"),
        (lambda hk: hk.find_voicings("C9"), "hk.find_voicings needs 'instrument'", ""),
        (lambda hk: hk.find_voicings("C9", "ukulele", 5, True), "fewer positional", ""),
        (lambda hk: hk.Chord("C13"), "hk.Chord needs", "hk.Chord.parse('C13')"),
        (lambda hk: hk.Instrument("ukulele"), "needs", "hk.Instrument.named('ukulele')"),
        (lambda hk: hk.Instrument("D4 A4 D5"), "needs", "hk.Instrument.parse('D4 A4 D5')"),
        (lambda hk: hk.Scale("C dorian"), "is more than a tonic", "Scale.parse('C dorian')"),
        (lambda hk: hk.Chord.parse("C").transpose(-3), "-3 was given", '"-m3"'),
        (lambda hk: hk.progression("C F").transpose("Eb"), "is a key", ".in_key('Eb')"),
        (lambda hk: hk.draw.neck("ukulele", "C dorian"), "was given", "hk.draw.scale("),
    ],
)
def test_a_wrong_call_is_told_with_what_to_type(
    wrong: Callable[[Any], object], said: str, mend: str
) -> None:
    with pytest.raises(HarmonyError) as caught:
        wrong(hk)
    assert said in caught.value.what and caught.value.mend.startswith(mend)


FLOORS = {name: each for name in hk.__all__ if inspect.ismodule(each := getattr(hk, name))}
OF_FLOORS = [
    f"{floor}.{name}"
    for floor, module in FLOORS.items()
    for name in module.__all__
    if inspect.isfunction(getattr(module, name))
]


@pytest.mark.parametrize("name", OF_FLOORS)
def test_a_function_of_a_floor_says_what_it_wants(name: str) -> None:
    function = called(name)
    row = inspect.signature(function).parameters.values()
    needed = [p for p in row if p.default is p.empty and p.kind is p.POSITIONAL_OR_KEYWORD]
    for wrong in (7, None, object()):
        try:
            function(*[wrong] * len(needed))
        except HarmonyError as error:
            assert str(error).strip()


def test_an_error_within_a_call_is_told_as_it_is() -> None:
    with pytest.raises(TypeError, match="unhashable"):
        careful(lambda: {[]}, "harmonykit.broken")()  # type: ignore[misc]


@pytest.mark.parametrize("name", ["chord", "find_voicings", "distance"])
def test_a_public_function_goes_to_another_process(name: str) -> None:
    assert pickle.loads(pickle.dumps(getattr(hk, name))) is getattr(hk, name)


@pytest.mark.parametrize("wrong", [0.5, True, 15, -1, "C", None])
def test_what_is_not_a_pitch_class_has_no_displacement(wrong: Any) -> None:
    for pair in ((wrong, 0), (0, wrong)):
        with pytest.raises(HarmonyError, match=r"a whole number, 0 to 11"):
            hk.displacement(*pair)


@pytest.mark.parametrize("wrong", [{"key": 5}, {"meter": 3}, {"meter": (3, 5)}, {"name": 7}])
def test_what_a_tune_cannot_be_read_with_is_said(wrong: dict[str, Any]) -> None:
    with pytest.raises(HarmonyError):
        hk.Tune.parse("| C |", **wrong)
    assert hk.Tune.parse("| C |", meter=(3, 4)).meter == (3, 4)


@pytest.mark.parametrize(
    ("called", "mend"),
    [
        (lambda: hk.find_voicings("G7", "D F# A D"), '"D4 F#4 A4 D5"'),
        (lambda: hk.find_voicings("G7", "DGBE"), "with their octaves"),
        (lambda: hk.find_keys("Low Tide Rag | Dm7 | G7 |"), "Tune.parse(text)"),
        (lambda: hk.find_keys("Low Tide Rag: Dm7 G7"), "Tune.parse(text)"),
        (lambda: hk.find_keys("Dm7 Gq7"), "G7, Gm7"),
        (lambda: hk.Tune.parse("| C F G | Am Dm G7 C F |"), "from three chords in 1 bar\n"),
        (lambda: hk.playability("0003"), 'hk.Voicing.parse("0003", "ukulele")'),
        (lambda: hk.playability("x32010", "guitar"), 'hk.Voicing.parse("x32010", "guitar")'),
    ],
)
def test_what_is_nearly_right_is_told_what_to_type(called: Callable[[], Any], mend: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        called()
    assert mend in str(caught.value)


def test_a_wrong_kind_is_a_type_error_that_says_what_to_type() -> None:
    with pytest.raises(TypeError) as wrong:
        hk.parents(7)  # type: ignore[arg-type]
    assert isinstance(wrong.value, WrongKind)
    assert str(wrong.value).splitlines() == [
        "7 was given", "  rule: a chord, or its symbol as text", '  try: "Adim7"',
    ]  # fmt: skip
