"""What a panel's controls set, as a value and as one line of text that can be handed on.

A state is a frozen dataclass whose fields all have defaults.  As text it is the panel's kind, the
number of the form (1), then each field that differs from its default: ``"clock 1; notes=0369;
axes=yes"``.  A field is a truth value (``yes`` or ``no``), a whole number, a word, a row of words,
or a set of pitch classes in the set-theory books' digits.
"""

from collections.abc import Callable
from dataclasses import fields
from typing import Any, TypeVar

from harmonykit.errors import HarmonyError
from harmonykit.theory.sets.pcset import PcSet

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
        f"{field.name}={_written(getattr(state, field.name))}"
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
            rule=f"it begins with {kind} {FORM}",
            mend=write_state(kind, blank),
        )
    values: dict[str, Any] = {}
    for part in parts:
        name, _, written = part.partition("=")
        values[name.strip()] = _field(blank, name.strip(), written.strip())
    return type(blank)(**values)


def _field(blank: Any, name: str, written: str) -> Any:
    names = [field.name for field in fields(blank)]
    if name not in names:
        raise HarmonyError(f"unknown setting {name!r}", mend=", ".join(names))
    old = getattr(blank, name)
    try:
        return _READERS[type(old)](written)
    except (ValueError, KeyError):
        raise HarmonyError(
            f"{name}={written!r} cannot be read", mend=f"{name}={_written(old)}"
        ) from None


def _written(value: Any) -> str:
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
