"""The folder of a survey: a part for each task that is done, and the table made of them.

::

    manifest.json    what was asked, whether it is finished, and the hash of each file
    parts/HASH.csv   the rows of one task, written whole or not at all
    survey.csv       all rows, in the order of the plan; survey.parquet where pyarrow is installed
    plots/           figures, where they were asked for

Parts that this survey does not ask for are kept: another may.  A file of ours that the user edited
is kept under another name.  A folder that is not ours, or of another kind, is left alone.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harmonykit.arrange.survey.cells import COLUMNS, WHOLE, Row
from harmonykit.errors import HarmonyError
from harmonykit.files import manifest as manifests
from harmonykit.files import refused, shown, write_whole
from harmonykit.files.folder import check_kind, place_of
from harmonykit.files.lock import locked
from harmonykit.files.manifest import Carried, Manifest
from harmonykit.files.manifest import read_manifest as read_any
from harmonykit.files.table import csv_text, plain

if TYPE_CHECKING:
    import pandas as pd

KIND = "survey"
TABLE, PARQUET, PARTS = "survey.csv", "survey.parquet", "parts"
HEAD = ("file", "number", *COLUMNS)
_TEXTS = ("file", "title", "written", "key", "instrument", "error")
_WHOLE = ("number", *WHOLE)


@contextmanager
def opened(path: Path) -> Iterator[Folder]:
    """Give a survey's folder, its lock held, made if it is not there.

    Raises
    ------
    HarmonyError
        If there is something else in its place, or another survey goes on in it.
    """
    path = place_of(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise refused(path, trouble) from None
    with locked(path):
        yield Folder(path)


class Folder:
    """A survey's folder, made if it is not there.

    Attributes
    ----------
    kept : list of Carried
        Files that the user had edited, and the names under which they are kept.

    Raises
    ------
    HarmonyError
        If there is something else in its place.
    """

    def __init__(self, path: Path) -> None:
        self.path, self.parts = place_of(path), path / PARTS
        check_kind(path, KIND)
        self._hashes = {
            name: sha for name, sha in manifests.listed(path).items() if name != manifests.MANIFEST
        }
        try:
            self.parts.mkdir(parents=True, exist_ok=True)
            for left in (*self.parts.iterdir(), *path.iterdir()):
                if left.name.startswith(".") and left.name.endswith((".part", ".lock")):
                    # What a killed survey was just writing.
                    left.unlink(missing_ok=True)
        except OSError as trouble:
            raise refused(path, trouble) from None
        self.kept = [*self._edited()]

    def _edited(self) -> Iterator[Carried]:
        """Put aside what the user edited: a part is done anew, the table written anew."""
        for name, sha in self._hashes.items():
            path = self.path / name
            if sha and path.is_file() and (found := manifests.keep_aside(path, sha)):
                aside = path.with_name(found.name).relative_to(self.path).as_posix()
                yield Carried(name, aside, edited=True)

    def has(self, name: str) -> bool:
        """Whether a part is there."""
        return self._part(name).exists()

    def drop(self, name: str) -> None:
        """Remove a part, if it is there."""
        self._part(name).unlink(missing_ok=True)

    def put(self, name: str, rows: Iterable[Row]) -> None:
        """Write a part, whole or not at all."""
        lines = ([row[column] for column in COLUMNS] for row in rows)
        write_whole(self._part(name), csv_text(tuple(COLUMNS), lines))

    def rows(self, name: str) -> list[list[str]]:
        """Return the rows of a part as text.

        Raises
        ------
        HarmonyError
            If it is broken.
        """
        with self._part(name).open(encoding="utf-8", newline="") as file:
            head, *rows = [*csv.reader(file)] or [[]]
        if head != [*COLUMNS] or any(len(row) != len(head) for row in rows):
            broken = shown(self._part(name))
            raise HarmonyError(f"{broken} is broken", mend="remove it, and run again")
        return [[plain(cell) for cell in row] for row in rows]

    def begin(self, manifest: Manifest) -> None:
        """Note what is asked, unfinished."""
        self._note(manifest | {"finished": False})

    def finish(self, manifest: Manifest, rows: Iterable[Sequence[str]]) -> None:
        """Write the table, and note that it is whole."""
        lines = [*rows]
        self.write(TABLE, csv_text(HEAD, lines))
        if find_spec("pyarrow"):
            self._write_parquet()
        self._hashes |= {
            f"{PARTS}/{part.name}": manifests.file_hash(part)
            for part in sorted(self.parts.glob("*.csv"))
        }
        errors = sum(bool(line[-1]) for line in lines)
        self._note(manifest | {"rows": len(lines), "errors": errors, "finished": True})

    def write(self, name: str, data: bytes | str) -> None:
        """Write a file of the survey; one of that name that is not ours is kept beside it."""
        path = self.path / name
        try:
            path.parent.mkdir(exist_ok=True)
        except OSError as trouble:
            raise refused(path, trouble) from None
        kept = manifests.write_beside(path, data, self._hashes.get(name, ""))
        self.kept += [kept] if kept else []
        self._hashes[name] = manifests.file_hash(path)

    def add(self, files: Iterable[tuple[str, str]]) -> None:
        """Write more files into a folder whose survey is finished, and note them."""
        for name, text in files:
            self.write(name, text)
        self._note(read_manifest(self.path))

    def _part(self, name: str) -> Path:
        return self.parts / f"{name}.csv"

    def _note(self, manifest: Manifest) -> None:
        ours = {"made_by": manifests.MADE_BY, "kind": KIND, "format": manifests.FORMAT}
        files = {
            name: {"sha256": sha}
            for name, sha in sorted(self._hashes.items())
            if (self.path / name).is_file()
        }
        text = json.dumps(ours | manifest | {"files": files}, ensure_ascii=False, indent=1)
        write_whole(self.path / manifests.MANIFEST, text + "\n")

    def _write_parquet(self) -> None:
        buffer = io.BytesIO()
        read_table(self.path / TABLE).to_parquet(buffer, index=False)
        self.write(PARQUET, buffer.getvalue())


def read_manifest(path: Path) -> Manifest:
    """Return what a survey's folder says of itself; nothing where it is none."""
    manifest = read_any(path)
    return manifest if manifest.get("kind") == KIND else {}


def read_table(path: Path) -> pd.DataFrame:
    """Return a survey's table from its file; whole numbers stay whole where some are missing."""
    import pandas as pd

    names = pd.read_csv(path, nrows=0).columns
    kinds: Any = dict.fromkeys(_TEXTS, "str") | dict.fromkeys(_WHOLE, "Int64")
    # A tune may be called "NA": only an empty field is none.
    empty = {name: [""] for name in names if name not in _TEXTS}
    table = pd.read_csv(path, dtype=kinds, keep_default_na=False, na_values=empty)
    return table.assign(**{name: table[name].map(plain) for name in _TEXTS if name in names})
