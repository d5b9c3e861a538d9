"""What ``harmonykit compare`` prints and writes."""

from __future__ import annotations

import csv
import re
import tomllib
from pathlib import Path

import music21
import pytest

from harmonykit import cli
from harmonykit.arrange.moves import MOVES
from harmonykit.cli.asked import Asked
from harmonykit.cli.compare import AS_WRITTEN, BY_STYLE, compare_tune, told_as_found
from harmonykit.cli.comparing import write_way
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.files import read_tune

STYLES_FILE = Path(cli.__file__).parents[1] / "arrange" / "styles.toml"
TUNE = '''
format = 1
title = "Two Rooms"
key = "C"
meter = "4/4"
tempo = 80
form = ["A"]

[[sections]]
name = "A"
changes = """
| C6 | Dm7 | G7 | C6 |
"""
'''


@pytest.fixture
def path(tmp_path: Path) -> Path:
    file = tmp_path / "two_rooms.toml"
    file.write_text(TUNE, encoding="utf-8")
    return file


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    with pytest.raises(SystemExit) as left:
        cli.main(["compare", *arguments])
    assert left.value.code == 0
    return capsys.readouterr().out


def test_each_arrangement_is_told_before_the_next_is_sought(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sought: list[str] = []
    found = Asked.found
    monkeypatch.setattr(Asked, "found", lambda *a, **k: sought.append(a[4]) or found(*a, **k))
    telling = told_as_found(read_tune(path), Instrument.named("ukulele"))
    first = next(telling)
    assert not sought
    assert first.startswith("Two Rooms on the ukulele") and first.endswith(f" 1  {AS_WRITTEN}")
    second = next(telling)
    assert second.startswith(f" 2  {sought[-1]}: ") and "all moves, rich" not in sought


def test_each_move_stands_beside_the_tune_as_written(path: Path) -> None:
    found = compare_tune(read_tune(path), Instrument.named("ukulele"))
    table = found.table
    # Pedal point and chord synonym have no place in C6 Dm7 G7 C6.
    absent = {"pedal point", "chord synonym"}
    used = [move for move in MOVES if move not in absent]
    # Those that are played as one before are named beside it.
    same = [name for name, _ in found.same]
    names = [AS_WRITTEN, *used, *BY_STYLE]
    assert list(table.index) == [name for name in names if name not in same]
    assert {*table.index, *same} == {*names}
    used = [move for move in used if move not in same]
    inserted = table["added (chords)"]
    assert inserted[AS_WRITTEN] == 0
    assert all(inserted[move] > 0 for move in used)


def test_the_chords_put_in_are_named_with_their_bars(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # By hand: of C6 | Dm7 | G7 | C6 the approach from below to Dm7 is C#°7, to G7 F#°7, and
    # each stands at the end of the bar before its target; B°7 is G7b9 without its root.
    text = answer(capsys, str(path), "--all")
    assert "leading-tone diminished: C♯°7 1@3; F♯°7 2@3" in text
    assert "rootless dominant: B°7 3@" in text
    assert "Two Rooms on the ukulele, g C E A; 4 bars, 80 beats a minute" in text


@pytest.mark.slow
def test_it_fits_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, "slack_water_waltz", "--all", "--instrument", "G3 D4 A4 E5")
    assert max(map(len, text.splitlines())) <= 80


def test_the_file_holds_what_is_printed(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = answer(capsys, str(path), "--all", "--csv", str(tmp_path / "numbers.csv"))
    assert "No place for pedal point, chord synonym" in text
    with (tmp_path / "numbers.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["arrangement"] for row in rows][0] == AS_WRITTEN
    # The numerals of C6 Dm7 G7 C6, by hand.
    assert rows[0]["numerals"] == "I6 | ii7 | V7 | I6"
    assert "     I6   ii7  V7   I6" in text
    for name in ("mean voice movement", "surprise, bits per change", "added, chords"):
        wanted = next(key for key in rows[0] if key.startswith(name.partition(",")[0]))
        lines = [line for line in text.splitlines() if line.startswith(name)]
        shown = [line.split()[-1 - _columns(line) : -1] for line in lines]
        # Each block begins with the tune as written, and ends with what more is.
        assert {numbers[0] for numbers in shown} == {shown[0][0]}
        values = [shown[0][0], *(number for numbers in shown for number in numbers[1:])]
        assert [float(row[wanted]) for row in rows] == pytest.approx(
            [float(value) for value in values], abs=0.051
        )


def _columns(line: str) -> int:
    """Return how many numbers a line has before its last word."""
    words = line.split()[:-1]
    return next(n for n, word in enumerate(reversed(words)) if not word[0].isdigit())


def test_what_stood_where_the_table_goes_is_kept(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "numbers.csv").write_text("mine")
    text = answer(capsys, str(path), "--csv", str(tmp_path / "numbers.csv"))
    assert "your numbers.csv is kept as numbers (yours).csv" in text
    assert (tmp_path / "numbers (yours).csv").read_text() == "mine"


def test_the_plots_are_written_and_the_front_is_told(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = answer(capsys, str(path), "--offers", "--plots", str(tmp_path / "figures"), "--front")
    names = ["distances", "front", "map", "matrix", "tradeoffs", "voices"]
    assert [file.stem for file in sorted((tmp_path / "figures").iterdir())] == names
    assert "(complete):" in text and "A  Least " in text
    for file in (tmp_path / "figures").iterdir():
        assert file.read_text(encoding="utf-8").startswith("<?xml")


def test_a_tune_of_one_chord_has_no_matrix(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "drone.toml"
    file.write_text(TUNE.replace("| C6 | Dm7 | G7 | C6 |", "| C6 | C6 |"), encoding="utf-8")
    answer(capsys, str(file), "--plots", str(tmp_path / "figures"))
    # There is no front where none was asked for.
    stems = {f.stem for f in (tmp_path / "figures").iterdir()}
    assert "distances" in stems and "front" not in stems


def test_an_intro_and_a_tag_are_bars_of_what_is_written(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, frame = tmp_path / "framed.toml", ("--intro", "pedal", "--ending", "tag")
    text = answer(capsys, str(path), *frame, "--take", "as written", "--out", str(out))
    counted = "; 4 bars, an intro of 4 bars before it and a tag of 3 bars after it,"
    assert counted in " ".join(text.split())
    again = read_tune(out)
    assert again.order == ("intro", "A", "tag")
    chords = " ".join(str(change.chord) for change in again.changes)
    assert chords == "Dm7/G G7 Dm7/G G7 C6 Dm7 G7 C6 Em7 A7 Dm7 G7 C6"
    assert counted in " ".join(answer(capsys, str(out), "--take", "as written").split())


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["heron_landin"], "try: heron_landing"),
        (["heron_landing", "--instrument", "kazoo"], "unknown instrument 'kazoo'"),
    ],
)
def test_what_cannot_be_used_gets_one_message(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main(["compare", *arguments])
    assert left.value.code == 2
    assert said in capsys.readouterr().err


@pytest.mark.parametrize(("place", "said"), [("", "is a folder"), ("not/x.csv", "is missing")])
def test_a_table_that_cannot_be_written_is_said_before_the_work(
    path: Path, capsys: pytest.CaptureFixture[str], place: str, said: str
) -> None:
    csv_path = str(path.parent / place) if place else ""
    with pytest.raises(SystemExit) as left:
        cli.main(["compare", str(path), "--csv", csv_path])
    shown = capsys.readouterr()
    assert left.value.code == 2 and said in shown.err and not shown.out


def test_one_of_them_is_taken_away_as_a_score_or_as_midi(path: Path) -> None:
    found = compare_tune(read_tune(path), Instrument.named("ukulele"))
    score, midi = path.with_name("way.musicxml"), path.with_name("way.mid")
    assert write_way(found.taken("1").way, score).endswith(f"way.musicxml: {AS_WRITTEN}")
    chords = [str(change.chord) for change in read_tune(score).changes]
    assert chords == ["C6", "Dm7", "G7", "C6"]
    assert score.read_text(encoding="utf-8").count("</frame>") == 4
    write_way(found.taken("2").way, midi)
    assert midi.read_bytes()[:4] == b"MThd"
    for number in (0, len(found.ways) + 1):
        with pytest.raises(HarmonyError, match=f"there are {len(found.ways)} arrangements"):
            found.taken(str(number))


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--out", "x.mid"], "--out needs --take"),
        (["--take", "2", "--out", "x.png"], "FILE.musicxml, .mid, .toml or .pdf"),
        (["--refuse", "1@3"], "--refuse needs --take"),
        (["--choose", "1@3", "C#dim7"], "--choose needs --take"),
        (["--lock", "9"], "bars 1 to 4"),
        (["--lock", "two"], "--lock 3,7-8"),
        (["--without", "moonwalk"], "unknown move 'moonwalk'"),
        (["--texture", "velvet"], "'velvet'"),
        (["--contour", "rise,sideways"], "'sideways'"),
        (["--density", "thick"], "'thick'"),
        (["--style", "baroque"], "unknown style 'baroque'"),
        (["--take", "moonwalk"], "no arrangement has this name"),
    ],
)
def test_what_cannot_be_taken_away_is_said_before_the_work(
    path: Path, options: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main(["compare", str(path), *options])
    assert left.value.code == 2
    said = capsys.readouterr()
    assert message in said.err and not said.out


MELODY = TUNE.replace("| C6 | Dm7 | G7 | C6 |", "| C6 | Dm7 | G7 | C6 |\n\"\"\"\nmelody = \"\"\"\n"
                      "| C5:4 | C5:2 D5:2 | Ab4:2 B4:2 | A4:2 r:2 |")  # fmt: skip


@pytest.mark.parametrize("option", ["--chord-melody", "--block-chords"])
def test_a_chord_melody_stands_beside_the_arrangements(
    option: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "sung.toml"
    file.write_text(MELODY, encoding="utf-8")
    text = answer(capsys, str(file), option)
    # By hand: all six notes begin on the first or third beat, and five have chords; under the
    # first, which lasts a bar, the lower voices move and come back.
    assert "Chord melody: 7 chords, 0 single notes." in text
    # Of six notes A flat alone lies below the open A string, the highest; and g C E have no B
    # below it, without which nothing says G7 with a flat ninth.
    assert "the note alone: A♭ (bar 3)" in text and "Raised by 1 semitone" in text
    assert max(map(len, text.splitlines())) <= 80


def test_a_chord_melody_that_is_offered_is_listed_once(tmp_path: Path) -> None:
    file = tmp_path / "sung.toml"
    file.write_text(MELODY, encoding="utf-8")
    tune, ukulele = read_tune(file), Instrument.named("ukulele")
    offered = [way.name for way in compare_tune(tune, ukulele, by_kind=True).ways]
    asked = compare_tune(tune, ukulele, block_chords=True, by_kind=True).ways
    assert "chord melody" in offered
    assert [way.name for way in asked].count("chord melody") == 1


def test_a_chord_melody_wants_a_melody(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main(["compare", str(path), "--block-chords"])
    assert left.value.code == 2
    assert "has no melody" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["taken.musicxml", "taken.mid"])
def test_an_arrangement_is_shown_and_written(
    name: str, path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / name
    text = answer(capsys, str(path), "--all", "--take", "2", "--out", str(out))
    # The second is the leading-tone diminished: C#°7 in bar 1 leads to Dm7, F#°7 in bar 2 to G7.
    shown = text[text.index("leading-tone diminished, in") :]
    assert "C♯°7" in shown and "vii°7/ii" in shown and "vii°7/V" in shown
    assert "1@3  C♯°7 " in shown and " for C6. " in shown and "heard " in shown
    assert f"{out.name}: leading-tone diminished" in shown
    read = read_tune(out)
    symbols = [str(change.chord) for change in read.changes]
    if out.suffix == ".musicxml":
        assert symbols == ["C6", "C#dim7", "Dm7", "F#dim7", "G7", "C6"]
    assert out.stat().st_size > 100


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--take", "99"], "a number from 1 to"),
        (["--take", "0"], "a number from 1 to"),
        (["--take", "1", "--out", "nowhere/a.mid"], "nowhere"),
    ],
)
def test_what_cannot_be_taken_is_said(
    arguments: list[str], said: str, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as left:
        cli.main(["compare", str(path), *arguments])
    assert left.value.code == 2
    assert said in capsys.readouterr().err
    assert [each.name for each in tmp_path.iterdir()] == [path.name]


def test_what_rubs_with_the_melody_is_told_of_what_is_taken(tmp_path: Path) -> None:
    # By hand: C6 over the B of Cmaj7 is a minor ninth above it, or two octaves more.
    file = tmp_path / "rub.toml"
    sung = MELODY.replace("| C6 | Dm7 | G7 | C6 |", "| Cmaj7 | Dm7 | G7 | C6 |")
    file.write_text(sung.replace("| C5:4 |", "| C6:4 |"), encoding="utf-8")
    text = compare_tune(read_tune(file), Instrument.named("ukulele")).taken("1").told()
    heading = "Clashes of the melody with the chords"
    assert f"\n\n{heading}\nbar 1: minor ninth, C with B of Cmaj7\n" in text


def test_what_is_offered_is_compared_by_kind(capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, "slack_water_waltz")
    assert text == answer(capsys, "slack_water_waltz", "--offers")
    assert len(text.splitlines()) < 80 and "--all compares each move alone" in text
    assert " 1  plain\n" in text and "walking: " in text and "more is" in text
    assert "leading-tone diminished: " not in text and "No place for" not in text
    assert max(map(len, text.splitlines())) <= 80


def test_what_is_taken_by_name_is_what_was_offered(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A name or a number means what stands in the list; what is not listed is sought beyond it."""
    listed = answer(capsys, "heron_landing")
    (line,) = (line for line in listed.splitlines() if "  walking: " in line)
    taken = answer(capsys, "heron_landing", "--take", line.split()[0])
    named = answer(capsys, "heron_landing", "--take", "walking")
    shown = named[named.index("walking") : named.index("By numbers")]
    assert shown == taken[taken.index("walking") : taken.index("By numbers")]
    assert "all moves, walking" not in named
    assert "all moves, walking" in answer(capsys, "heron_landing", "--all", "--take", "walking")
    assert "all moves, smooth" in answer(capsys, str(path), "--take", "smooth")
    assert "as written" in answer(capsys, str(path), "--take", "as written")
    # What adds nothing is said to be the tune, beside no second column.
    plain = answer(capsys, "| C6 | F6 | C6 |", "--take", "plain")
    assert "It is the tune as written." in plain and "The same in all" not in plain


def test_what_fits_at_a_place_is_listed(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, str(path), "--take", "1", "--at", "3")
    listed = text[text.index("What fits at 3 while") :]
    # Before C6: the dominant as written, and the one a tritone away.
    assert "\n  G7 (" in listed and "\n  D♭7 (costs" in listed
    assert max(map(len, listed.splitlines())) <= 80
    # What the number counts is told by two prices of the style, as its file has them.
    (walking,) = [each for each in tomllib.loads(STYLES_FILE.read_text(encoding="utf-8"))["style"]
                  if each["name"] == "walking"]  # fmt: skip
    text = " ".join(answer(capsys, str(path), "--take", "walking", "--at", "3").split())
    assert f"{walking['weights']['semitone']} for each half step that a voice moves" in text
    assert f"about {walking['weights']['chance']} for a place left as written" in text


def test_a_melody_note_alone_before_the_first_chord_has_no_chord_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tune, out = tmp_path / "upbeat.abc", tmp_path / "out.musicxml"
    tune.write_text('X:1\nT:Upbeat\nM:4/4\nL:1/4\nK:C\nG | "C" c c e2 | "G7" d2 "C" c |]\n')
    text = answer(capsys, str(tune), "--take", "chord melody", "--out", str(out))
    chart = text[: text.index("By numbers")]
    assert "no3" not in chart and "\n  0  N.C.\n  1  C " in chart
    figures = [
        each.figure
        for each in music21.converter.parse(out).recurse().getElementsByClass("ChordSymbol")
    ]
    assert figures and figures[0] == "C" and all("no" not in each for each in figures)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--at", "3"], "--at needs --take"),
        (["--take", "rich", "--style", "smooth"], "leave out --style smooth"),
        (["--take", "1", "--at", "nine"], "a bar, or a bar and a chord or a beat in it"),
        (["--take", "1", "--at", "3@5"], "beats 1 to 4"),
        (["--take", "1", "--refuse", "3"], "nothing is added there"),
        (["--take", "1", "--choose", "3", "Abm7 C D E F"], "5 chords do not fit 4 beats"),
        (["--take", "1", "--at", "9"], "bars 1 to 4"),
        (["--take", "1", "--at", "3.2"], "chords 1 to 1"),
    ],
)
def test_a_place_that_is_not_there_is_said(
    arguments: list[str], said: str, path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main(["compare", str(path), *arguments])
    assert left.value.code == 2
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("suffix", ["musicxml", "mid", "toml", "pdf"])
def test_what_is_taken_by_name_is_written_and_opens_again(
    suffix: str, path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / f"mine.{suffix}"
    out.write_bytes(b"what was mine")
    name = "leading-tone diminished"
    text = answer(capsys, str(path), "--take", name, "--out", str(out))
    assert f"kept as mine (yours).{suffix}" in text
    assert (tmp_path / f"mine (yours).{suffix}").read_bytes() == b"what was mine"
    if suffix == "pdf":
        assert out.read_bytes().startswith(b"%PDF-")
    elif suffix != "mid":
        symbols = [str(change.chord) for change in read_tune(out).changes]
        assert symbols == ["C6", "C#dim7", "Dm7", "F#dim7", "G7", "C6"]


def test_a_chord_is_refused_and_another_chosen(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "mine.toml"
    taken = (str(path), "--take", "leading-tone diminished", "--out", str(out))
    answer(capsys, *taken, "--refuse", "2@3", "--choose", "3", "Db7")
    symbols = [str(change.chord) for change in read_tune(out).changes]
    assert symbols == ["C6", "C#dim7", "Dm7", "Db7", "C6"]


@pytest.mark.parametrize("chords", ["Abm7", "F#m7b5 Db9", "Ebmaj7"])
def test_any_chord_may_be_chosen_and_its_cost_is_told(
    chords: str, path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "mine.toml"
    taken = (str(path), "--take", "leading-tone diminished", "--out", str(out))
    text = answer(capsys, *taken, "--choose", "3", chords, "--at", "3")
    symbols = [str(change.chord) for change in read_tune(out).changes]
    assert " ".join(symbols).startswith("C6 C#dim7 Dm7") and chords in " ".join(symbols)
    assert "for G7. Your choice." in text
    assert re.search(rf"What was chosen\.(.|\n)*\n  3: {chords} \(costs \d+ (more|less)\)", text)


def test_a_place_where_nothing_fits_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, "| C | G7 | N.C. | C |", "--take", "1", "--at", "3")
    assert "Nothing else fits at 3: no chord sounds there." in text


def test_locked_bars_and_moves_left_out_stay_out(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = answer(
        capsys, str(path), "--all", "--lock", "1,3-4", "--without", "tritone substitution"
    )
    assert "leading-tone diminished: F♯°7 2@3" in text and "1@" not in text
    assert "tritone substitution" not in text
    text = answer(capsys, str(path), "--style", "smooth", "--density", "full")
    assert "all moves, smooth" in text and "all moves, rich" not in text


OWN = """
[[idiom]]
name = "minor fourth"
means = "The minor subdominant replaces the dominant."
before = "V7 I"
after = ["iv6", "I"]
reason = "{1} replaces {was 1}"
"""


def test_idioms_of_ones_own_beside_the_tune_are_used(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    without = answer(capsys, str(path), "--take", "rich", "--at", "3")
    assert "Fm6" not in without and "idioms.toml" not in without
    (path.parent / "idioms.toml").write_text(OWN)
    said = "with the idioms of idioms.toml, beside the tune"
    alone = answer(capsys, str(path), "--take", "minor fourth")
    assert alone.startswith(said) and "3@1  Fm6" in alone
    assert "Fm6" in answer(capsys, str(path), "--take", "rich", "--at", "3")
    assert "Fm6" in answer(capsys, str(path), "--take", "sparse", "--at", "3")
    assert "minor fourth: Fm6 3@1" in answer(capsys, str(path), "--all")
    # Left out by its name it does not come.
    out = answer(capsys, str(path), "--take", "rich", "--at", "3", "--without", "Minor fourth")
    assert "Fm6" not in out
    elsewhere = tmp_path / "elsewhere" / "mine.toml"
    elsewhere.parent.mkdir()
    (path.parent / "idioms.toml").rename(elsewhere)
    assert "3@1  Fm6" in answer(
        capsys, str(path), "--take", "minor fourth", "--own", str(elsewhere)
    )


def test_an_arrangement_without_an_added_chord_says_so(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The tune has no IV, which this idiom asks for."""
    own = (
        '[[idiom]]\nname = "grey door"\nmeans = "A door."\nbefore = "IV I"\nafter = ["iv6", "I"]\n'
    )
    path.with_name("idioms.toml").write_text(own + 'reason = "{1} falls"\n', encoding="utf-8")
    told = answer(capsys, str(path), "--take", "grey door")
    assert "\nNo chord was added: grey door found no place. Nearest in bar 3:" in told
    assert "No chord was added" not in answer(capsys, str(path), "--take", "plain")


@pytest.mark.parametrize(
    ("lines", "why"),
    [
        ('before = "IV I"', "Nearest in bar 3: it needs IV (Fmaj7), and the tune has G7."),
        ('before = "ii7 bII7"', "Nearest in bar 2: it needs ♭II7 (D♭7), and the tune has G7."),
        ('before = "V7 I"\nbars = 2', "Nearest in bar 3: G7 lasts less than 2 bars."),
        ('before = "V7 I"\nmode = "minor"', "It is of minor keys, and the tune is in C major."),
        ('before = "V7 I"\nstyle = "plain"', "Nearest in bar 3: it is of triads."),
        ('before = "V7 I"\nnot_after = "ii"', "Nearest in bar 3: Dm7 comes before it."),
        ('before = "bVI bII"', "The tune has none of its chords."),
        (
            'before = "V7 I"\nwhere = "blues bar 4"',
            "Nearest in bar 3: it stands up to bar 4 of a blues.",
        ),
    ],
)
def test_an_idiom_without_a_place_says_what_keeps_it_out(
    path: Path, capsys: pytest.CaptureFixture[str], lines: str, why: str
) -> None:
    """By hand, of C6 – Dm7 – G7 – C6, a bar each."""
    after = ["iv6", *lines.partition('"')[2].partition('"')[0].split()[1:]]
    own = f'[[idiom]]\nname = "grey door"\nmeans = "A door."\n{lines}\nafter = {after}\n'
    text = own.replace("'", '"') + 'reason = "{1} falls"\n'
    path.with_name("idioms.toml").write_text(text, encoding="utf-8")
    told = " ".join(answer(capsys, str(path), "--take", "grey door").split())
    assert f"No chord was added: grey door found no place. {why}" in told


def test_an_idiom_that_a_rule_keeps_out_says_the_rule_and_all_its_bars(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = (
        '[[idiom]]\nname = "grey door"\nmeans = "A door."\nbefore = "V7 I"\n'
        'after = ["V7 bVI7 bII7 V7 iv7", "I"]\nreason = "{1} falls"\n'
    )
    path.with_name("idioms.toml").write_text(own, encoding="utf-8")
    told = " ".join(answer(capsys, str(path), "--take", "grey door").split())
    assert "Nearest in bar 3: the chords do not fit the beats of what they replace." in told
