"""A text looked at again and again: right, at once, and each part done only once."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson import build
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.writing import draft
from harmonykit.lesson.plan.model import Front, Picture, Played
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune, write_tune
from harmonykit.workbook.writing import reader as writing_reader
from harmonykit.workbook.writing.judge import PROVED, WAITS
from harmonykit.workbook.writing.reader import LessonReader, Look

STIFF = find_data("lessons", "stiff_dominant")
TEXT = STIFF.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", shipped("lessons"))
def test_what_is_worked_out_is_what_a_build_loads(name: str) -> None:
    """The judge goes on after a fault; where there is none it agrees with the build's reader."""
    path = find_data("lessons", name)
    look = LessonReader().work_out(path, path.read_text(encoding="utf-8"))
    wanted = load_lesson(path)
    assert look.lesson is not None and not look.waits and look.fault is None
    assert look.lesson.sections == wanted.sections
    assert look.lesson.played == wanted.played
    assert look.lesson.facts == wanted.facts


def test_statements_are_there_at_once_and_figures_follow() -> None:
    reader = LessonReader()
    first = reader.look(STIFF, TEXT)
    assert first.waits and first.lesson is not None and first.lesson.played == ()
    proved = [each for each in first.verdicts if each.kind == PROVED]
    # Two statements are about a level, and wait for it.
    named = ("half_step_below(5)", "added(5)")
    levels = [each for each in first.verdicts if each.kind == WAITS and each.source in named]
    assert len(levels) == 2 and len(proved) + 2 == len(load_lesson(STIFF).facts)
    reader.work_out(STIFF, TEXT)
    after = reader.look(STIFF, TEXT)
    assert not after.waits and not [v for v in after.verdicts if v.kind == WAITS]


@pytest.fixture
def known(monkeypatch: pytest.MonkeyPatch) -> tuple[LessonReader, list[int]]:
    """A reader that knows a lesson, and the levels that it arranges from now on."""
    reader = LessonReader()
    reader.work_out(STIFF, TEXT)
    arranged: list[int] = []

    def count(front: Front, index: int, progress: object = None) -> Played:
        arranged.append(index)
        return build.play_level(front, index)

    monkeypatch.setattr(writing_reader, "play_level", count)
    return reader, arranged


KEPT = [
    ("Play each of them", "Sing each of them"),
    ('title = "The stiff dominant"', 'title = "A stiff chord"'),
    ('class = "Saltmarsh Quay', 'group = "Quay'),
    ('watch = "Play bars', 'watch = "Please play bars'),
    ('name = "As written"', 'name = "The tune itself"'),
]


@pytest.mark.parametrize(("old", "new"), KEPT)
def test_words_arrange_nothing_anew(
    known: tuple[LessonReader, list[int]], old: str, new: str
) -> None:
    reader, arranged = known
    assert old in TEXT
    look = reader.work_out(STIFF, TEXT.replace(old, new, 1))
    assert arranged == [] and look.lesson is not None and len(look.lesson.played) == 5


def test_a_level_that_changed_is_arranged_anew_and_no_other(
    known: tuple[LessonReader, list[int]],
) -> None:
    reader, arranged = known
    text = TEXT.replace("tempo = 72", "tempo = 66", 1)
    assert reader.look(STIFF, text).waits
    look = reader.work_out(STIFF, text)
    assert arranged == [0] and look.lesson is not None
    assert look.lesson.played[0].level.tempo == 66
    # Turned back, it is remembered.
    assert not reader.look(STIFF, TEXT).waits and arranged == [0]


def test_a_levels_new_name_is_everywhere(known: tuple[LessonReader, list[int]]) -> None:
    reader, _ = known
    text = TEXT.replace('name = "As written"', 'name = "Low tide"', 1)
    look = reader.work_out(STIFF, text)
    assert look.lesson is not None
    played = look.lesson.played[0]
    assert (played.arrangement.name, played.stem) == ("Low tide", "level-1-low-tide")


def test_a_fault_in_the_front_matter_leaves_the_last_that_was_right() -> None:
    reader = LessonReader()
    reader.work_out(STIFF, TEXT)
    broken = TEXT.replace('chord = "C#dim7"', 'chord = "C#dimx"', 1) + "\n## More\n\nwords\n"
    look = reader.look(STIFF, broken)
    assert look.fault is not None and look.fault.place is not None and look.fault.place.line == 9
    assert look.lesson is not None and not look.waits
    assert look.lesson.sections[-1].title == "More"
    assert look.lesson.front.shape_chord.symbol == "C#dim7"


