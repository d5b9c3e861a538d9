"""What a user sets and types: as a value, as a line to be handed on, and in a file that is kept.

A kernel that dies takes its memory with it; what was typed is then still in the file.  The file
is JSON, stands beside the notebook, and is made when there is something to keep::

    {"format": 1, "made_by": "harmonykit", "kind": "reharmonise", "typed": {"tune": "..."}}

A file that cannot be read (of a later format, or broken) is moved aside, never written over.  Two
pages may keep their text under one name: if another page wrote to the file meanwhile, this one goes
on in a file of its own, ``NAME-2.json``, and says so; both texts stay.

A state is a frozen dataclass whose fields all have defaults.  As text it is the panel's kind, the
number of the form (1), then each field that differs from its default: ``"clock 1; notes=0369;
axes=yes"``.  A field is a truth value (``yes`` or ``no``), a whole number, a word, a row of words,
or a set of pitch classes in the set-theory books' digits.
"""

import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any, TypeVar

from harmonykit.errors import HarmonyError
from harmonykit.files import file, lock, read_text, refused, shown, write_whole
from harmonykit.theory.sets.pcset import PcSet

FORMAT = 1
MADE_BY = "harmonykit"
MOST_BYTES = 4_000_000


class Keep:
    """A file with what was typed, by the names of the places where it was typed.

    Parameters
    ----------
    path : str or Path
        Made when something is first put in.
    kind : str
        What kind of page it is for; a file of another kind is not taken.

    Attributes
    ----------
    trouble : str
        What is to be said of the file: what was wrong with it and where it now is, that another
        page wrote to it, or that there is one of another page; or nothing.

    Examples
    --------
    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "kept.json"
    >>> _ = Keep(path, "trial").put(tune="| C6 |", bars="4")
    >>> Keep(path, "trial")["tune"]
    '| C6 |'
    """

    def __init__(self, path: str | Path, kind: str) -> None:
        self.path, self.kind, self.trouble = Path(path), kind, ""
        self._typed: dict[str, str] = {}
        if self.path.exists():
            with lock.locked(self.path, lock.WAIT):
                file.sweep(self.path)
                self._find()
        self._look_beside()

    def __getitem__(self, name: str) -> str:
        return self._typed[name]

    def __contains__(self, name: object) -> bool:
        return name in self._typed

    def __iter__(self) -> Iterator[str]:
        return iter(self._typed)

    def get(self, name: str, otherwise: str = "") -> str:
        """Return what was typed at a place, or something else where nothing was."""
        return self._typed.get(name, otherwise)

    def put(self, **typed: str) -> str:
        """Keep what was typed; the file is written whole, and only where something changed.

        Returns
        -------
        str
            What is to be said of it: that another page wrote to the file meanwhile.

        Raises
        ------
        HarmonyError
            If the file cannot be written, or would be larger than 4 million bytes.
        """
        fresh = {**self._typed, **typed}
        if fresh == self._typed:
            return ""
        data = _written(self.kind, fresh)
        if len(data) > MOST_BYTES:
            raise HarmonyError(f"{shown(self.path.name)} would be too large to be read again")
        with lock.locked(self.path, lock.WAIT):
            said = self._yield_to_another(fresh)
            write_whole(self.path, data)
        self._typed = fresh
        return said

    def clear(self) -> None:
        """Forget all, and remove the file, unless another page wrote to it."""
        with lock.locked(self.path, lock.WAIT):
            if self.path.exists() and self._there() == self._typed:
                self.path.unlink()
        self._typed = {}

    def _yield_to_another(self, fresh: Mapping[str, str]) -> str:
        """Take another name where the file holds what was never seen here; say so."""
        if not self.path.exists() or self._there() in (self._typed, fresh):
            return ""
        other, self.path = self.path, lock.free_name(self.path, "-", 2)
        self.trouble = (
            f"another page wrote to {shown(other.name)}: its text stays there, "
            f"and what is typed here is kept in {shown(self.path.name)}"
        )
        return self.trouble

    def _there(self) -> dict[str, str] | None:
        try:
            return _read(self.path, self.kind)
        except HarmonyError:
            return None

    def _find(self) -> None:
        if not self.path.exists():
            # Another page moved it just now.
            return
        try:
            self._typed = _read(self.path, self.kind)
        except HarmonyError as error:
            aside = lock.free_name(self.path, ".unread-")
            try:
                self.path.rename(aside)
            except OSError as trouble:
                raise refused(aside, trouble) from None
            self.trouble = f"{error.what}; it is kept as {shown(aside.name)}"

    def _look_beside(self) -> None:
        """Say which files of other pages there are that hold another text."""
        beside = self.path.with_name(f"{self.path.stem}-2{self.path.suffix}")
        try:
            other = _read(beside, self.kind) if beside.is_file() else self._typed
        except HarmonyError:
            return
        if other != self._typed and not self.trouble:
            self.trouble = f"{shown(beside.name)} holds the text of another page"


