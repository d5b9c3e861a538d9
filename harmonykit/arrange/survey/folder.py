"""The folder of a survey: a part for each task that is done, and the table made of them.

::

    manifest.json    what was asked, and whether it is finished
    parts/HASH.csv   the rows of one task, written whole or not at all
    survey.csv       all rows, in the order of the plan; survey.parquet where pyarrow is installed
    plots/           figures, where they were asked for

Parts that this survey does not ask for are kept: another may.  A folder that is not ours is left
alone.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from harmonykit.arrange.survey.cells import COLUMNS, Row, Value
from harmonykit.errors import HarmonyError
from harmonykit.files import write_whole

MADE_BY, KIND, FORMAT = "harmonykit", "survey", 1
MANIFEST, TABLE, PARQUET, PARTS = "manifest.json", "survey.csv", "survey.parquet", "parts"
HEAD = ("file", "number", *COLUMNS)

Manifest = dict[str, Any]


class Folder:
    """A survey's folder, made if it is not there.

    Raises
    ------
    HarmonyError
        If there is something else in its place.
    """

    def __init__(self, path: Path) -> None:
        self.path, self.parts = path, path / PARTS
        _check_ours(path)
        self.parts.mkdir(parents=True, exist_ok=True)
        for left in self.parts.glob(".*.part"):
            # What a killed survey was just writing.
            left.unlink(missing_ok=True)

    def has(self, name: str) -> bool:
        """Whether a part is there."""
        return self._part(name).exists()

    def drop(self, name: str) -> None:
        """Remove a part, if it is there."""
        self._part(name).unlink(missing_ok=True)

    def put(self, name: str, rows: Iterable[Row]) -> None:
        """Write a part, whole or not at all."""
        lines = ([_text(row[column]) for column in COLUMNS] for row in rows)
        write_whole(self._part(name), _csv([tuple(COLUMNS), *lines]))

    def rows(self, name: str) -> list[list[str]]:
        """Return the rows of a part as they are written.

        Raises
        ------
        HarmonyError
            If it is broken.
        """
        with self._part(name).open(encoding="utf-8", newline="") as file:
            head, *rows = [*csv.reader(file)] or [[]]
        if head != [*COLUMNS] or any(len(row) != len(head) for row in rows):
            raise HarmonyError(f"{self._part(name)} is broken", mend="remove it, and run again")
        return rows

    def begin(self, manifest: Manifest) -> None:
        """Note what is asked, unfinished."""
        self._note(manifest | {"finished": False})

    def finish(self, manifest: Manifest, rows: Iterable[Sequence[str]]) -> None:
        """Write the table, and note that it is whole."""
        lines = [HEAD, *rows]
        write_whole(self.path / TABLE, _csv(lines))
        if find_spec("pyarrow"):
            self._write_parquet()
        errors = sum(bool(line[-1]) for line in lines[1:])
        self._note(manifest | {"rows": len(lines) - 1, "errors": errors, "finished": True})

    def _part(self, name: str) -> Path:
        return self.parts / f"{name}.csv"

    def _note(self, manifest: Manifest) -> None:
        ours = {"made_by": MADE_BY, "kind": KIND, "format": FORMAT}
        text = json.dumps(ours | manifest, ensure_ascii=False, indent=1)
        write_whole(self.path / MANIFEST, text + "\n")

    def _write_parquet(self) -> None:
        from harmonykit.arrange.survey.table import read_table

        buffer = io.BytesIO()
        read_table(self.path / TABLE).to_parquet(buffer, index=False)
        write_whole(self.path / PARQUET, buffer.getvalue())


def read_manifest(path: Path) -> Manifest:
    """Return what a survey's folder says of itself; nothing where it is none."""
    try:
        manifest = json.loads((path / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    ours = isinstance(manifest, dict) and (manifest.get("made_by"), manifest.get("kind"))
    return manifest if ours == (MADE_BY, KIND) else {}


def _check_ours(path: Path) -> None:
    if path.exists() and not path.is_dir():
        raise HarmonyError(f"{path} is no folder", rule="--out names a folder", mend="another name")
    if path.is_dir() and any(path.iterdir()) and not read_manifest(path):
        raise HarmonyError(
            f"{path} holds something else",
            rule=f"a survey goes into a new folder, or on in one with its own {MANIFEST}",
            mend="a folder that does not exist yet",
        )


def _text(value: Value) -> str:
    return "" if value is None else str(value)


def _csv(lines: Iterable[Sequence[str]]) -> bytes:
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\n").writerows(lines)
    # A file's name may hold bytes that are no text.
    return buffer.getvalue().encode("utf-8", "replace")
