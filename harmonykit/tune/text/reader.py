'''The text form of a tune: a TOML file that people write by hand.

The form, whole::

    format = 1
    title = "Ropewalk Round"
    key = "E minor"            # or "D minor", "Bb major", "F#m"
    meter = "3/4"              # or metre = "3/4"
    tempo = 96                 # quarter notes a minute; 120 where left out
    form = ["A", "A", "B"]     # sections in playing order; as written where left out
    pickup = 1                 # quarters of silence before the first bar; where left out, none
    style = "slow ballad"      # how it is strummed, in a few words, at choice
    composer = "..."           # these three at choice
    rights = "..."
    notes = "..."

    [[sections]]
    name = "A"
    phrases = [4]              # bars in each phrase, at choice; found by the music where left out
    changes = """
    | Em | F#7 | B7 / Am6 | Em |
    """
    melody = """
    | B4:3 | ...
    """
    words = """
    | Row | ...
    """

``harmonykit.tune.text.changes`` describes what stands in ``changes``,
``harmonykit.tune.text.melody`` what stands in ``melody`` and ``words`` (at choice; words may be a
list of several verses).
Numbers are exact; a string such as ``"3/2"`` does for a fraction.
'''

import difflib
import re
from decimal import Decimal
from fractions import Fraction
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.files.toml import check_line, read_toml
from harmonykit.files.toml_places import Address, TomlPlaces
from harmonykit.theory.key import Key
from harmonykit.tune.bar import DEFAULT_TEMPO, FASTEST, SLOWEST, Bar, Meter, TuneError
from harmonykit.tune.form import PICKUP, Section, phrases_fault, signs_fault
from harmonykit.tune.text import barlines, changes, melody
from harmonykit.tune.words import MOST_VERSES

FORMAT = 1
MOST_FORM = 200
MOST_PICKUP = 32

_TUNE_KEYS = {
    "format": int, "title": str, "key": str, "meter": str, "metre": str, "tempo": (int, Fraction),
    "form": list, "pickup": (int, Fraction, str), "composer": str, "rights": str, "notes": str,
    "style": str, "sections": list,
}  # fmt: skip
_SECTION_KEYS = {
    "name": str, "changes": str, "melody": str, "words": (str, list), "phrases": list,
}  # fmt: skip
# What a tune needs, each as it may be typed.
_TYPED = {
    "title": 'title = "My tune"', "key": 'key = "C"', "name": 'name = "A"',
    "changes": 'changes = "| C6 | Dm7 G7 |"',
    "sections": '[[sections]], and below it name = "A" and changes = "| C6 | Dm7 G7 |"',
}  # fmt: skip
_OWN_FORM = re.compile(r"^\s*(format\s*=|changes\s*=|\[\[)", re.M)
_PHRASES = "how many bars each phrase has; together as many as the section, without a pick-up"
_WORDS = {int: "a whole number", str: "a string", list: "a list", Fraction: "a number"}


def is_text_form(text: str) -> bool:
    """Return whether a text is the text form, by the keys that it needs.

    Examples
    --------
    >>> is_text_form("# my own\\nformat = 1"), is_text_form("| C6 | G7 |")
    (True, False)
    """
    return _OWN_FORM.search(text) is not None


def read_fields(source: str, name: str = "") -> dict[str, Any]:
    '''Read the fields of a tune from the text form; ``Tune.parse`` makes a tune of them.

    Parameters
    ----------
    source : str
        What stands in the file.
    name : str
        The file's name, for errors.

    Raises
    ------
    TuneError, HarmonyError
        With file, line, column and a caret.

    Examples
    --------
    >>> found = read_fields("""
    ... format = 1
    ... title = "Two bars"
    ... key = "C"
    ... meter = "4/4"
    ... [[sections]]
    ... name = "A"
    ... changes = "| C6 | Dm7 G7 |"
    ... """)
    >>> found["title"], len(found["sections"][0].bars)
    ('Two bars', 2)
    '''
    source = source.removeprefix("\ufeff").replace("\r\n", "\n")
    return _Reader(*read_toml(source, name, "the tune", TuneError, parse_float=_exact)).fields()


def _exact(text: str) -> Fraction:
    value = Decimal(text.replace("_", ""))
    if not value.is_finite() or abs(value.adjusted()) > 9 or len(text) > 30:
        raise ValueError(f"{text[:30]} is not a number that a tune can hold")
    return Fraction(value)