def _written(kind: str, typed: Mapping[str, str]) -> bytes:
    values = {"format": FORMAT, "made_by": MADE_BY, "kind": kind, "typed": dict(typed)}
    return (json.dumps(values, ensure_ascii=False, indent=1) + "\n").encode()


def _read(path: Path, kind: str) -> dict[str, str]:
    try:
        values: Any = json.loads(read_text(path, MOST_BYTES))
    except (ValueError, RecursionError):
        raise HarmonyError(f"{path.name} cannot be read: it is not JSON") from None
    head = {"format": FORMAT, "made_by": MADE_BY, "kind": kind}
    if not isinstance(values, dict) or any(values.get(key) != head[key] for key in head):
        raise HarmonyError(f"{path.name} is not a file of this page (kind {kind}, format {FORMAT})")
    typed = values.get("typed")
    if not isinstance(typed, dict) or not all(isinstance(each, str) for each in typed.values()):
        raise HarmonyError(f"{path.name} holds nothing that was typed")
    return typed


FORM = 1
# Far more than any state needs: a line of text comes from anywhere.
_LONGEST = 2_000
State = TypeVar("State")


def write_state(kind: str, state: Any) -> str:
    """Return a state as one line of text.

    Examples
    --------
    >>> from harmonykit.workbook.panels.clock import ClockState
    >>> write_state("clock", ClockState(PcSet.of(0, 3, 6, 9), axes=True))
    'clock 1; notes=0369; axes=yes'
    """
    default = type(state)()
    changed = [
        f"{field.name}={_as_text(getattr(state, field.name))}"
        for field in fields(state)
        if getattr(state, field.name) != getattr(default, field.name)
    ]
    return "; ".join([f"{kind} {FORM}", *changed])


def read_state(kind: str, blank: State, text: str) -> State:
    """Return the state that a line of text stands for.

    Parameters
    ----------
    kind : str
        What kind of panel it must be for.
    blank : State
        A state with all defaults.
    text : str

    Raises
    ------
    HarmonyError
        If the line is for another panel, or names a field or a value that there is not.

    Examples
    --------
    >>> from harmonykit.workbook.panels.clock import ClockState
    >>> read_state("clock", ClockState(), "clock 1; notes=047").notes
    PcSet.of(0, 4, 7)
    """
    head, *parts = text.strip()[:_LONGEST].split(";")
    if head.split() != [kind, str(FORM)]:
        raise HarmonyError(
            f"{text.strip()[:60]!r} is not a saved line of a {kind} panel",
            rule=f"a saved line begins with {kind} {FORM}",
            mend=write_state(kind, blank),
        )
    values: dict[str, Any] = {}
    for part in parts:
        name, _, written = part.partition("=")
        values[name.strip()] = _field(blank, name.strip(), written.strip())
    return type(blank)(**values)


_LINE = re.compile(r"""\s*hk\.workbook\.\w+\.from_text\((["'])(.*)\1\)\s*""")


def write_line(panel: str, state: str) -> str:
    """Return what opens a panel in a state, as a line of a notebook.

    Examples
    --------
    >>> print(write_line("ClockPanel", "clock 1; notes=047"))
    hk.workbook.ClockPanel.from_text("clock 1; notes=047")
    """
    return f"hk.workbook.{panel}.from_text({json.dumps(state, ensure_ascii=False)})"


def state_in(line: str) -> str:
    """Return the state that such a line has in it; a state itself is given back.

    Examples
    --------
    >>> state_in('hk.workbook.ClockPanel.from_text("clock 1; notes=047")')
    'clock 1; notes=047'
    """
    found = _LINE.fullmatch(line)
    return found[2] if found else line


def _field(blank: Any, name: str, written: str) -> Any:
    names = [field.name for field in fields(blank)]
    if name not in names:
        raise HarmonyError(f"unknown setting {name!r}", mend=", ".join(names))
    old = getattr(blank, name)
    try:
        return _READERS[type(old)](written)
    except (ValueError, KeyError):
        raise HarmonyError(
            f"{name}={written!r} cannot be read", mend=f"{name}={_as_text(old)}"
        ) from None


def _as_text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " ".join(map(str, value))
    return str(value)


def _words(written: str) -> tuple[str, ...]:
    return tuple(written.split())


def _truth(written: str) -> bool:
    return {"yes": True, "no": False}[written]


_READERS: dict[type, Callable[[str], Any]] = {
    bool: _truth,
    int: int,
    str: str,
    tuple: _words,
    PcSet: PcSet.parse,
}