def test_statements_about_a_level_wait_for_it_in_the_middle_of_a_sentence() -> None:
    look = LessonReader().look(STIFF, TEXT)
    assert "{{ half_step_below(5) }} {{ added(5) }}" in TEXT
    assert look.waits and not [each for each in look.verdicts if each.wrong]


def test_a_statement_inside_other_words_is_proved_with_a_note_to_its_author() -> None:
    call = '{{ same_notes("C6", "Am7") }}'
    text = TEXT + f"\n\nIt is not so\nthat {call}\n\n{call}\n"
    found = [v for v in LessonReader().look(STIFF, text).verdicts if v.source == call[2:-2].strip()]
    assert [v.kind for v in found] == [PROVED, PROVED]
    assert "not counted as proved" in found[0].mend and found[1].mend == ""


def test_without_front_matter_there_is_no_lesson_but_a_fault() -> None:
    reader = LessonReader()
    assert reader.look(STIFF, TEXT).lesson is not None
    look = reader.look(STIFF, TEXT.partition("+++")[2].partition("+++")[2])
    assert look.lesson is None and look.fault is not None


def test_a_level_that_cannot_be_played_is_said_and_not_tried_for_ever(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tried: list[int] = []

    def refuse(front: Front, index: int, progress: object = None) -> Played:
        tried.append(index)
        raise HarmonyError("no hand can play this")

    monkeypatch.setattr(writing_reader, "play_level", refuse)
    reader = LessonReader()
    for look in (reader.work_out(STIFF, TEXT), reader.look(STIFF, TEXT)):
        assert look.fault is not None and look.fault.what == "no hand can play this"
        assert not look.waits and tried == [0]
        wrong = {each.source for each in look.verdicts if each.wrong}
        assert wrong >= {"chart(1)", "added_chords(2)", "comparison()"}
        assert any(each.kind == PROVED for each in look.verdicts)


def test_a_score_is_waited_for_read_once_and_read_anew_when_it_changed(tmp_path: Path) -> None:
    tune = read_tune(find_data("tunes", "heron_landing"))
    score = tmp_path / "landing.musicxml"
    write_tune(tune, score)
    text = draft(tune, score.name, Instrument.named("ukulele"))
    path, reader = tmp_path / "new.md", LessonReader()
    first = reader.look(path, text)
    assert first.lesson is None and first.fault is None and first.waits
    reader.work_out(path, text)
    now = reader.look(path, text)
    assert now.lesson is not None and now.lesson.front.tune.title == tune.title
    score.write_text(score.read_text("utf-8").replace(tune.title, "Another Landing"), "utf-8")
    assert reader.look(path, text).waits
    look = reader.work_out(path, text)
    assert look.lesson is not None and look.lesson.front.tune.title == "Another Landing"


def test_a_score_that_cannot_be_read_is_tried_once(tmp_path: Path) -> None:
    (tmp_path / "bad.musicxml").write_text("<no", encoding="utf-8")
    text = TEXT.replace('tune = "ropewalk_blues"', 'tune = "bad.musicxml"')
    path, reader = tmp_path / "new.md", LessonReader()
    assert reader.look(path, text).waits
    assert reader.work_out(path, text).fault is not None
    look = reader.look(path, text)
    assert look.fault is not None and not look.waits


def test_work_tells_its_progress_and_ends_where_that_raises() -> None:
    told: list[float] = []

    def listen(done: int, total: int) -> None:
        told.append(done / total)
        if len(told) > 5:
            raise KeyError

    with pytest.raises(KeyError):
        LessonReader().work_out(STIFF, TEXT, listen)
    assert len(told) == 6 and told == sorted(told) and told[-1] <= 1
    told.clear()
    LessonReader().work_out(STIFF, TEXT, lambda done, total: told.append(done / total))
    assert told == sorted(told) and 0.5 < told[-1] <= 1
    # Within a level too: it is told more often than there are levels.
    assert len(set(told)) > 2 * (TEXT.count("[[levels]]") + 1)


def test_pictures_are_drawn_once() -> None:
    reader = LessonReader()
    reader.work_out(STIFF, TEXT)

    def drawn(look: Look) -> list[int]:
        assert look.lesson is not None
        blocks = [b for section in look.lesson.sections for b in section.blocks]
        return [id(b) for b in blocks if isinstance(b, Picture)]

    assert drawn(reader.look(STIFF, TEXT)) == drawn(reader.look(STIFF, TEXT + "more")) != []