class _Reader:
    """Checks a table key by key; every error knows its place."""

    def __init__(self, table: dict[str, Any], places: TomlPlaces) -> None:
        self.table = table
        self.places = places

    def fields(self) -> dict[str, Any]:
        self._check_format()
        self._check(self.table, _TUNE_KEYS, ("title", "key", "sections"), ("", 0, ""))
        meter, tempo = self._meter(), self._tempo()
        sections, doubts = self._sections(meter)
        form = self._form([section.name for section in sections])
        if "pickup" in self.table:
            bar = Bar.of(meter, [], self._pickup())
            sections = [Section(PICKUP, (bar,)), *sections]
            form = [PICKUP, *form]
        if not any(c.chord for s in sections for bar in s.bars for c in bar.changes):
            raise TuneError("the tune has no chords", place=self.places.key(("sections", 0, "")))
        self._check_signs(sections)
        words = {key: self.table.get(key, "") for key in ("composer", "rights", "notes", "style")}
        unused = [s.name for s in sections if s.name not in form]
        doubts += [f"section {name} is never played" for name in unused]
        return {
            "title": self.table["title"], "key": self._key(), "meter": meter, "tempo": tempo,
            "sections": tuple(sections), "order": tuple(form),
            "doubts": tuple(dict.fromkeys(doubts)), **words,
        }  # fmt: skip

    def _check_signs(self, sections: list[Section]) -> None:
        fault = signs_fault([bar for section in sections for bar in section.bars])
        if fault is None:
            return
        for count, table in enumerate(self.table["sections"]):
            for found in re.finditer(r"\{([^{}]*)\}", table["changes"]):
                if barlines.sign_of(found[1]) == fault[0]:
                    place = self._where(count, "changes")(found.start())
                    raise TuneError(fault[1], place=place, mend="{segno}, {coda}, {fine} in a bar")

    def _check_format(self) -> None:
        number = self.table.get("format")
        if number == FORMAT and type(number) is int:
            return
        if type(number) is int and number > FORMAT:
            raise TuneError(
                f"the file is in format {number}",
                place=self.places.value(("", 0, "format")),
                rule=f"this version reads format {FORMAT}",
                mend="a newer version of harmonykit",
            )
        place = self.places.value(("", 0, "format"))
        raise TuneError("the file does not say its format", place=place, mend="format = 1")

    def _check(
        self,
        table: dict[str, Any],
        keys: dict[str, Any],
        needed: tuple[str, ...],
        address: Address,
    ) -> None:
        for key, value in table.items():
            here = (*address[:2], key)
            if key not in keys:
                near = difflib.get_close_matches(key, keys, 1)
                mend = near[0] if near else f"one of {', '.join(keys)}"
                raise TuneError(f"unknown key {key!r}", place=self.places.key(here), mend=mend)
            kinds = keys[key] if isinstance(keys[key], tuple) else (keys[key],)
            if not isinstance(value, kinds) or isinstance(value, bool):
                said = " or ".join(_WORDS[kind] for kind in kinds)
                what = f"{key} is {str(value)[:40]}"
                raise TuneError(what, place=self.places.value(here), rule=f"{key} is {said}")
        for key in needed:
            if key not in table:
                place = self.places.key(address)
                raise TuneError(f"{key} is missing", place=place, mend=_TYPED[key])
        for key in ("title", "name", "composer", "style"):
            if key in table:
                spot = self.places.key((*address[:2], key))
                check_line(table[key], key, spot, TuneError, needed=key in ("title", "name"))

    def _key(self) -> Key:
        try:
            return Key.parse(self.table["key"])
        except HarmonyError as error:
            raise error.at(self.places.value(("", 0, "key"))) from None

    def _meter(self) -> Meter:
        names = [name for name in ("meter", "metre") if name in self.table]
        if len(names) != 1:
            what = "the metre is given twice" if names else "meter is missing"
            place = self.places.key(("", 0, "metre"))
            raise TuneError(what, place=place, mend='meter = "4/4"')
        try:
            return changes.read_meter(self.table[names[0]])
        except TuneError as error:
            raise error.at(self.places.value(("", 0, names[0]))) from None

    def _tempo(self) -> float:
        tempo = self.table.get("tempo", DEFAULT_TEMPO)
        if not SLOWEST <= tempo <= FASTEST:
            place = self.places.value(("", 0, "tempo"))
            rule = f"quarter notes a minute, from {SLOWEST} to {FASTEST}"
            raise TuneError(f"a tempo of {float(tempo):g} is out of range", place=place, rule=rule)
        return float(tempo)

    def _pickup(self) -> Fraction:
        given = self.table["pickup"]
        try:
            length = Fraction(given) if len(str(given)) < 12 else Fraction(0)
        except (ValueError, ZeroDivisionError):
            length = Fraction(0)
        if not 0 < length <= MOST_PICKUP:
            place = self.places.value(("", 0, "pickup"))
            rule = f"more than 0, and at most {MOST_PICKUP} quarter notes"
            raise TuneError(f"a pick-up of {given} is out of range", place=place, rule=rule)
        return length

    def _form(self, names: list[str]) -> list[str]:
        form = self.table.get("form", names)
        place = self.places.value(("", 0, "form"))
        for name in form:
            if name not in names:
                near = difflib.get_close_matches(str(name), names, 1)
                mend = near[0] if near else ""
                rule = f"the sections are {', '.join(names)}"
                what = f"the form names {name!r}, which is not a section"
                raise TuneError(what, place=place, rule=rule, mend=mend)
        if not 0 < len(form) <= MOST_FORM:
            rule = f"1 to {MOST_FORM} sections"
            raise TuneError(f"a form of {len(form)} sections", place=place, rule=rule)
        return list(form)

    def _sections(self, meter: Meter) -> tuple[list[Section], list[str]]:
        found: list[Section] = []
        doubts: list[str] = []
        for count, table in enumerate(self.table["sections"]):
            address = ("sections", count, "")
            if not isinstance(table, dict):
                rule = "[[sections]], then name and changes"
                raise TuneError(
                    "a section is not a table", place=self.places.key(address), rule=rule
                )
            self._check(table, _SECTION_KEYS, ("name", "changes"), address)
            bars, more = self._bars(table, count, meter)
            taken = [section.name for section in found] + [PICKUP] * ("pickup" in self.table)
            if table["name"] in taken:
                place = self.places.value(("sections", count, "name"))
                raise TuneError(f"two sections are named {table['name']!r}", place=place)
            phrases = self._phrases(table, count)
            found.append(Section(table["name"], bars, phrases))
            if fault := phrases_fault(found[-1]):
                place = self.places.value(("sections", count, "phrases"))
                raise TuneError(fault, place=place, rule=_PHRASES, mend="phrases = [4, 4]")
            doubts += more
        return found, doubts

    def _phrases(self, table: dict[str, Any], count: int) -> tuple[int, ...]:
        given = table.get("phrases", [])
        if any(type(length) is not int for length in given):
            place = self.places.value(("sections", count, "phrases"))
            raise TuneError(
                "a phrase length is not a whole number",
                place=place,
                rule=_PHRASES,
                mend="phrases = [4, 4]",
            )
        return tuple(given)

    def _bars(
        self, table: dict[str, Any], count: int, meter: Meter
    ) -> tuple[tuple[Bar, ...], tuple[str, ...]]:
        where = self._where(count, "changes")
        bars, doubts = changes.read_changes(table["changes"], meter, where)
        if not bars:
            raise TuneError(f"section {table['name']!r} has no bars", place=where(0))
        if "melody" in table:
            bars = melody.read_melody(table["melody"], bars, self._where(count, "melody"))
        if "words" in table:
            bars = self._words(table, count, bars)
        return bars, doubts

    def _words(self, table: dict[str, Any], count: int, bars: tuple[Bar, ...]) -> tuple[Bar, ...]:
        """Return the bars with the words of all verses."""
        given, where = table["words"], self._where(count, "words")
        verses = given if isinstance(given, list) else [given]
        if len(verses) > MOST_VERSES or not all(isinstance(verse, str) for verse in verses):
            rule = f"a text, or a list of texts, {MOST_VERSES} verses at most"
            raise TuneError("the words are not text", place=where(0), rule=rule)
        read = melody.read_words if any(bar.melody for bar in bars) else melody.read_lyric
        for number, verse in enumerate(verses, 1):
            if verse.strip():
                bars = read(verse, number, bars, self._where(count, "words", number - 1))
        return bars

    def _where(self, count: int, key: str, item: int = 0) -> barlines.Where:
        return lambda index: self.places.within(("sections", count, key), index, item)
