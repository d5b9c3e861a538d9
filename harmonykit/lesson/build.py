"""From a lesson file to the folder that a class is given.

The folder holds ``index.html``, ``page.html``, ``handout.pdf``; ``script.md`` with ``cues.pdf`` and
``cues.html``; for each level a ``.musicxml``, a ``.mid`` and an ``.mp3``, more where it is asked
for; page, sheets, scores and sound for each other instrument of a mixed class, behind its name;
``parts.pdf`` and stems where they are asked for; ``comparison.csv``,
``facts.csv``, figures, and ``manifest.json``, which names every file and what made it.  Sound, MIDI
and page play one and the same list of events.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from functools import partial
from pathlib import Path

from harmonykit.arrange.wishes import Harmony
from harmonykit.files.folder import replaced_whole
from harmonykit.files.manifest import Carried
from harmonykit.fretboard.strings.instrument import as_instrument
from harmonykit.lesson import arranging, few_grips, level_checks
from harmonykit.lesson.arranging import Told, play_level
from harmonykit.lesson.handout.copies import set_beside
from harmonykit.lesson.plan import pictures, sizes
from harmonykit.lesson.plan.front import MOST_INSTRUMENTS
from harmonykit.lesson.plan.model import Front, Lesson, LessonError, Played
from harmonykit.lesson.plan.source import level_place, read_lesson
from harmonykit.lesson.statements import calls, claims, sentences
from harmonykit.lesson.statements.functions import Functions
from harmonykit.lesson.write import KIND, Questions, Setting, Task, Writer
from harmonykit.paths import find_data

Play = Callable[[Front, int], Played]
Led = tuple[Harmony, ...]
# So often the first instrument gives up what another cannot follow.
_ROUNDS = 3


def build_lesson(
    path: str | Path,
    out: str | Path,
    *,
    tune: str | Path | None = None,
    number: int | None = None,
    progress: bool | Told = False,
    kept: Callable[[Carried], object] | None = None,
    noted: Callable[[str], object] | None = None,
) -> Path:
    """Build all that a class is given from a lesson file.

    Parameters
    ----------
    path : str or Path
        A lesson file, or the bare name of one that ships.
    out : str or Path
        The folder; it appears whole or not at all, and an older one of ours is replaced.
    tune : str or Path, optional
        A tune to be used instead of the lesson's own.
    number : int, optional
        Which tune of a file that holds many.
    progress : bool or callable
        Whether to show a bar on standard error; or what is told how many files are made, and of
        how many: an exception raised in it stops the build, and the folder is as it was.
    kept : callable, optional
        Told of each file of the user's that was kept in the folder.
    noted : callable, optional
        Told in a line of each sentence that negates a statement, and so is not counted as proved;
        how many claim something that no statement proves; which levels have more new grips than a
        class can learn; and which sections show another level than theirs.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    HarmonyError
        For input that cannot be used; an older folder is then left as it was.
    """
    other = None if tune is None else find_data("tunes", tune)
    source = find_data("lessons", path)

    def load() -> tuple[Lesson, ...]:
        return load_class(source, other, number)

    return build_loaded(load, out, progress=progress, kept=kept, noted=noted)


def build_loaded(
    load: Callable[[], tuple[Lesson, ...]],
    out: str | Path,
    *,
    progress: bool | Told = False,
    kept: Callable[[Carried], object] | None = None,
    noted: Callable[[str], object] | None = None,
    questions: Questions | None = None,
) -> Path:
    """Build all that a class is given from what ``load`` returns, as ``load_class`` does.

    ``questions`` makes a page to practise with, to which the lesson's page then links.  See
    ``build_lesson`` for the other parameters.
    """
    with replaced_whole(Path(out), KIND) as new:
        lesson, *others = load()
        sizes.check_arranged((lesson, *others))
        sizes.check_sound((lesson, *others))
        writer = Writer(lesson, new.path, tuple(others), questions)
        run(writer.tasks(), writer.sounds(), writer.settings(), progress=progress)
        changed = writer.index(Path(out))
        writer.manifest()
    if kept is not None:
        for each in new.carried:
            kept(each)
    if noted is not None:
        for line in (
            *sentences.turned_of(lesson),
            *claims.told_of(lesson),
            *few_grips.too_many(lesson),
            *level_checks.misplaced(lesson),
        ):
            noted(line)
        for line in changed:
            noted(line)
    return Path(out)


def load_class(
    path: Path,
    tune: Path | None = None,
    number: int | None = None,
    play: Play = play_level,
    instruments: Sequence[str] = (),
) -> tuple[Lesson, ...]:
    """Read a lesson for its own instrument, and for each other one of a mixed class.

    ``instruments`` are what the class plays in place of what the lesson's file says: one folder,
    with sheets and sound for each, and a script that names the frets of all.
    The first leads: the others have its chords.
    """
    played = tuple(dict.fromkeys(as_instrument(name).name for name in instruments))
    if len(played) > MOST_INSTRUMENTS:
        said = f"{len(played)} instruments"
        raise LessonError(said, rule=f"{MOST_INSTRUMENTS} at most")
    own, also = (played[0], played[1:]) if played else (None, None)
    first = load_lesson(path, tune, number, own, play, also)
    names = [name for name in first.front.also if name != first.front.instrument.name]
    fronts = [read_lesson(path, tune, number, name)[0] for name in names]

    def load(name: str | None, led: Led, also: tuple[str, ...] | None) -> Lesson:
        def follow(front: Front, index: int) -> Played:
            return play(replace(front, led=led), index)

        return load_lesson(path, tune, number, name, follow, also)

    led = _led_by(first)
    for _ in range(_ROUNDS):
        wanted = led
        for front in fronts:
            led = arranging.followed(front, led)
        if led == wanted:
            break
        first = load(own, led, also)
        led = tuple(row and now for row, now in zip(led, _led_by(first), strict=True))
    others = (load(name, led, first.front.also) for name in names)
    return (first, *others)


def _led_by(lesson: Lesson) -> Led:
    """Return the harmony of each level of a lesson."""
    return tuple(arranging.harmony_of(one.arrangement) for one in lesson.played)


def load_lesson(
    path: str | Path,
    tune: str | Path | None = None,
    number: int | None = None,
    instrument: str | None = None,
    play: Play = play_level,
    also: tuple[str, ...] | None = None,
) -> Lesson:
    """Read a lesson file, arrange its tune at every level, and prove its statements.

    For another instrument than the lesson's own the text is the same; shapes and arrangements
    are its own.

    Parameters
    ----------
    path : str or Path
        A lesson file, or the bare name of one that ships.
    tune : str, Path, optional
        A tune to be used instead of the lesson's own.
    number : int, optional
        Which tune of a file that holds many.
    instrument : str, optional
        Another one than the lesson's own, by name.
    play : callable, optional
        What arranges the tune at a level; one that remembers saves time.
    also : tuple of str, optional
        The other instruments of the class, in place of those that the file names.

    Returns
    -------
    Lesson

    Examples
    --------
    >>> lesson = hk.lesson.read_lesson("four_dominants")
    >>> lesson.front.instrument.name, len(lesson.played)
    ('baritone ukulele', 4)
    """
    other = None if tune is None else find_data("tunes", tune)
    front, body = read_lesson(find_data("lessons", path), other, number, instrument)
    front = front if also is None else replace(front, also=also)
    sizes.check_sheet(front)
    played = tuple(_played(front, index, play) for index in range(len(front.levels)))
    functions = Functions(front, played)
    sections = calls.assemble(body, functions.table(), functions.at_line)
    pictures.check_pictures(sections, front.path)
    return Lesson(front, sections, played, tuple(functions.facts))


def _played(front: Front, index: int, play: Play) -> Played:
    """Play a level; what is wrong with it is placed at its table in the lesson's file."""
    try:
        return play(front, index)
    except LessonError as error:
        if error.place is not None:
            raise
        raise error.at(level_place(front.path, index)) from None


