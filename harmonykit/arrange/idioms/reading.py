"""Idioms read from TOML: the shipped table and a user's own, each fault with its place.

A file has ``[[idiom]]`` tables with the keys of ``Idiom``.  ``before``, ``stands`` and
``not_after`` are texts of numerals, separated by spaces, ``after`` a list of such texts, one for
each chord of ``before``.
"""

import difflib
from collections.abc import Callable, Mapping
from functools import cache, lru_cache, partial
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from harmonykit.arrange.idioms.idiom import FIELD, PLACES, TIMINGS, Idiom
from harmonykit.arrange.idioms.numeral import Choice, parse_choice, text_of
from harmonykit.errors import HarmonyError, Place, wrong_kind
from harmonykit.evidence.kinds import STYLES
from harmonykit.files import toml
from harmonykit.files.file import read_text
from harmonykit.files.toml import check_line, toml_string, toml_strings
from harmonykit.files.toml_places import Address, TomlPlaces
from harmonykit.theory.degree import Degree
from harmonykit.theory.key import MODES
from harmonykit.words.former import plain

MOST_IDIOMS, MOST_CHORDS, MOST_BARS = 200, 16, 8
MOST_NAME, MOST_TEXT = 60, 300
OWN_FILE = "idioms.toml"
BESIDE = f"with the idioms of {OWN_FILE}, beside the tune"
"""The name of a user's own file, in the folder of the tune."""

if TYPE_CHECKING:
    IDIOMS: Mapping[str, Idiom]
    """The idioms that ship, by name."""

_TABLE = Path(__file__).with_name("idioms.toml")
_WORDS = {
    "mode": ("", *MODES),
    "style": ("", *STYLES),
    "where": tuple(PLACES),
    "timing": TIMINGS,
    "layer": ("skeleton",),
}
_TEXTS = ("name", "means", "reason", "source", *_WORDS)
_ROWS = ("before", "stands", "not_after")
_SWITCHES = ("any_key", "bass", "prepared", "line")
_KEYS = (*_TEXTS, *_ROWS, "after", *_SWITCHES, "bars")


def read_idioms(path: str | Path) -> Mapping[str, Idiom]:
    """Return the idioms of a file, by name.

    Parameters
    ----------
    path : str or Path
        A TOML file of ``[[idiom]]`` tables, of at most 200 idioms; ``idioms.toml`` beside a tune
        is found by ``harmonykit idioms``.

    Returns
    -------
    mapping of str to Idiom

    Raises
    ------
    HarmonyError
        With the place in the file, if a key is unknown or a value is not what it must be.

    Examples
    --------
    >>> hk.arrange.read_idioms("nowhere.toml")
    Traceback (most recent call last):
    harmonykit.errors.HarmonyError: missing file 'nowhere.toml'
      try: the path of an existing file
    """
    if not isinstance(path, str | Path):
        raise wrong_kind(path, "the path of a file of idioms", f'"{OWN_FILE}"')
    return parse_idioms(read_text(Path(path), toml.MOST_BYTES), Path(path).name)


@lru_cache(maxsize=8)
def parse_idioms(text: str, name: str = OWN_FILE) -> Mapping[str, Idiom]:
    """Return the idioms of a file's text, by name; what ``read_idioms`` refuses is refused.

    Examples
    --------
    >>> parse_idioms("[[idiom]]")
    Traceback (most recent call last):
    harmonykit.errors.HarmonyError: missing name
      where: idioms.toml, line 1, column 3
          [[idiom]]
            ^
      rule: an idiom has a name and a meaning
      try: name = "my own words"
    """
    table, places = toml.read_toml(text, name, "the file of idioms")
    rows = table.get("idiom", [])
    extra = [key for key in table if key != "idiom"]
    if extra or not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        key = extra[0] if extra else "idiom"
        raise HarmonyError(
            f"{key!r} is not a table of idioms",
            place=places.key(("", 0, key)),
            rule="a file of idioms has [[idiom]] tables",
            mend="[[idiom]]",
        )
    if not 0 < len(rows) <= MOST_IDIOMS:
        raise HarmonyError(
            f"{len(rows)} idioms",
            place=Place(name),
            rule=f"a file has 1 to {MOST_IDIOMS} idioms",
            mend="[[idiom]]",
        )
    found: dict[str, Idiom] = {}
    for index, row in enumerate(rows):
        idiom = _Reader(row, places, index).idiom()
        if plain(idiom.name) in map(plain, found):
            raise HarmonyError(
                f"two idioms are named {idiom.name!r}",
                place=places.value(("idiom", index, "name")),
                rule="each has a name of its own",
            )
        found[idiom.name] = idiom
    return MappingProxyType(found)


