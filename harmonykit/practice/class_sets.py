"""A teacher's sets: their questions drawn by a seed, and the results of a class read back.

Levels rise through the set, kinds take turns, and no question is asked twice where another is left.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harmonykit.errors import HarmonyError
from harmonykit.files.manifest import write_beside
from harmonykit.files.table import frame_text
from harmonykit.lesson.plan.model import Front
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.paths import find_data
from harmonykit.practice import progress, sitting, themes
from harmonykit.practice.kinds import KINDS, USUAL, ask
from harmonykit.practice.question import LEVELS, Chance, Spec
from harmonykit.practice.sets import MOST_QUESTIONS, ExerciseSet
from harmonykit.practice.theme import EVERYTHING, Theme

if TYPE_CHECKING:
    import pandas as pd

MOST_FILES = 5_000
COLUMNS = (
    "student",
    "set",
    "number",
    "kind",
    "medium",
    "level",
    "score",
    "hints",
    "answer",
    "item",
    "wanted",
    "instead",
    "at",
    "file",
    "error",
)
_TYPES = {"number": "Int64", "level": "Int64", "hints": "Int64", "score": "Float64"}


def read_results(folder: str | Path) -> pd.DataFrame:
    """Return the results in a folder: a row for each student and question that was answered.

    Parameters
    ----------
    folder : str or Path
        With students' files (``*.jsonl``), or one such file.

    Returns
    -------
    DataFrame
        With ``COLUMNS``; a file that cannot be read is one row that has its error, and a file in
        which a line was lost says so in its last row.

    Raises
    ------
    HarmonyError
        If there is no such folder, or too many files in it.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> panel = hk.workbook.SetPanel(hk.practice.make_set(["scale"], 2), folder := mkdtemp())
    >>> panel.set("student", "desk 1")
    >>> panel.answer(panel.asked.question.answer)
    >>> results = hk.practice.read_results(folder)
    >>> results[["student", "kind", "score"]].values.tolist()
    [['desk 1', 'scale', 1.0]]
    """
    import pandas as pd

    path = Path(folder)
    if not path.exists():
        raise HarmonyError(f"missing folder {path}", mend="the folder with the students' files")
    files = sorted(path.glob("*.jsonl")) if path.is_dir() else [path]
    if len(files) > MOST_FILES:
        raise HarmonyError(f"{len(files)} files", rule=f"{MOST_FILES} at most")
    rows = [row for file in files for row in _rows(file)]
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    return table.astype({**_TYPES, "error": "str"} if rows else _TYPES)


def _rows(file: Path) -> Iterator[dict[str, Any]]:
    try:
        found = progress.read_progress(file)
    except HarmonyError as error:
        yield {"file": file.name, "error": error.what.replace(str(file), file.name)}
        return
    firsts: dict[tuple[str, int, str], sitting.Answered] = {}
    for each in found.answers:
        firsts.setdefault((each.seed, each.number, each.kind), each)
    about = {"student": found.owner.name, "set": found.owner.set, "file": file.name, "error": ""}
    answers = list(firsts.values())
    for each in answers:
        last = each is answers[-1]
        yield about | _values(each) | {"error": found.trouble if last else ""}
    if not answers:
        yield about | {"error": found.trouble or "nothing was answered"}


def _values(each: sitting.Answered) -> dict[str, Any]:
    return {name: getattr(each, name) for name in COLUMNS if hasattr(each, name)}


def save_results(results: pd.DataFrame, path: str | Path) -> Path:
    """Write results, or their sums, as CSV; a file of that name that differs is kept beside.

    An answer that a spreadsheet would run as a formula gets an apostrophe in front.

    Parameters
    ----------
    results : DataFrame
        As ``hk.practice.read_results`` or ``hk.practice.summary`` give them.
    path : str or Path

    Returns
    -------
    Path

    Raises
    ------
    HarmonyError
        If it cannot be written.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> panel = hk.workbook.SetPanel(hk.practice.make_set(["scale"], 2), folder := mkdtemp())
    >>> panel.set("student", "desk 1")
    >>> panel.answer(panel.asked.question.answer)
    >>> results = hk.practice.read_results(folder)
    >>> hk.practice.save_results(results, f"{folder}/results.csv").name
    'results.csv'
    """
    write_beside(Path(path), frame_text(results, index=results.index.name is not None))
    return Path(path)


def summary(results: pd.DataFrame, by: str = "kind") -> pd.DataFrame:
    """Return sums of results: students, answers, per cent right and hints an answer.

    Parameters
    ----------
    results : DataFrame
        As ``read_results`` gives them.
    by : {"kind", "student", "number", "level"}

    Returns
    -------
    DataFrame

    Raises
    ------
    HarmonyError
        If there is no such column.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> panel = hk.workbook.SetPanel(hk.practice.make_set(["scale"], 2), folder := mkdtemp())
    >>> panel.set("student", "desk 1")
    >>> panel.answer(panel.asked.question.answer)
    >>> hk.practice.summary(hk.practice.read_results(folder))["right, %"].tolist()
    [100]
    """
    if by not in ("kind", "student", "number", "level"):
        raise HarmonyError(
            f"results cannot be grouped by {by!r}", mend="kind, student, number or level"
        )
    counted = results[results["score"].notna()]
    groups = counted.groupby(by, sort=by != "kind")
    found = groups.agg(
        students=("student", "nunique"),
        answers=("score", "size"),
        right=("score", "mean"),
        hints=("hints", "mean"),
    )
    found["right"] = (100 * found["right"]).round().astype("Int64")
    found["hints"] = found["hints"].astype("float").round(1)
    if by == "kind":
        found = found.reindex([kind for kind in KINDS if kind in found.index])
    return found.rename(columns={"right": "right, %", "hints": "hints an answer"})


_TRIES = 24
_LONGEST_SEED = 40


def make_set(
    about: Front | Theme | str | Path | Iterable[str],
    count: int = 12,
    seed: str = "quay",
    title: str = "",
    *,
    instrument: str | None = None,
) -> ExerciseSet:
    """Make a set of exercises about a lesson, or of some kinds.

    Parameters
    ----------
    about : Front, Theme, path, or iterable of str
        A lesson that was read, its path or bare name; a theme; or names of ``KINDS``.  A lesson's
        questions are about its idea, chord, instrument, scale, tune and hands, easy ones first.
    count : int in 1..200
    seed : str
        Another seed makes another set.
    title : str, optional
        The lesson's own unless given.
    instrument : str, optional
        Another one than the lesson's own, for a mixed class.

    Returns
    -------
    ExerciseSet

    Raises
    ------
    HarmonyError
        If there is no such lesson or kind, or too many questions are asked for.

    Examples
    --------
    >>> found = hk.practice.make_set("four_dominants", 8)
    >>> found.title, len(found.specs), sorted({spec.kind for spec in found.specs})[:2]
    ('Four dominants, one diminished seventh', 8, ['drone', 'function'])
    """
    if not 1 <= count <= MOST_QUESTIONS:
        raise HarmonyError(
            f"a set of {count} questions is out of range", rule=f"1 to {MOST_QUESTIONS}"
        )
    if len(seed) > _LONGEST_SEED or ";" in seed or not seed.isprintable():
        raise HarmonyError(
            f"{seed[:20]!r} is not a seed", rule=f"{_LONGEST_SEED} characters at most"
        )
    kinds, theme = _meant(about, instrument)
    name = title or theme.title or "Exercises"
    steps = min(LEVELS, len(theme.hands)) or LEVELS
    specs: list[Spec] = []
    texts: set[str] = set()
    for place in range(count):
        level = 1 + place * steps // count
        specs.append(_new(place + 1, level, seed, kinds, theme, texts))
    return ExerciseSet(name, theme, tuple(specs))


def _meant(
    about: Front | Theme | str | Path | Iterable[str], instrument: str | None
) -> tuple[tuple[str, ...], Theme]:
    if isinstance(about, str) and about in KINDS:
        about = [about]
    if isinstance(about, str | Path):
        about = read_lesson(find_data("lessons", about), instrument=instrument)[0]
    elif isinstance(about, Front) and instrument:
        raise HarmonyError(
            "the lesson was read for its own instrument", mend="the lesson's path or name"
        )
    if isinstance(about, Front):
        about = themes.theme_of(about)
    if isinstance(about, Theme):
        return about.kinds or USUAL, about
    kinds = tuple(about)
    wrong = [kind for kind in kinds if kind not in KINDS]
    if wrong or not kinds:
        raise HarmonyError(f"unknown exercise {wrong[0] if wrong else ''!r}", mend=", ".join(KINDS))
    return kinds, Theme(instrument=instrument) if instrument else EVERYTHING


def _new(
    number: int, level: int, seed: str, kinds: Sequence[str], theme: Theme, texts: set[str]
) -> Spec:
    """Return a question whose words were not asked yet; its kind is the next in turn."""
    found: Spec | None = None
    for trial in range(_TRIES):
        spec = _trial(number, level, seed, kinds, trial)
        try:
            question = ask(spec, theme)
        except HarmonyError:  # this instrument or lesson has nothing of the kind
            continue
        found = spec
        asked = f"{question.text} {question.seen.heading} {question.sounds}"
        if asked not in texts:
            texts.add(asked)
            return spec
    if found is None:
        raise HarmonyError("none of these kinds can be asked here", mend=", ".join(KINDS))
    return found


def _trial(number: int, level: int, seed: str, kinds: Sequence[str], trial: int) -> Spec:
    turn, place = divmod(number - 1, len(kinds))
    order = Chance(f"{seed}/set/{turn}").shuffled(kinds)
    # After some trials another kind has its turn.
    kind = order[(place + trial // 6) % len(kinds)]
    own = f"{seed}.{trial}" if trial else seed
    chance = Chance(f"{own}/{number}/{kind}/set")
    return Spec(own, number, kind, chance.pick(KINDS[kind].media), level)
