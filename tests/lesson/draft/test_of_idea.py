"""Drafts from ideas: each on a tune that it fits, proved; what is said where it fits nowhere."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.cli import main
from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.tried import rows_of
from harmonykit.lesson.draft.writing import draft, write_draft
from harmonykit.lesson.plan.model import Lesson, Picture
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune

# A tune on which each idea was tried by hand, and where it is not the ukulele the instrument.
ON = {
    "backdoor": "heron_landing",
    "delayed_tonic": "slack_water_waltz",
    "four_dominants": "ropewalk_blues",
    "four_minor_sixths": "mud_berth_blues",
    "fourteen_between": "slack_water_waltz",
    "from_above": "slack_water_waltz",
    "leave_it_plain": "heron_landing",
    "melody_three_harmonies": "bell_on_the_bar",
    "one_grip_four_names": "slack_water_waltz",
    "one_grip_two_sounds": "bell_on_the_bar",
    "one_voice_moves": "slack_water_waltz",
    "passing_diminished": "bell_on_the_bar",
    "push_and_rest": "bell_on_the_bar",
    "six_neighbours": "tugboat_muster",
    "sixth_diminished_neck": "heron_landing",
    "three_fall_one_rises": "dry_dock_bossa",
    "tritone_substitution": "slack_water_waltz",
    "turnarounds_and_endings": "slack_water_waltz",
    "twelve_notes": "heron_landing",
    "two_strings_are_enough": "mud_berth_blues",
}
NECKS = {"six_neighbours": "guitar", "two_strings_are_enough": "ukulele low g"}


def drafted(folder: Path, idea: str, tune: str, neck: str = "ukulele", key: str = "") -> Lesson:
    path = folder / "new.md"
    write_draft(path, read_tune(find_data("tunes", tune)), tune, neck, idea=idea, key=key)
    return load_lesson(path)


def test_every_idea_has_a_tune() -> None:
    assert ON.keys() == set(shipped("ideas"))


# Some ideas of each sort; a guitar's shapes take a while.
FEW = ("backdoor", "delayed_tonic", "four_dominants", "one_grip_four_names", "push_and_rest",
       "three_fall_one_rises", "two_strings_are_enough")  # fmt: skip
TRIED = [idea if idea in FEW else pytest.param(idea, marks=pytest.mark.long) for idea in ON]


@pytest.mark.parametrize("idea", TRIED)
def test_an_idea_is_drafted_and_proved(tmp_path: Path, idea: str) -> None:
    lesson = drafted(tmp_path, idea, ON[idea], NECKS.get(idea, "ukulele"))
    assert lesson.front.idea == idea and len(lesson.played) >= 2
    first, *others = lesson.played
    assert not first.level.moves
    for played in others:
        if played.level.moves:
            assert played.arrangement.added, played.level.name
    # Not a level that could be the one before it.
    shapes = [[step.voicing for step in played.arrangement.steps] for played in lesson.played]
    assert all(one != other for one, other in zip(shapes, shapes[1:], strict=False))
    _reads_well((tmp_path / "new.md").read_text(encoding="utf-8"), lesson)


def _reads_well(text: str, lesson: Lesson) -> None:
    """Check a draft as its reader would: what is counted is so, what is shown stands once."""
    head, _, body = text.partition("+++\n")[2].partition("+++\n")
    assert head.count("[[levels]]") == len(lesson.played)
    parts = dict(
        (title, below.strip())
        for title, _, below in (part.partition("\n") for part in body.split("## ")[1:])
    )
    titles = list(parts)
    assert titles[0] == lesson.played[0].level.name and titles[1] == "The question"
    assert text.endswith("## By numbers\n\n{{ comparison() }}\n")
    charts = [f"{{{{ chart({number}) }}}}" for number in range(1, len(lesson.played) + 1)]
    assert all(body.count(chart) == 1 for chart in charts)
    assert [body.index(chart) for chart in charts] == sorted(map(body.index, charts))
    for number, played in enumerate(lesson.played, 1):
        own = parts[played.level.name]
        assert charts[number - 1] in own
        # What is counted is listed below its chart, and the other way round.
        listed = f"{{{{ added_chords({number}) }}}}" in own
        assert listed == (f"{{{{ added({number}) }}}}" in own)
        if listed:
            assert own.index(charts[number - 1]) < own.index("added_chords(")
            assert played.arrangement.added
    strings = parts.get("On the strings", "")
    done = [line for line in strings.split("\n") if line.startswith("- ")]
    if done:
        asked = "Which chord is it?" if len(done) == 1 else "Which chord is it each time?"
        assert [line for line in strings.split("\n") if line.startswith("Which chord")] == [asked]
        assert all(line[2].isupper() and line.endswith(".") for line in done)
        assert len(set(done)) == len(done)
    assert not any("\n\n\n" in part for part in parts.values())


def test_every_shape_beside_another_sounds_its_chord_and_is_near(tmp_path: Path) -> None:
    """Each of the four dominants is the diminished seventh with one string a fret lower."""
    lesson = drafted(tmp_path, "four_dominants", "ropewalk_blues")
    beside, resolved = [
        block for section in lesson.sections for block in section.blocks
        if isinstance(block, Picture) and block.name.startswith("beside")
    ]  # fmt: skip
    frets = [[int(each) for each in caption.split("-")] for caption in beside.captions]
    first, *others = frets
    assert len(others) == 4
    for one in others:
        moved = [a - b for a, b in zip(first, one, strict=True)]
        assert sorted(moved) == [0, 0, 0, 1]
    # Then one of them, and where it goes, each beside what was played before it.
    assert len(resolved.drawings) == 3


def small(changes: str, key: str = "C") -> Tune:
    return Tune.parse(
        f'format = 1\ntitle = "Slip Knot"\nkey = "{key}"\nmeter = "4/4"\ntempo = 100\n'
        f'[[sections]]\nname = "A"\nchanges = "{changes}"\n'
    )


def test_a_row_is_found_in_every_key_by_kind_and_step() -> None:
    tune = small("| Dm7 | G9 | C6 | E7 | Am | D7 | G7 | C |")
    rows = [" ".join(map(str, row)) for _, row in rows_of(tune, "G7 C|Cm")]
    # D7 goes to G7, a dominant: not a chord of rest.
    assert rows == ["G9 C6", "E7 Am", "G7 C"]
    assert [bar for bar, _ in rows_of(tune, "Dm7 G7")] == [0, 4]
    assert not list(rows_of(tune, "Bdim7 C"))


def test_a_tune_without_a_place_is_told_and_others_are_offered(tmp_path: Path) -> None:
    with pytest.raises(HarmonyError, match="'Slip Knot' has no place for the idea") as caught:
        draft(small("| C6 | F6 | C6 | F6 |"), "x", "ukulele", idea="four_dominants")
    assert "G7 C or Cm" in caught.value.rule
    names = caught.value.mend.split(" or ")
    assert len(names) == 3 and set(names) <= set(shipped("tunes"))
    drafted(tmp_path, "four_dominants", names[-1])


def test_the_key_of_the_lesson_may_be_another(tmp_path: Path) -> None:
    """A waltz in F, in G: every root a whole step up, the tune's file as it was."""
    lessons = []
    for key in ("", "G"):
        (tmp_path / f"in {key}").mkdir()
        lessons.append(
            drafted(tmp_path / f"in {key}", "tritone_substitution", "slack_water_waltz", key=key)
        )
    plain, moved = lessons
    assert str(plain.front.tune.key) == "F major" and str(moved.front.tune.key) == "G major"
    step = moved.front.shape_chord.root.pitch_class - plain.front.shape_chord.root.pitch_class
    assert step % 12 == 2