def run(
    tasks: list[Task], sounds: list[Task], settings: list[Setting], *, progress: bool | Told
) -> None:
    """Do all tasks; what needs the interpreter little is done beside the others.

    Sounds are arrays, two at a time: each takes memory of its own.  Pages are set by other
    processes, from when they are gathered; that is done before all else.

    What goes wrong in any of them is raised when all are done or given up.
    """
    with (
        set_beside([gather for _, gather, _ in settings]) as readied,
        ThreadPoolExecutor(max_workers=2) as making,
        ThreadPoolExecutor(max_workers=1) as setting,
    ):
        made = [(label, making.submit(task)) for label, task in sounds]
        set_: list[Future[object]] = []

        def begin(place: int, write: Callable[[bytes], object]) -> None:
            pdf = readied(place)
            set_.append(setting.submit(lambda: write(pdf())))

        first = [(label, partial(begin, n, write)) for n, (label, _, write) in enumerate(settings)]
        last = [(f"{label}.pdf", partial(_joined, set_)) for label, _, _ in settings]
        waiting: list[Task] = [(label, future.result) for label, future in made]
        try:
            for _, task in shown([*first, *tasks, *last, *waiting], progress=progress):
                task()
        finally:
            for beside in (making, setting):
                beside.shutdown(cancel_futures=True)


def _joined(futures: list[Future[object]]) -> None:
    """Wait for the first of what is done beside."""
    futures.pop(0).result()


def shown(tasks: list[Task], *, progress: bool | Told) -> Iterator[Task]:
    """Yield tasks with their labels; tell of them as they are done, or show a bar."""
    if progress is True:
        from tqdm import tqdm

        # A terminal that says no size would be shown nothing.
        wide, high = shutil.get_terminal_size()
        with tqdm(tasks, unit="file", leave=False, ncols=wide, nrows=high) as bar:
            for label, task in bar:
                bar.set_description(label)
                yield label, task
        return
    for done, each in enumerate(tasks):
        if progress:
            progress(done, len(tasks))
        yield each
    if progress:
        progress(len(tasks), len(tasks))
