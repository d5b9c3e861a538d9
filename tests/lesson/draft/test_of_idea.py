"""Drafts from ideas: each on a tune that it fits, proved; what is said where it fits nowhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from harmonykit.cli import main
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.tried import rows_of
from harmonykit.lesson.draft.writing import draft, write_draft
from harmonykit.lesson.plan import starts
from harmonykit.lesson.plan.model import Lesson, Picture
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
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


CADENCES = small("| D6 | A7 | A7 | D6 | B7 | Em7 | A7 | D6 |", "D")
LEVELS = '[[levels]]\nmoves = ["tritone substitution"]'


def text_of(folder: Path, *lines: str, on: Tune = CADENCES) -> dict[str, str]:
    """Return the sections of a draft by title, its header under an empty one."""
    path = folder / "mine.toml"
    path.write_text("\n".join(('format = 1\nquestion = "Why?"', *lines)) + "\n", "utf-8")
    whole = draft(on, "tune.toml", "ukulele", idea=str(path))
    head, _, body = whole.partition("+++\n")[2].partition("+++\n")
    parts = (part.partition("\n") for part in body.split("## ")[1:])
    return {"": head} | {title: below.strip() for title, _, below in parts}


def test_what_an_idea_says_of_a_level_stands_in_it_with_its_number(tmp_path: Path) -> None:
    """The word ``level`` in a call is the number that the level has in this lesson."""
    plain = '[[levels]]\nname = "Plain"\ntext = "Play it. {{ highest_fret(level) }}"'
    other = f'{LEVELS}\nname = "Far"\ntext = "Now {{{{ strings_stay(level, 2) }}}} levels."'
    said = text_of(tmp_path, 'place = "G7 C"', plain, other)
    assert said["Plain"].startswith("Play it. {{ highest_fret(1) }}\n\n{{ chart(1) }}")
    assert said["Far"].startswith("Now {{ strings_stay(2, 2) }} levels. {{ added(2) }}\n\n")
    # Where it says nothing the moves speak for themselves, and the tune for itself.
    bare = text_of(tmp_path, 'place = "G7 C"', LEVELS)
    assert bare["As written"].startswith("{{ tune() }} is in {{ key() }} and has ")
    assert bare["Tritone substitution"].startswith("Play the dominant a tritone away")


def test_a_header_says_what_a_lesson_is_about_and_on_what_it_is_played(tmp_path: Path) -> None:
    head = text_of(
        tmp_path, 'title = "A half step"', 'source = "C6"', 'scale = "C major"',
        'change = "alternates"', 'other_instruments = ["guitar", "ukulele"]',
    )[""]  # fmt: skip
    for line in (
        'title = "A half step"', 'subtitle = "Why?"', 'instrument = "ukulele"',
        'other_instruments = ["guitar"]', 'chord = "D6"', 'scale = "D major"',
    ):  # fmt: skip
        assert f"\n{line}\n" in head, line
    # An idea without a title has its question for one, and the tune's name below; no others.
    head = text_of(tmp_path, 'source = "C6"', 'other_instruments = ["ukulele"]')[""]
    assert '\ntitle = "Why?"\nsubtitle = "Slip Knot"\n' in head
    assert "other_instruments" not in head and "\nscale =" not in head


def test_a_dominant_goes_on_to_where_it_resolves(tmp_path: Path) -> None:
    said = text_of(
        tmp_path, 'source = "G7"', 'place = "G7 C"', 'change = "resolve"', 'hear = "Listen."',
        'about = "It is so."', LEVELS,
    )  # fmt: skip
    strings = said["On the strings"].split("\n\n")
    assert strings[0] == "Hold **{{ shape() }}**: {{ frets_aloud() }}. {{ sounds() }}"
    assert strings[1] == 'Go on to {{ name("D") }}. Which strings move, and which stay?'
    assert strings[2].startswith('{{ side_by_side("') and strings[3:] == ["Listen."]
    # A stays: it is in A7 and in D.
    assert said["Why it is so"].split("\n\n") == [
        "It is so.", '{{ common_notes("A7", "D", "A") }}', '{{ clock("D", was="A7") }}',
    ]  # fmt: skip
    assert "Listen." not in said["Tritone substitution"]


def test_what_strings_cannot_show_is_listened_for_at_the_second_level(tmp_path: Path) -> None:
    again = '[[levels]]\nmoves = ["rootless dominant"]'
    said = text_of(tmp_path, 'place = "G7 C"', 'hear = "Listen."', LEVELS, again)
    assert "On the strings" not in said and "Why it is so" not in said
    first, second, third = (
        said[name] for name in ("As written", "Tritone substitution", "Rootless dominants")
    )
    assert "Listen." in second and "Listen." not in first + third
    assert second.index("Listen.") < second.index("{{ chart(2) }}")
    assert said["The question"] == 'Why?\n\n{{ bars_of("A7") }} Play those bars first.'


def test_changes_stand_four_beside_the_chord_before(tmp_path: Path) -> None:
    """Every note of an augmented triad a half step up or down: six triads, four and two."""
    said = text_of(tmp_path, 'source = "C+"', 'change = "move one note"', LEVELS)
    rows = [line for line in said["On the strings"].split("\n") if "side_by_side" in line]
    shown = [row.count('", "') + 1 for row in rows]
    assert all(count % 2 == 0 for count in shown)
    assert [count // 2 for count in shown] == [5, 3]
    source = said[""].partition('\nchord = "')[2].partition('"')[0]
    # Each stands beside the first, not beside the one before it.
    assert all(f', "{source}"' in row and "was=" not in row for row in rows)
    assert said["On the strings"].count("\n- ") >= 1
    # Four of them are stated.
    assert said["Why it is so"].count("turns_into(") == 4


@pytest.mark.parametrize(("source", "by"), [("C+", 4), ("Bdim7", 3), ("C", 2), ("Am7", 1)])
def test_a_slid_shape_stands_as_many_frets_away(tmp_path: Path, source: str, by: int) -> None:
    said = text_of(tmp_path, f'source = "{source}"', f'change = "slide by {by}"', LEVELS)
    row = next(line for line in said["On the strings"].split("\n") if "side_by_side" in line)
    before, after = re.findall(r'"(\d+(?:-\d+)+)"', row)[:2]
    frets = [[int(fret) for fret in shape.split("-")] for shape in (before, after)]
    assert frets[1] == [fret + by for fret in frets[0]]


def test_two_chords_are_a_place_that_is_drawn_and_one_is_none(tmp_path: Path) -> None:
    both = text_of(tmp_path, 'place = "G7 C"')
    strings = both["On the strings"]
    assert strings.startswith("Play these one after the other.")
    assert 'was="before"' in strings and strings.count(', "A7"') == strings.count(', "D6"') == 1
    assert '{{ common_notes("A7", "D6", "A") }}' not in both["On the strings"]
    assert both["The question"].count("bars_of(") == 2
    one = text_of(tmp_path, 'place = "G7"')
    assert "On the strings" not in one and one["The question"].count("bars_of(") == 1


NINTH = """format = 1
title = "The empty chair"
question = "What is left of a ninth chord when the root goes home?"
about = "Leave the root of A9 to the bass, and what we hold is a minor sixth chord."
source = "A9"
change = "leave out the root"
hear = "Play A7, then the upper notes: the pull toward D is not gone."
"""


@pytest.mark.parametrize(
    ("row", "chord", "hear"),
    [
        # The tune's own dominant on the idea's root; else its first dominant; else none: the tonic.
        ("| D7 | G | A7 | D |", "A9", "Play A7, then the upper notes: the pull toward D is not"),
        ("| D9 | G | A9 | D |", "A9", "Play A7, then the upper notes: the pull toward D is not"),
        ("| G | D7 | G |", "D9", "Play D7, then the upper notes: the pull toward G is not"),
    ],
)
def test_an_own_idea_of_five_notes_builds_on_four_strings(
    tmp_path: Path, row: str, chord: str, hear: str
) -> None:
    (tmp_path / "own.toml").write_text(NINTH, encoding="utf-8")
    tune = Tune.parse(f"Gate in D\n{row}")
    (tmp_path / "gate.txt").write_text(f"Gate in D\n{row}", encoding="utf-8")
    own, path = tmp_path / "own.toml", tmp_path / "new.md"
    write_draft(path, tune, "gate.txt", "ukulele low g", idea=str(own))
    lesson = load_lesson(path)  # each statement is proved
    assert lesson.front.shape_chord.symbol == chord
    text = path.read_text(encoding="utf-8")
    assert hear in text and "without its " in text and "{{ sounds() }}" not in text


def test_a_change_is_made_to_the_first_chord_of_the_place(tmp_path: Path) -> None:
    """An idea file says so of a source that is left out; with neither there is nothing to change.

    F minor has A flat for the A of F (by hand).
    """
    said = text_of(tmp_path, 'place = "G Gm D"', 'change = "lower the third"',
                   on=small("| C | F | Fm | C |", "C"))  # fmt: skip
    below = said["On the strings"]
    assert "- Lower A by a half step." in below and '"F", ' in below and '"Fm"' in below
    assert '{{ common_notes("F", "Fm", "C", "F") }}' in said["Why it is so"]
    with pytest.raises(HarmonyError, match="nothing that it is made to") as caught:
        text_of(tmp_path, 'change = "lower the third"')
    assert caught.value.place is not None and caught.value.place.line == 3


def test_a_note_that_two_strings_have_moves_on_both(tmp_path: Path) -> None:
    """4-2-3-2 on G C E A is B D G B; with each B lowered it is 3-2-3-1, B flat D G B flat.

    The tune's own G, 0-2-3-2, has one B: it is taken, and one finger moves.  Of F, 2-0-1-0, an A is
    open and goes no lower: another shape is taken.
    """
    ukulele = Instrument.named("ukulele")
    led = starts.led_shape(Voicing.parse("4232", ukulele), Chord.parse("G"), Chord.parse("Gm"))
    assert led is not None and led.digits == "3-2-3-1"
    lowered = 'change = "lower the third"'
    said = text_of(tmp_path, 'source = "G"', lowered, on=small("| G | C | G |", "G"))
    assert 'side_by_side("0-2-3-2", "G", "0-2-3-1", "Gm")' in said["On the strings"]
    said = text_of(tmp_path, 'source = "F"', lowered, on=small("| F | C | F |", "F"))
    frets = said["On the strings"].partition('side_by_side("')[2].split('"')[0]
    assert frets != "2-0-1-0" and "0" not in frets.split("-")