def test_a_teachers_own_idea_goes_with_the_lesson(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "mine"
    folder.mkdir()
    own = find_data("ideas", "four_dominants").read_text(encoding="utf-8")
    (folder / "own.toml").write_text(own.replace("Four dominants in", "Mine: "), encoding="utf-8")
    with pytest.raises(SystemExit) as ended:
        main(["lesson", str(folder / "new.md"), "--new", "ropewalk_blues", "--idea",
              str(folder / "own.toml"), "--key", "E"])  # fmt: skip
    assert ended.value.code == 0, capsys.readouterr().err
    moved = folder.rename(tmp_path / "theirs") / "new.md"
    lesson = load_lesson(moved)
    assert lesson.front.idea == "own.toml" and lesson.front.title.startswith("Mine:")
    assert str(lesson.front.tune.key) == "E minor"


def test_what_is_not_true_of_an_idea_is_told_in_its_file(tmp_path: Path) -> None:
    own = find_data("ideas", "four_dominants").read_text(encoding="utf-8")
    path = tmp_path / "own.toml"
    path.write_text(own.replace('exactly("places", 4)', 'exactly("places", 5)'), encoding="utf-8")
    with pytest.raises(HarmonyError, match="there are not 5") as caught:
        drafted(tmp_path, str(path), "ropewalk_blues")
    place = caught.value.place
    assert place is not None and place.source == "own.toml" and place.text.startswith("statements")


def test_an_idea_of_source_and_change_alone_has_all_else_derived(tmp_path: Path) -> None:
    """Question, source and change: levels by the moves that bring such chords into a tune."""
    own = tmp_path / "own.toml"
    own.write_text(
        'format = 1\nquestion = "What lies a note away?"\nsource = "Bdim7"\n'
        'change = "lower one note"\n', encoding="utf-8",
    )  # fmt: skip
    lesson = drafted(tmp_path, str(own), "slack_water_waltz")
    moves = {move for played in lesson.played for move in played.level.moves}
    assert {"rootless dominant", "tritone substitution"} <= moves
    assert [fact.sentence for fact in lesson.facts if "turns into" in fact.sentence]


def test_ideas_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    for option in ("--list", "--keys"):
        with pytest.raises(SystemExit) as ended:
            main(["ideas", option])
        assert ended.value.code == 0
    said = capsys.readouterr().out
    assert all(name in said for name in shipped("ideas")) and "question =" in said


def test_an_idea_that_names_only_a_place_is_drawn_and_stated(tmp_path: Path) -> None:
    """What a teacher types first: a question and three chords."""
    idea = tmp_path / "minor.toml"
    idea.write_text('format = 1\nquestion = "Why is it sad?"\nplace = "C Cm G"\n', encoding="utf-8")
    tune = Tune.parse("Key: D\n| D | G | Gm | D |")
    text = draft(tune, "tune.toml", "ukulele", idea=str(idea))
    assert "## On the strings" in text and '"G", ' in text.split("side_by_side", 1)[1]
    # G B D and G B flat D; G B flat D and D F sharp A (by hand).
    assert '{{ common_notes("G", "Gm", "G", "D") }} {{ common_notes("Gm", "D", "D") }}' in text
    bare = tmp_path / "bare.toml"
    bare.write_text('format = 1\nquestion = "Why?"\nplace = "G7"\n', encoding="utf-8")
    said = draft(read_tune(find_data("tunes", "heron_landing")), "x", "ukulele", idea=str(bare))
    assert "## Why it is so" not in said and "## On the strings" not in said
