"""Results of sets read back: a row for each student and question, and sums of them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harmonykit.errors import HarmonyError
from harmonykit.files.manifest import write_beside
from harmonykit.files.table import frame_text
from harmonykit.workbook.practice.answered import Answered
from harmonykit.workbook.practice.kinds import KINDS
from harmonykit.workbook.practice.progress import read_progress

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
    >>> panel = hk.practice.SetPanel(hk.practice.make_set(["scale"], 2), folder := mkdtemp())
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
        found = read_progress(file)
    except HarmonyError as error:
        yield {"file": file.name, "error": error.what.replace(str(file), file.name)}
        return
    firsts: dict[tuple[str, int, str], Answered] = {}
    for each in found.answers:
        firsts.setdefault((each.seed, each.number, each.kind), each)
    about = {"student": found.owner.name, "set": found.owner.set, "file": file.name, "error": ""}
    answers = list(firsts.values())
    for each in answers:
        last = each is answers[-1]
        yield about | _values(each) | {"error": found.trouble if last else ""}
    if not answers:
        yield about | {"error": found.trouble or "nothing was answered"}


def _values(each: Answered) -> dict[str, Any]:
    names = ("number", "kind", "medium", "level", "score", "hints", "answer", "at")
    return {name: getattr(each, name) for name in names}


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
    >>> panel = hk.practice.SetPanel(hk.practice.make_set(["scale"], 2), folder := mkdtemp())
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
    >>> panel = hk.practice.SetPanel(hk.practice.make_set(["scale"], 2), folder := mkdtemp())
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
