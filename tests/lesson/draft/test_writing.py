"""A first draft builds as it is, on any tune and instrument, and follows what the tune offers."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from made_tunes import made_tune
from plotted import TUNES
from small_tunes import KINDS

from harmonykit.arrange.idioms.frames import framed
from harmonykit.cli import main
from harmonykit.cli.lesson import Drafted, changes, lesson_file, write_new
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.ideas import (
    AS_WRITTEN,
    OF_WALKS,
    OFFERS,
    SCALE,
    SHAPE,
    STATIONS,
    TOGETHER,
)
from harmonykit.lesson.draft.offers import offer_of
from harmonykit.lesson.draft.writing import draft, write_draft
from harmonykit.lesson.plan.model import Lesson, Text
from harmonykit.lesson.statements.claims import claim_in
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune, write_tune
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")


def built(tune: Tune, folder: Path, idea: str, instrument: str = "ukulele") -> Lesson:
    """Return the lesson of a tune's draft."""
    write_tune(tune, folder / "tune.toml")
    path = folder / "new.md"
    text = draft(tune, "tune.toml", Instrument.named(instrument), idea=idea)
    path.write_text(text, encoding="utf-8")
    return load_lesson(path)


def check(lesson: Lesson) -> None:
    """Check what holds for every draft: each level after the first adds a chord by its moves."""
    plain, *others = lesson.played
    assert not plain.arrangement.added and plain.level.moves == ()
    for played in others:
        added = {step.move for step in played.arrangement.added}
        allowed = [each for move in played.level.moves for each in (move, *KINDS.get(move, ()))]
        assert added and added <= set(allowed)
    titles = [section.title for section in lesson.sections]
    assert titles[0] == "As written" and titles[-1] == "By numbers"
    assert [played.level.name for played in lesson.played] == [
        title for title in titles if title in {p.level.name for p in lesson.played}
    ]
    # What a move needs is told once, before the first that needs it.
    for needs, told in (("shape", SHAPE), ("scale", SCALE)):
        heading = told.splitlines()[0].removeprefix("## ")
        wanting = [s.name for s in STATIONS.values() if s.needs == needs and s.name in titles]
        assert titles.count(heading) == bool(wanting)
        assert all(titles.index(heading) < titles.index(name) for name in wanting)


NECKS = ("ukulele", "baritone ukulele", "guitar")


# Each tune with each idea, so that each of both meets each instrument as well.
PAIRS = [
    (name, NECKS[number % len(NECKS)], idea)
    for first, name in enumerate(TUNES)
    for number, idea in enumerate(OFFERS, first)
]


# The waltz has each idea and each tune the first; all pairs are among the long tests.
TRIED = [
    pair
    if pair[0] == TUNES[-1] or pair[2] == next(iter(OFFERS))
    else pytest.param(*pair, marks=pytest.mark.long)
    for pair in PAIRS
]


@pytest.mark.parametrize(("name", "instrument", "idea"), TRIED)
def test_a_draft_is_a_lesson(tmp_path: Path, name: str, instrument: str, idea: str) -> None:
    lesson = built(read_tune(find_data("tunes", name)), tmp_path, idea, instrument)
    check(lesson)
    assert len(lesson.played) >= 2
    # What has few places of its own comes before what has many.
    singles = [played for played in lesson.played if len(played.level.moves) == 1]
    neck = Instrument.named(instrument)
    found = [offer_of(lesson.front.tune, neck, played.level.moves) for played in singles]
    counts = [len(offer.bars) if offer else 0 for offer in found]
    assert counts == sorted(counts) and 0 not in counts


@pytest.mark.parametrize("seed", [0, *(pytest.param(n, marks=pytest.mark.long) for n in (1, 2, 3))])
def test_made_tunes_have_drafts_too(tmp_path: Path, seed: int) -> None:
    for idea in OFFERS:
        check(built(made_tune(seed), tmp_path, idea))


def test_two_tunes_have_drafts_of_another_order() -> None:
    orders = set()
    for name in TUNES:
        text = draft(read_tune(find_data("tunes", name)), name, UKULELE)
        headings = [line for line in text.splitlines() if line.startswith("## ")]
        orders.add(tuple(headings))
    assert len(orders) > 1


def small(changes: str) -> Tune:
    """Return an invented tune of some changes in G."""
    return Tune.parse(
        'format = 1\ntitle = "Slip Knot"\nkey = "G"\nmeter = "4/4"\ntempo = 100\n'
        f'[[sections]]\nname = "A"\nchanges = "{changes}"\n'
    )


def test_a_move_that_finds_no_place_makes_no_level(tmp_path: Path) -> None:
    # No chord lasts a bar and none but the last repeats, so that there is no room for a walk.
    tune = small("| G6 D7 | G6 D7 | G6 D7 | G6 |")
    lesson = built(tune, tmp_path, OF_WALKS.name)
    assert [played.level.name for played in lesson.played] == ["As written"]


def test_the_chord_is_that_of_the_dominant_that_lasts_longest() -> None:
    # A7 lasts a bar, B7 two: the leading note of E minor is D sharp.
    found = draft(small("| G6 | A7 | D | B7 | B7 | Em |"), "x", UKULELE)
    assert 'chord = "D#dim7"' in found
    # Without a dominant it is that of the tonic: the leading note of G is F sharp.
    assert 'chord = "F#dim7"' in draft(small("| G6 | C6 | Em7 | G6 |"), "x", UKULELE)


def test_every_move_that_an_idea_looks_for_has_its_words() -> None:
    assert {move for idea in OFFERS.values() for move in idea.moves} <= set(STATIONS)


