"""Intros and endings: bars of the tune's form, the same in every key, in text and in sound."""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_tunes import tune_of

import harmonykit as hk
from harmonykit.arrange.functions import about_phrases, numerals_by_bar
from harmonykit.arrange.idioms.frames import ENDINGS, INTROS, framed
from harmonykit.arrange.left_alone import left_alone_in
from harmonykit.arrange.score import to_musicxml
from harmonykit.errors import HarmonyError
from harmonykit.sound.events import play
from harmonykit.theory.chord import Chord
from harmonykit.tune.analysis.patterns import blues_of
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Tune

SONG = "| C6 | Am7 | Dm7 | G7 | C6 | F6 | Dm7 | G7 | C6 | F6 | C6 | C6 |"
BLUES = "| C7 | F7 | C7 | C7 | F7 | F7 | C7 | C7 | G7 | F7 | C7 | G7 |"
MINOR = "| Am7 | Dm7 | E7 | Am7 |"

# Wikipedia, "Turnaround (music)" and "Pedal point"; the rest is common practice, no source.
BEFORE = [
    ("last four bars", SONG, "C", "C6 | F6 | C6 | Dm7 G7"),
    ("last four bars", BLUES, "C", "G7 | F7 | C7 | G7"),
    ("last four bars", MINOR, "Am", "Am7 | Dm7 | E7 | Am7 E7"),
    ("last four bars", "| Dm7 | G7 | C6 | C6 |", "C", "Dm7 | G7 | C6 | Em7 A7"),
    ("pedal on the dominant", SONG, "C", "Dm7/G | G7 | Dm7/G | G7"),
    ("pedal on the dominant", MINOR, "Am", "Bm7b5/E | E7 | Bm7b5/E | E7"),
    ("turnaround twice", SONG, "C", "C6 Am7 | Dm7 G7 | C6 Am7 | Dm7 G7"),
    ("turnaround twice", MINOR, "Am", "Am7 F#m7b5 | Bm7b5 E7 | Am7 F#m7b5 | Bm7b5 E7"),
]
AFTER = [
    ("tag", SONG, "C", "Em7 A7 | Dm7 G7 | C6"),
    ("tag", BLUES, "C", "Em7 A7 | Dm7 G7 | C7"),
    ("plagal tag", SONG, "C", "Fmaj7 Fm6 | C6"),
    ("plagal tag", BLUES, "C", "F7 Fm6 | C7"),
    ("plagal tag", MINOR, "Am", "Dm6 | Am7"),
    ("flat six and flat seven", SONG, "C", "Abmaj7 Bb7 | C6"),
    ("flat six and flat seven", "| C | F | G | C |", "C", "Ab Bb | C"),
]


def texts(tune: Tune, section: str) -> list[list[list[int]]]:
    bars = next(part.bars for part in tune.sections if part.name == section)
    return [[sorted(one.chord.pcs) for one in bar.changes if one.chord] for bar in bars]


def wanted(row: str, up: int) -> list[list[list[int]]]:
    bars = (map(Chord.parse, bar.split()) for bar in row.split("|"))
    return [[sorted((n + up) % 12 for n in one.pcs) for one in bar] for bar in bars]


@pytest.mark.parametrize(("name", "changes", "key", "row"), [*BEFORE, *AFTER])
def test_a_frame_has_its_chords_in_twelve_keys(name: str, changes: str, key: str, row: str) -> None:
    tune = tune_of(changes, key=key)
    intro, ending = (name, "") if name in INTROS else ("", name)
    for up in range(12):
        found = framed(tune.transpose_by(up), intro, ending)
        assert texts(found, "intro" if intro else "tag") == wanted(row, up)
        inside = [part for part in found.sections if part.name not in ("intro", "tag")]
        assert [len(part.bars) for part in inside] == [len(part.bars) for part in tune.sections]


@pytest.mark.parametrize("intro", INTROS)
def test_sheet_score_and_sound_count_the_same_bars(intro: str) -> None:
    """What is written is read again, and begins as much later as its bars last."""
    tune = framed(tune_of(SONG), intro, "tag")
    assert tune.bar_count == 4 + 12 + 3
    again = Tune.parse(write_text(tune))
    assert again.changes == tune.changes and again.order == tune.order
    (way,) = hk.reharmonise(tune, "ukulele", (), k=1)
    assert to_musicxml(way).count("<measure ") == 19
    assert sum(beats for *_, beats in ((s.onset, s.beats) for s in way.steps)) == 19 * 4
    heard = play(way, count_in=True, click=False)
    plain = play(hk.reharmonise(tune_of(SONG), "ukulele", (), k=1)[0], count_in=True, click=False)
    assert heard.seconds - plain.seconds == pytest.approx(7 * 4 * 60 / tune.tempo, abs=0.01)