def idioms_beside(tune: Path) -> Mapping[str, Idiom] | None:
    """Return the idioms of the user's own file beside a tune's; ``None`` where there is no file."""
    path = tune.parent / OWN_FILE
    return read_idioms(path) if path.is_file() else None


def text_beside(tune: Path) -> str:
    """Return the text of the user's own idioms beside a tune's file, if there are any."""
    path = tune.parent / OWN_FILE
    return read_text(path, toml.MOST_BYTES) if path.is_file() else ""


class _Reader:
    """One table of a file."""

    def __init__(self, row: dict[str, Any], places: TomlPlaces, index: int) -> None:
        self.row, self.places, self.index = row, places, index

    def idiom(self) -> Idiom:
        for key in self.row:
            if key not in _KEYS:
                near = difflib.get_close_matches(key, _KEYS, 1) or ["name"]
                raise self._wrong(key, f"unknown key {key!r}", ", ".join(_KEYS), near[0])
        fields: dict[str, Any] = {key: self._text(key) for key in _TEXTS if key in self.row}
        for key in ("name", "means"):
            if not fields.get(key):
                raise self._wrong(
                    key,
                    f"missing {key}",
                    "an idiom has a name and a meaning",
                    f'{key} = "my own words"',
                )
        fields |= {key: self._numerals(key) for key in _ROWS if key in self.row}
        fields |= {key: self._switch(key) for key in _SWITCHES if key in self.row}
        if "bars" in self.row:
            fields["bars"] = self._bars()
        if "after" in self.row:
            fields["after"] = self._after(fields.get("before", ()))
        elif "before" in self.row:
            raise self._wrong(
                "before",
                '"before" without "after"',
                '"after" gives the chords that replace those of "before"',
                'after = ["ii7 V7"]',
            )
        found = Idiom(**fields)
        if not found.stands:
            if not found.after:
                raise self._wrong(
                    "name",
                    "an idiom without chords",
                    '"stands" has the chords to find; "before" the old ones, "after" the new ones',
                    'stands = "ii7 V7 I"',
                )
            found = Idiom(**fields | {"stands": found.row})
        self._check_reason(found)
        return found

    def _address(self, key: str) -> Address:
        return "idiom", self.index, key

    def _wrong(self, key: str, what: str, rule: str, mend: str = "") -> HarmonyError:
        return HarmonyError(what, place=self.places.value(self._address(key)), rule=rule, mend=mend)

    def _text(self, key: str) -> str:
        text = self.row[key]
        if not isinstance(text, str):
            raise self._wrong(key, f"{key} is {text!r}", "a text", f'{key} = "..."')
        if not text.isprintable():
            check_line(text, key, self.places.value(self._address(key)), HarmonyError)
        most = MOST_NAME if key == "name" else MOST_TEXT
        if len(text) > most:
            raise self._wrong(key, f"{key} has {len(text)} characters", f"{most} at most")
        if key in _WORDS and text not in _WORDS[key]:
            known = [word for word in _WORDS[key] if word]
            near = difflib.get_close_matches(text, known, 1) or known
            raise self._wrong(
                key, f"unknown {key} {text!r}", ", ".join(known), f'{key} = "{near[0]}"'
            )
        return text

    def _switch(self, key: str) -> bool:
        value = self.row[key]
        if not isinstance(value, bool):
            raise self._wrong(key, f"{key} is {value!r}", "true or false", f"{key} = true")
        return value

    def _bars(self) -> int:
        value = self.row["bars"]
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= MOST_BARS:
            raise self._wrong(
                "bars", f"bars is {value!r}", f"a whole number from 0 to {MOST_BARS}", "bars = 2"
            )
        return value

    def _numerals(self, key: str) -> tuple[Choice, ...]:
        text = self.row[key]
        if not isinstance(text, str):
            row = text if isinstance(text, list) and all(isinstance(t, str) for t in text) else []
            mend = f"{key} = {toml_string(' '.join(row) or 'ii7 V7 I')}"
            raise self._wrong(key, f"{key} is {text!r}", "numerals, separated by spaces", mend)
        return self._choices(text, partial(self._inside, self._address(key), 0))

    def _inside(self, address: Address, item: int, at: int) -> Place:
        return self.places.within(address, at, item)

    def _choices(self, text: str, place: Callable[[int], Place]) -> tuple[Choice, ...]:
        words = text.split()
        if not 0 < len(words) <= MOST_CHORDS:
            raise HarmonyError(
                f"a row of {len(words)} chords", place=place(0), rule=f"1 to {MOST_CHORDS} chords"
            )
        found, start = [], 0
        for word in words:
            start = text.index(word, start)
            try:
                found.append(parse_choice(word))
            except HarmonyError as error:
                raise error.at(place(start)) from None
            start += len(word)
        return tuple(found)

    def _after(self, before: tuple[Choice, ...]) -> tuple[tuple[Choice, ...], ...]:
        rows = self.row["after"]
        if not isinstance(rows, list) or not all(isinstance(each, str) for each in rows):
            raise self._wrong(
                "after",
                f"after is {rows!r}",
                'a list with one text for each chord of "before"',
                'after = ["ii7 V7"]',
            )
        if len(rows) != len(before):
            raise self._wrong(
                "after",
                f'"after" has {len(rows)} texts, "before" has {len(before)} chords',
                'one text for each chord of "before"',
                f"after = {toml_strings(self.row['before'].split())}",
            )
        address = self._address("after")
        found = tuple(
            self._choices(text, partial(self._inside, address, item))
            for item, text in enumerate(rows)
        )
        known = set(map(text_of, before))
        for group in found:
            shares = [each[0].share for each in group]
            if any(shares) and not all(shares):
                raise self._wrong(
                    "after",
                    "some chords of the text have a share of time and others do not",
                    "either all of them have one, or none",
                )
            for choice in group:
                if len(choice) > 1 and text_of(choice) not in known:
                    raise self._wrong(
                        "after",
                        f"{text_of(choice)!r} gives a choice of chords",
                        'one numeral, or a choice that is also in "before"',
                        choice[0].text,
                    )
        if all(
            len(group) == 1 and text_of(group[0]) == text_of(old)
            for group, old in zip(found, before, strict=True)
        ):
            raise self._wrong(
                "after",
                '"after" has the same chords as "before"',
                "at least one chord must change",
            )
        return found

    def _check_reason(self, idiom: Idiom) -> None:
        if idiom.after and not idiom.reason:
            raise self._wrong(
                "reason",
                "missing reason",
                "one sentence; {2} is the second chord of the new row",
                'reason = "{1} resolves to {2}"',
            )
        lengths = {"": len(idiom.row), "was ": len(idiom.before)}
        for found in FIELD.finditer(idiom.reason):
            if not 0 < int(found[2]) <= lengths[found[1] or ""]:
                raise self._wrong(
                    "reason",
                    f"{found[0]} is beyond the last chord",
                    f"chords are numbered from 1 to {lengths[found[1] or '']}",
                )
            if found[3]:
                Degree.parse(found[3])
        rest = FIELD.sub("", idiom.reason)
        if "{" in rest or "}" in rest:
            raise self._wrong(
                "reason",
                "a brace does not name a chord or note",
                "{2} is a chord of the new row, {was 2} of the old one, {2:b7} a note",
                "{1}",
            )


@cache
def shipped() -> Mapping[str, Idiom]:
    """Return the idioms that ship, by name; they are read when the first is asked for."""
    return read_idioms(_TABLE)


def __getattr__(name: str) -> Mapping[str, Idiom]:
    """Give ``IDIOMS``."""
    if name != "IDIOMS":
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return shipped()