def test_titles_are_quoted_safely(tmp_path: Path) -> None:
    text = Path(find_data("tunes", "ropewalk_blues")).read_text(encoding="utf-8")
    path = tmp_path / "odd.toml"
    title = r'title = "A \"quoted\" \\ {title}"'
    path.write_text(text.replace('title = "Ropewalk Blues"', title), encoding="utf-8")
    tune = read_tune(path)
    made = write_draft(tmp_path / "odd.md", tune, str(path), UKULELE)
    assert load_lesson(made).front.title == f"New chords for {tune.title}"


def test_nothing_is_written_over(tmp_path: Path) -> None:
    path = tmp_path / "mine.md"
    path.write_text("my work", encoding="utf-8")
    tune = read_tune(find_data("tunes", "ropewalk_blues"))
    with pytest.raises(HarmonyError, match="exists already"):
        write_draft(path, tune, "ropewalk_blues", UKULELE)
    assert path.read_text(encoding="utf-8") == "my work"


def test_the_command_says_what_to_do_next(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "new.md"
    with pytest.raises(SystemExit) as ended:
        main(["lesson", str(path), "--new", "slack_water_waltz"])
    assert ended.value.code == 0 and path.is_file()
    assert f"harmonykit lesson {path}" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("below", "named"),
    [
        ("", "tide.toml"),
        ("tunes", "tunes/tide.toml"),
        ("..", "../tide.toml"),
        ("../t", "../t/tide.toml"),
    ],
)
def test_a_tune_of_ones_own_is_named_from_the_drafts_folder(
    below: str, named: str, tmp_path: Path
) -> None:
    """Lesson and tune may be moved or given away together."""
    folder = tmp_path / "all" / "mine"
    folder.mkdir(parents=True)
    (folder / below).mkdir(exist_ok=True)
    tune = (folder / below / "tide.toml").resolve()
    tune.write_bytes(find_data("tunes", "ropewalk_blues").read_bytes())
    with pytest.raises(SystemExit):
        main(["lesson", str(folder / "new.md"), "--new", str(tune)])
    moved = (tmp_path / "all").rename(tmp_path / "theirs") / "mine" / "new.md"
    assert f'tune = "{named}"' in moved.read_text(encoding="utf-8")
    assert load_lesson(moved).front.tune.title == "Ropewalk Blues"


def test_a_change_is_seen(tmp_path: Path) -> None:
    path = tmp_path / "a.md"
    path.write_text("one", encoding="utf-8")
    seen = changes((path,), every=0.01)
    next(seen)
    path.write_text("longer", encoding="utf-8")
    next(seen)
    path.unlink()
    next(seen)


def test_a_tune_that_is_given_for_a_lesson_is_drafted_once(tmp_path: Path) -> None:
    tune = tmp_path / "mine.toml"
    tune.write_bytes(find_data("tunes", "slack_water_waltz").read_bytes())
    path = lesson_file(str(tune), None)
    assert path == tmp_path / "mine.md" and load_lesson(path).front.tune == read_tune(tune)
    path.write_text("a teacher's own words", encoding="utf-8")
    assert lesson_file(str(tune), None) == path
    assert path.read_text(encoding="utf-8") == "a teacher's own words"


def test_a_draft_claims_nothing_that_is_not_proved() -> None:
    """What is said of each move asks for something, or is a statement."""
    said = [station.text for station in (*STATIONS.values(), AS_WRITTEN, TOGETHER)]
    plain = [re.sub(r"\{{4}.*?\}{4}", "", text) for text in said]
    sentences = [each for text in plain for each in re.split(r"(?<=[.?]) ", text) if each.strip()]
    assert len(sentences) > len(said)
    assert [each for each in sentences if claim_in(each)] == []


def test_a_draft_beside_a_tune_is_for_the_instrument_that_is_named(tmp_path: Path) -> None:
    tune = tmp_path / "two.toml"
    tune.write_bytes(find_data("tunes", "heron_landing").read_bytes())
    with pytest.raises(HarmonyError, match="unknown instrument 'kazoo'"):
        lesson_file(str(tune), None, ("kazoo",))
    assert list(tmp_path.iterdir()) == [tune]
    path = lesson_file(str(tune), None, ("low g tenor",))
    assert 'instrument = "tenor ukulele low g"' in path.read_text(encoding="utf-8")
    with pytest.raises(HarmonyError, match="exists already") as caught:
        write_new(str(tune), Drafted(), str(path))
    assert "harmonykit lesson" in caught.value.mend


@pytest.mark.parametrize("name", ["song.txt", "song.abc"])
def test_a_tune_of_any_kind_has_its_draft_beside_it(name: str, tmp_path: Path) -> None:
    tune = tmp_path / name
    said = {
        "song.txt": "Kites\n| G | D7 | G |\n",
        "song.abc": 'X:1\nT:Kites\nM:4/4\nL:1/4\nK:G\n"G"G4|"D7"d4|\n',
    }
    tune.write_text(said[name], encoding="utf-8")
    path = lesson_file(str(tune), None)
    assert path == tmp_path / "song.md"
    assert load_lesson(path).front.tune.title == "Kites"


def test_an_intro_and_a_tag_are_no_bars_of_the_tune(tmp_path: Path) -> None:
    """Four bars before and three after: the draft counts, asks and changes those between."""
    tune = framed("heron_landing", "pedal on the dominant", "tag")
    lesson = built(tune, tmp_path, "")
    check(lesson)
    first = lesson.sections[0].blocks
    said = " ".join(block.markdown for block in first if isinstance(block, Text))
    assert "has 32 bars as played" in said
    assert "an intro of 4 bars before it and a tag of 3 bars after it" in said
    for played in lesson.played:
        assert {step.bar for step in played.arrangement.added} <= set(range(4, 36))