def test_before_a_pick_up_the_last_bar_is_shorter() -> None:
    """Bar and pick-up make a whole bar, and bear one number."""
    text = 'X:1\nM:4/4\nL:1/4\nK:C\nG | "C" c4 | "F" A4 | "G" B4 | "C" c3 |\n'
    from harmonykit.score.files import tune_from

    tune = tune_from("a.abc", text.encode())
    found = framed(tune, "turnaround twice")
    lengths = [played.bar.length for played in found.playing[:6]]
    assert lengths == [4, 4, 4, 3, 1, 4]
    assert [number for number, _ in found.numbers][:6] == [1, 2, 3, 4, 4, 5]
    first = min(found.melody, key=lambda note: note.onset)
    assert (first.onset, first.note.name) == (Fraction(15), "G")
    assert Tune.parse(write_text(found)).changes == found.changes


def test_a_blues_stays_one_and_its_theme_begins_after_the_intro() -> None:
    tune = framed(tune_of(BLUES), "last four bars", "tag")
    assert blues_of(tune) == "major"
    theme = left_alone_in(tune, ["theme"])
    assert max(theme) < len(tune.changes)
    heard = "the theme is heard for the first time"
    alone = [place for place, why in theme.items() if why == heard]
    plain = [p for p, why in left_alone_in(tune_of(BLUES), ["theme"]).items() if why == heard]
    assert len(alone) == len(plain) + 4  # the intro's four places, too


@pytest.mark.parametrize("intro", INTROS)
def test_what_is_said_of_a_tune_begins_after_its_intro(intro: str) -> None:
    """By hand: of twelve bars the first two phrases end on the dominant, by its ii."""
    tune = framed(tune_of(SONG), intro)
    assert about_phrases(tune) == (
        "Intro in bars 1 to 4; the tune begins in bar 5.",
        "Cadences: half in bars 8 and 12.",
        "ii–V chains: Dm7 G7 (bars 7 and 8); Dm7 G7 (bars 11 and 12).",
    )
    assert [phrase.cadence for phrase in hk.find_phrases(tune)] == ["", "half", "half", ""]
    (way,) = hk.reharmonise(tune, "ukulele", (), k=1)
    before, after = numerals_by_bar(way).removeprefix("(").split(") ")
    assert (before.count("|"), after.count("|")) == (3, 11)


@pytest.mark.parametrize("density", ["usual", "full"])
def test_no_move_changes_an_intro_or_a_tag(density: str) -> None:
    tune = framed(tune_of(SONG), "last four bars", "tag")
    for move in ("leading-tone diminished", "tritone substitution"):
        asked = hk.Wishes(density=density, prefer=move)
        (way,) = hk.reharmonise(tune, "ukulele", [move], k=1, wishes=asked)
        bars = {step.bar for step in way.added}
        assert bars and bars <= set(range(4, 16))


@pytest.mark.parametrize("last", ["", "{3 quarters} "])
def test_the_last_bar_before_a_pick_up_and_the_pick_up_are_one_bar(last: str) -> None:
    """The tune's own last bar may be so much shorter already."""
    tune = Tune.parse(
        'format = 1\ntitle = "x"\nkey = "C"\nmeter = "4/4"\ntempo = 100\n[[sections]]\nname = "A"\n'
        f'changes = "| {{1 quarter}} G7 | C6 | Am7 | Dm7 | F6 | G7 | {last}C6 |"\n'
    )
    lengths = [played.bar.length for played in framed(tune, "last four bars").playing]
    assert lengths[:6] == [4, 4, 4, 3, 1, 4]


def test_a_tune_that_goes_back_is_written_out_first() -> None:
    tune = Tune.parse(
        'format = 1\ntitle = "x"\nkey = "C"\nmeter = "4/4"\ntempo = 100\n[[sections]]\nname = "A"\n'
        'changes = "| C6 | G7 {fine} | F6 | G7 {D.C. al fine} |"\n'
    )
    found = framed(tune, "turnaround twice", "tag")
    assert found.bar_count == 4 + 6 + 3
    assert not any(bar.jump for bar in found.bars)


def test_what_is_no_intro_is_refused() -> None:
    for intro, ending, said in (("fanfare", "", "not a known intro"), ("", "coda", "ending")):
        with pytest.raises(HarmonyError, match=said):
            framed(tune_of(SONG), intro, ending)
    with pytest.raises(HarmonyError, match="added once"):
        framed(framed(tune_of(SONG), "turnaround twice"), "turnaround twice")
    assert framed(tune_of(SONG)) == tune_of(SONG)
    assert all(each.means.endswith(".") for each in (*INTROS.values(), *ENDINGS.values()))
