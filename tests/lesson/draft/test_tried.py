"""An idea on a tune: where it stands, what is tried of it, and what is kept.

The tunes are small, so that places and keys are counted by hand.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.draft import ideas
from harmonykit.lesson.draft.tried import Placed, fits, moves_of, rows_of
from harmonykit.lesson.plan.idea import read_idea
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
CADENCES = "| D6 | A7 | A7 | D6 | B7 | Em7 | A7 | D6 |"


def tune(changes: str = CADENCES, key: str = "D", more: str = "") -> Tune:
    return Tune.parse(
        f'format = 1\ntitle = "Slip Knot"\nkey = "{key}"\nmeter = "4/4"\ntempo = 100\n'
        f'[[sections]]\nname = "A"\nchanges = "{changes}"\n{more}\n'
    )


def placed(folder: Path, *lines: str, on: Tune | None = None) -> Placed:
    path = folder / "mine.toml"
    path.write_text("\n".join(('format = 1\nquestion = "Why?"', *lines)) + "\n", "utf-8")
    return Placed(read_idea(path), on or tune(), UKULELE)


def level(*lines: str) -> str:
    return "\n".join(("[[levels]]", *lines))


ROOTLESS = level('moves = ["rootless dominant"]')
TRITONE = level('moves = ["tritone substitution"]')


@pytest.mark.parametrize(
    ("table", "moves"),
    [
        ({}, ()), ({"moves": []}, ()), ({"walks": "none"}, ()),
        ({"moves": ["rootless dominant"], "idioms": ["delayed tonic"], "walks": "ascending"},
         ("rootless dominant", "delayed tonic", "ascending walk")),
        ({"walks": "both", "moves": ["descending walk"]}, ("descending walk", "ascending walk")),
        ({"idioms": ["delayed tonic", "delayed tonic"]}, ("delayed tonic",)),
    ],
)  # fmt: skip
def test_moves_are_gathered_each_once(table: dict[str, object], moves: tuple[str, ...]) -> None:
    assert moves_of(table) == moves


def test_a_row_is_found_round_the_end_of_the_tune() -> None:
    """D A7 | G: the last chord of a round is followed by the first."""
    found = list(rows_of(tune("| D | A7 | G |"), "G D"))
    assert [(bar, [str(chord) for chord in row]) for bar, row in found] == [(2, ["G", "D"])]
    # Equal chords beside each other are one.
    long = tune("| A7 | A7 | A7 | D |")
    assert [[str(c) for c in row] for _, row in rows_of(long, "G7 C")] == [["A7", "D"]]
    assert [bar for bar, _ in rows_of(long, "C G7")] == [3]
    assert list(rows_of(long, "Dm7 G7")) == []


@pytest.mark.parametrize(
    ("place", "have", "fits_it"),
    [
        ("C", "| D6 |", True), ("C", "| Dmaj7 |", True), ("C", "| Dm |", False),
        ("Cm", "| Dm7 |", True), ("Cm", "| Dm6 |", True), ("Cm", "| D |", False),
        ("Cm7", "| Dm |", True), ("Cm7", "| Dm6 |", False), ("C7", "| D9 |", True),
        ("C7", "| D6 |", False), ("Bdim7", "| Ebdim7 |", True), ("Bdim7", "| Dm7b5 |", False),
        ("C+", "| F+ |", True), ("C|Cm", "| Dm |", True), ("C G7", "| D A7 |", True),
        ("C G7", "| D G7 |", False), ("C F#7", "| D G#7 |", True),
    ],
)  # fmt: skip
def test_chords_stand_for_others_of_their_kind(place: str, have: str, fits_it: bool) -> None:  # noqa: FBT001
    assert bool(list(rows_of(tune(have), place))) is fits_it


def test_the_tune_as_written_comes_first_then_what_is_new(tmp_path: Path) -> None:
    kept = placed(tmp_path, 'place = "G7 C"', ROOTLESS, TRITONE, TRITONE).levels
    first, *others = kept
    assert (first.moves, first.bars, first.hand) == ((), (), 1)
    assert first.table["name"] == "As written" and first.table["reach"] == "small"
    # The third sounds like the second, and is left out.
    assert [one.moves for one in others] == [("rootless dominant",), ("tritone substitution",)]
    assert all(one.hand >= 2 and one.bars for one in others)
    assert all(one.heard != two.heard for one, two in pairwise(kept))
    # A dominant is replaced in a bar that had one: 2, 3, 5, 7 counted from 1.
    for one in others:
        assert set(one.bars) <= {1, 2, 4, 6}
        assert one.table["prefer_move"] == one.moves[0]
        assert one.table["name"] and one.table["watch"]
        assert one.played.level.moves == one.moves
    hands = [one.hand for one in kept]
    assert hands == sorted(hands)


def test_what_a_level_says_is_kept(tmp_path: Path) -> None:
    own = level('name = "Mine"', 'moves = ["tritone substitution"]', "tempo = 66", 'reach = "wide"',
                'watch = "Look."', 'text = "Say it."', 'style = "smooth"')  # fmt: skip
    _, mine = placed(tmp_path, 'place = "G7 C"', own).levels
    assert (mine.hand, mine.text) == (3, "Say it.") and "text" not in mine.table
    said = mine.played.level
    assert (said.name, said.tempo, said.watch, said.style) == ("Mine", 66, "Look.", "smooth")
    # A level with a style, or with two moves, prefers none.
    assert "prefer_move" not in mine.table
    two = level('moves = ["tritone substitution", "rootless dominant"]')
    assert "prefer_move" not in placed(tmp_path, 'place = "G7 C"', two).levels[1].table
    # After a wide one nothing is smaller, but where it says so itself.
    after = placed(tmp_path, 'place = "G7 C"', own, ROOTLESS).levels
    assert [one.hand for one in after] == [1, 3, 3]
    small = level('moves = ["rootless dominant"]', 'reach = "usual"')
    assert [one.hand for one in placed(tmp_path, 'place = "G7 C"', own, small).levels] == [1, 3, 2]


def test_an_idea_that_begins_with_the_tune_as_written_has_it_once(tmp_path: Path) -> None:
    plain = level('name = "First"', 'watch = "Slowly."')
    kept = placed(tmp_path, 'place = "G7 C"', plain, ROOTLESS).levels
    assert [one.table["name"] for one in kept][0] == "First" and len(kept) == 2
    assert [bool(one.bars) for one in kept] == [False, True]
    alone = placed(tmp_path, 'place = "G7 C"', plain)
    assert [one.table["name"] for one in alone.levels] == ["First"] and alone.fits


def test_a_chord_melody_is_left_out_where_there_is_no_melody(tmp_path: Path) -> None:
    melodic = level('texture = "chord melody"', 'reach = "wide"')
    lines = ('place = "G7 C"', level(), melodic, ROOTLESS)
    textures = [one.played.level.texture for one in placed(tmp_path, *lines).levels]
    assert textures == ["", ""]
    sung = tune(more='melody = "| F#4:4 | E4:4 | G4:4 | F#4:4 | F#4:4 | G4:4 | E4:4 | D4:4 |"')
    textures = [one.played.level.texture for one in placed(tmp_path, *lines, on=sung).levels]
    assert textures == ["", "chord melody", ""]


def test_a_tune_without_the_place_or_the_moves_has_none(tmp_path: Path) -> None:
    plain = tune("| D6 | G6 | D6 | G6 |")
    none = placed(tmp_path, 'place = "G7 C|Cm"', ROOTLESS, on=plain)
    assert not none.fits
    error = none.no_place()
    assert error.what == "'Slip Knot' has no place for the idea 'mine'"
    assert error.rule == "the idea needs G7 C or Cm in any key"
    names = error.mend.split(" or ")
    assert len(names) == 3
    for name in names:
        assert fits(none.written, name, UKULELE)
    # Nothing is named, and the moves find nothing.
    moves = placed(tmp_path, ROOTLESS, on=plain)
    assert not moves.fits and moves.levels == ()
    assert moves.no_place().rule == "the idea needs a place for its moves"
    assert placed(tmp_path, 'place = "G7 C"', ROOTLESS).fits


def test_levels_that_add_nothing_are_told_apart_from_a_place_that_is_not_there(
    tmp_path: Path,
) -> None:
    plain = tune("| D6 | G6 | D6 | G6 |")
    line = level('idioms = ["rising line cliché"]')
    for own, why in ((line, "find no place for rising line cliché"), (level(), "name no moves")):
        stands = placed(tmp_path, 'place = "C6 F6"', level(), own, on=plain)
        assert not stands.fits
        error = stands.no_place()
        assert error.what == "no level of the idea 'mine' adds anything to 'Slip Knot'"
        assert error.rule == f"its place is there, D6 G6; its levels {why}"
        assert "leave [[levels]] out" in error.mend
    # What it offers does it.
    assert placed(tmp_path, 'place = "C6 F6"', on=plain).fits


def test_an_idea_is_moved_to_where_its_place_stands(tmp_path: Path) -> None:
    """A cadence in C, heard in D: B diminished becomes C sharp diminished."""
    idea = placed(tmp_path, 'source = "Bdim7"', 'place = "G7 C"', 'change = "lower one note"',
                  'target = "7"', ROOTLESS)  # fmt: skip
    assert [str(chord) for chord in idea.row] == ["A7", "D6"]
    assert idea.idea.text("source") == "C#dim7" and idea.source is not None
    assert str(idea.chord) == "C#dim7" and idea.shape.pcs == idea.chord.pcs
    assert sorted(str(way.after) for way in idea.ways) == ["A7", "C7", "Eb7", "F#7"]
    # The row is one at which something is added, if there is one.
    b7 = placed(tmp_path, 'place = "G7 Cm"', ROOTLESS)
    assert [str(chord) for chord in b7.row] == ["B7", "Em7"]
    home = placed(
        tmp_path, 'source = "Bdim7"', 'place = "G7 C"', ROOTLESS, on=tune("| C | G7 | C |", "C")
    )
    assert home.idea.text("source") == "Bdim7"


def test_without_a_place_it_stands_at_a_chord_of_its_kind_or_on_the_tonic(tmp_path: Path) -> None:
    like = placed(tmp_path, 'source = "Dm7"')
    assert like.idea.text("source") == "Em7" and like.row == ()
    tonic = placed(tmp_path, 'source = "C+"')
    assert tonic.idea.text("source") == "D+"
    nothing = placed(tmp_path, ROOTLESS)
    assert nothing.source is None and nothing.ways == () and nothing.scale is None
    # Of the dominants that resolve the longest: A7 lasts two bars, B7 one.
    assert str(nothing.chord) == "A7" and nothing.idea is nothing.written
    assert str(placed(tmp_path, level(), on=tune("| D6 | G6 |")).chord) == "D"
    place = placed(tmp_path, 'place = "G7 Cm"', ROOTLESS)
    assert str(place.chord) == "B7"


def test_a_shape_sounds_its_chord_whole_and_is_played_where_it_can_be(tmp_path: Path) -> None:
    played = placed(tmp_path, 'place = "G7 C"', ROOTLESS)
    own = [step.voicing for step in played.levels[0].played.arrangement.steps
           if step.chord == played.chord]  # fmt: skip
    assert played.shape in own and played.shape.pcs == played.chord.pcs
    scale = placed(tmp_path, 'scale = "C major"', 'source = "C6"')
    assert scale.scale is not None and scale.scale.chord.pcs == scale.chord.pcs
    assert scale.shape.pcs == scale.chord.pcs
    assert placed(tmp_path, 'scale = "none"', ROOTLESS).scale is None


def test_levels_are_brought_by_the_chords_of_an_idea_that_names_none(tmp_path: Path) -> None:
    """A dominant comes in by its tritone, a diminished seventh as a dominant without its root."""
    seventh = placed(tmp_path, 'source = "G7"')
    assert [one.moves for one in seventh.levels] == [(), ("tritone substitution",)]
    both = placed(tmp_path, 'source = "Bdim7"', 'change = "lower one note"', 'target = "7"')
    moves = [move for one in both.levels for move in one.moves]
    assert moves[0] == "rootless dominant" and "tritone substitution" in moves
    assert len(set(moves)) == len(moves)
    none = placed(tmp_path, 'place = "G7 C"')
    assert [one.moves for one in none.levels] == [()]


def test_what_cannot_be_done_is_told_in_the_ideas_file(tmp_path: Path) -> None:
    for lines, at in (
        (('source = "Hdim7"',), "source"),
        (('source = "Bdim7"', 'change = "lower one note"', 'target = "m9#11"'), "target"),
    ):
        with pytest.raises(HarmonyError) as caught:
            _ = placed(tmp_path, *lines).ways
        place = caught.value.place
        assert place is not None and place.source == "mine.toml"
        assert place.text.startswith((at, "change"))


def test_an_idea_of_two_names_is_taught_with_the_move_that_renames(tmp_path: Path) -> None:
    """No walk brings a second name; where nothing can be renamed the tune as written is enough."""
    asked = ('source = "Am7"', 'change = "same notes"')
    for changes in (CADENCES, "| G | D7 | C | G | Em | Am7 | D7 | G |"):
        found = placed(tmp_path, *asked, on=tune(changes, "G"))
        assert found.fits
        assert [each.moves for each in found.levels][:2] in ([()], [(), ("chord synonym",)])
        assert found.ways[0].after.pcs == found.chord.pcs


def test_what_to_watch_is_of_the_tune_first_then_of_the_move_or_of_the_idea(tmp_path: Path) -> None:
    own = level('moves = ["backdoor"]')
    lines = ('place = "G7 C"', 'hear = "Listen to the bass."', ROOTLESS, own)
    first, second, *others = placed(tmp_path, *lines).levels
    assert first.table["watch"] == ideas.AS_WRITTEN.watch
    assert second.table["watch"] == ideas.STATIONS["rootless dominant"].watch
    assert first.table["watch"] != second.table["watch"]
    for one in others:
        move = one.moves[0]
        told = ideas.STATIONS[move].watch if move in ideas.STATIONS else "Listen to the bass."
        assert one.table["watch"] == told


@pytest.mark.parametrize(
    ("bars", "row"), [((), "A7"), ((2,), "A7"), ((4,), "B7"), ((4, 6), "B7"), ((0,), "A7")]
)
def test_the_row_is_the_first_at_which_something_is_added_else_the_first(
    tmp_path: Path, bars: tuple[int, ...], row: str
) -> None:
    """A7 ends in bars 2 and 6, B7 in bar 4, counted from 0."""
    one = placed(tmp_path, 'place = "G7"')
    vars(one)["levels"] = (SimpleNamespace(bars=bars),)
    assert [str(chord) for chord in one.row] == [row]
