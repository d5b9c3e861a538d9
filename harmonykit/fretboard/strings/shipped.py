"""The instruments that can be called by name: ``data/instruments.toml``, read once.

The file carries ``format = 1`` and a list of tables ``instrument``, with the keys ``name``,
``strings`` (as ``tuning`` reads them), ``scale_mm``, ``frets`` and ``family``; and, where they are
wanted, ``also`` (other names), ``source``, ``capo``, ``left_handed`` and ``material`` (of the
strings: ``"nylon"``, where it is not given, or ``"steel"``).
"""

import difflib
import re
from functools import lru_cache
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError, Place, need_text
from harmonykit.files.toml import read_toml_file
from harmonykit.fretboard.strings.neck import Neck
from harmonykit.fretboard.strings.tuning import read_tuning
from harmonykit.paths import data_dir

_FORMAT = 1
_KEYS: dict[str, type | tuple[type, ...]] = {
    "name": str,
    "strings": str,
    "scale_mm": (int, float),
    "frets": int,
    "family": str,
}
_OPTIONS: dict[str, tuple[type, str]] = {
    "source": (str, "a text"),
    "capo": (int, "a fret"),
    "left_handed": (bool, "true or false"),
    "material": (str, '"nylon" or "steel"'),
}


def read_instruments(path: Path) -> dict[str, Neck]:
    """Return the instruments of a file by every name that they have, in the file's order.

    Raises
    ------
    HarmonyError
        If the file cannot be read, is of another format, or an instrument in it is wrong.

    Examples
    --------
    >>> list(read_instruments(data_dir() / "instruments.toml"))[0]
    'ukulele'
    """
    table, _ = read_toml_file(path, "the list of instruments")
    place = Place(path.name)
    if table.get("format") != _FORMAT:
        raise HarmonyError(
            f"the format is {table.get('format')!r}", place=place, rule=f"format = {_FORMAT}"
        )
    entries = table.get("instrument", [])
    if not isinstance(entries, list):
        raise HarmonyError(
            "instrument is not a list of tables", place=place, mend="[[instrument]] before each"
        )
    named: dict[str, Neck] = {}
    for entry in entries:
        instrument = _build(entry, place)
        for name in (instrument.name, *entry.get("also", [])):
            named.setdefault(_plain(name), instrument)
    return named


def _build(entry: Any, place: Place) -> Neck:
    if not isinstance(entry, dict):
        raise HarmonyError("an instrument is a table", place=place, mend="[[instrument]]")
    wrong, rule = _wrong_key(entry)
    if wrong:
        name = entry.get("name", "an instrument")
        raise HarmonyError(f"{name!r}: {wrong}", place=place, rule=rule)
    parts = {key: entry[key] for key in _KEYS if key != "strings"}
    try:
        strung = read_tuning(entry["strings"])
        return Neck(
            strings=strung.strings,
            doubles=strung.doubles,
            starts=strung.starts,
            source=entry.get("source", ""),
            left_handed=entry.get("left_handed", False),
            material=entry.get("material", "nylon"),
            **parts,
        ).with_capo(entry.get("capo", 0))
    except HarmonyError as error:
        raise error.at(place) from None


def _wrong_key(entry: dict[str, Any]) -> tuple[str, str]:
    """Return what is wrong with an instrument's keys and the rule; two empty texts if nothing."""
    for key, kind in _KEYS.items():
        if not isinstance(entry.get(key), kind):
            return f"{key} is {entry.get(key)!r}", f"each instrument has {', '.join(_KEYS)}"
    also = entry.get("also", [])
    if not isinstance(also, list) or not all(isinstance(name, str) for name in also):
        return f"also is {also!r}", "also is a list of names"
    for option, (kind, rule) in _OPTIONS.items():
        if option in entry and type(entry[option]) is not kind:
            return f"{option} is {entry[option]!r}", f"{option} is {rule}"
    keys = [*_KEYS, "also", *_OPTIONS]
    unknown = sorted(set(entry) - set(keys))
    if unknown:
        return f"unknown key {unknown[0]!r}", f"the keys are {', '.join(keys)}"
    return "", ""


@lru_cache(maxsize=1)
def _shipped() -> dict[str, Neck]:
    return read_instruments(data_dir() / "instruments.toml")


def _plain(name: str) -> str:
    return " ".join(re.split(r"[\s_-]+", name.strip().casefold()))


def names() -> tuple[str, ...]:
    """Return the first name of each shipped instrument, in the file's order.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> "guitar" in hk.fretboard.instruments()
    True
    """
    return tuple(dict.fromkeys(instrument.name for instrument in _shipped().values()))


# Open strings without their octaves.
_LETTERS = re.compile(
    r"\s*(?:[A-G][#b♯♭]?[\s,-]*){3,10}|\s*[a-g][#b♯♭]?(?:[\s,-]*[A-G][#b♯♭]?){2,9}"
)


def find_neck(name: str) -> Neck:
    """Return a shipped instrument by one of its names; case and hyphens do not matter.

    Raises
    ------
    HarmonyError
        If there is none such; the message lists the names, near ones first.
    """
    need_text(name, "the name of an instrument", '"ukulele"')
    found = _shipped().get(_plain(name)) or _in_any_order(name)
    if found is not None:
        return found
    if _LETTERS.fullmatch(name):
        raise HarmonyError(
            f"unknown instrument {name!r}",
            rule="open strings are written with their octaves",
            mend='"D4 F#4 A4 D5" for D F# A D',
        )
    near = difflib.get_close_matches(_plain(name), list(_shipped()), n=3, cutoff=0.5)
    raise HarmonyError(
        f"unknown instrument {name!r}",
        rule=f"the names are {', '.join(names())}",
        mend=", ".join(near) or 'its strings, one by one: "G4 C4 E4 A4"',
    )


def _in_any_order(name: str) -> Neck | None:
    """Return the instrument one of whose names has the same words, as a "low g tenor" has."""
    words = sorted(_plain(name).split())
    return next(
        (neck for known, neck in _shipped().items() if sorted(known.split()) == words), None
    )


def nearest_neck(midi: tuple[int, ...]) -> Neck:
    """Return the shipped instrument that is strung most like some open strings.

    The same number of strings counts first, then how far the lowest is away, then all of them;
    of equals the first in the file is taken.

    Examples
    --------
    >>> nearest_neck((38, 45, 50, 55, 59, 62)).name
    'guitar drop D'
    """
    lowest, ordered = min(midi), sorted(midi)

    def unlike(known: Neck) -> tuple[int, int, int]:
        more = abs(len(known.midi) - len(midi))
        pairs = () if more else zip(sorted(known.midi), ordered, strict=True)
        return more, abs(min(known.midi) - lowest), sum(abs(a - b) for a, b in pairs)

    return min(_shipped().values(), key=unlike)
