"""How large a lesson may be: known before anything is rendered, so that no build ends half-way.

What is accepted is built in less than 1 GiB of memory.  A sheet takes 0.4 MB a chord while it is
set; sound is made in blocks and takes the same memory however long it is, but room on the disk.
"""

from collections.abc import Iterable, Sequence

from harmonykit.draw.base.fonts import check_printable
from harmonykit.errors import HarmonyError
from harmonykit.lesson.plan.model import Front, Lesson, LessonError
from harmonykit.lesson.rehearsals import rehearsed
from harmonykit.sound.rendering import MOST_SECONDS, check_length
from harmonykit.sound.stage import Stage
from harmonykit.tune.tune import Tune
from harmonykit.words.numbers import counted

# On a sheet, all levels together: 30 choruses of 32 bars with a chord and a half each.
MOST_CHORDS = 1_500
# Of all levels, instruments and takes: 5.3 MB a minute as WAV, 3.8 GB in all.
MOST_SOUND_HOURS = 12.0
_FEWER = "fewer levels, fewer repeats, or a part of the tune"


def check_sheet(front: Front) -> None:
    """Refuse a tune that makes a sheet too large, before it is arranged.

    Raises
    ------
    LessonError
        With the number of chords and what would make it less.
    """
    changes, levels = len(front.tune.changes), len(front.levels)
    rounds = sum(len(level.choruses) or 1 for level in front.levels)
    at = counted(levels, "level")
    at += f" with {rounds} choruses" if rounds > levels else ""
    made_of = f"{changes:,} in {front.tune.title!r} as played, at {at}"
    _check_chords(changes * rounds, made_of, _FEWER)


def check_arranged(lessons: Iterable[Lesson]) -> None:
    """Refuse levels that make a sheet too large, with all chords that their moves add.

    Parameters
    ----------
    lessons : iterable of Lesson
        One for each instrument of a class: each has a sheet of its own.

    Raises
    ------
    LessonError
        With the number of chords and what would make it less.
    """
    for lesson in lessons:
        _check_chords(
            _chords(lesson), f"the added chords of all levels of {lesson.front.title!r}", _FEWER
        )


def check_book(lessons: Iterable[Lesson]) -> None:
    """Refuse a book of handouts that is too large to be set.

    Raises
    ------
    LessonError
        With the number of chords and what would make it less.
    """
    every = list(lessons)
    said = f"all levels of {len(every)} lessons in one book"
    _check_chords(sum(map(_chords, every)), said, "two courses, each with a part of the lessons")


def _chords(lesson: Lesson) -> int:
    return sum(len(played.arrangement.steps) for played in lesson.played)


def _check_chords(chords: int, said: str, mend: str) -> None:
    if chords > MOST_CHORDS:
        rule = f"{MOST_CHORDS:,} chords on a sheet or in a book at most"
        raise LessonError(f"{chords:,} chords: {said}", rule=rule, mend=mend)


def check_tune(tune: Tune) -> None:
    """Refuse a tune with a text that no sheet can print.

    Raises
    ------
    HarmonyError
        With the text and the sign.
    """
    texts = {
        "title": tune.title,
        "composer": tune.composer,
        "rights": tune.rights,
        "notes": tune.notes,
        **{f"section {section.name!r}": section.name for section in tune.sections},
    }
    for name, text in texts.items():
        check_printable(text, f"the tune's {name}")


def check_sound(lessons: Sequence[Lesson]) -> None:
    """Refuse play-alongs that last too long, one of them or all together.

    Parameters
    ----------
    lessons : sequence of Lesson
        One for each instrument of a class.

    Raises
    ------
    LessonError
        With the level, how long it lasts, and what would make it shorter.
    """
    total = 0.0
    for lesson in lessons:
        if "sound" in lesson.front.outputs:
            total += sum(_seconds(lesson))
    if total > MOST_SOUND_HOURS * 3600:
        raise LessonError(
            f"{total / 3600:.0f} hours of play-along, all levels and instruments together",
            rule=f"{MOST_SOUND_HOURS:g} hours at most",
            mend="fewer files in [sound], fewer levels, or fewer instruments",
        )


def _seconds(lesson: Lesson) -> Iterable[float]:
    """Yield how long each take of each level lasts; see ``takes``."""
    wanted = lesson.front.playalong
    for played in lesson.played:
        for take in wanted.takes:
            tempo = played.level.tempo * (wanted.slow if take.slow else 1)
            seconds = Stage.whole(
                played.arrangement, tempo, count_in=True, tuning=wanted.tuning
            ).ring_end
            if seconds > MOST_SECONDS:
                raise LessonError(
                    f"level {played.level.name!r}{take.words} lasts {seconds / 60:.0f} minutes",
                    rule=f"{MOST_SECONDS // 60} minutes of play-along at most",
                    mend="a faster tempo, fewer repeats, or a part of the tune",
                )
            yield seconds
        for how in played.level.practice:
            try:
                seconds = rehearsed(played.arrangement, how, played.level.tempo).seconds
                check_length(seconds, "practice")
            except HarmonyError as error:
                what = f"level {played.level.name!r}, practice {how.words!r}: {error.what}"
                raise LessonError(what, rule=error.rule, mend=error.mend) from None
            yield seconds
