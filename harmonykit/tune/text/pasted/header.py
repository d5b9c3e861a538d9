"""What is known of the whole tune of a message: beforehand, and by its words."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from harmonykit.errors import HarmonyError, wrong_kind
from harmonykit.theory.given import as_key
from harmonykit.theory.key import Key
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect
from harmonykit.tune.bar import FASTEST, SLOWEST, Meter
from harmonykit.tune.text.changes import read_meter

_TONIC = r"(?P<{name}>{letters}(?:[#♯b♭]|[ -]?(?:flat|sharp)\b)?)"
_CHURCH_MODES = {
    **dict.fromkeys("ionian lydian mixolydian ionisch lydisch mixolydisch".split(), "major"),
    **dict.fromkeys("dorian phrygian aeolian locrian".split(), "minor"),
    **dict.fromkeys("dorisch phrygisch äolisch lokrisch".split(), "minor"),
    **dict.fromkeys("lidio misolidio mixolidio lydien mixolydien".split(), "major"),
    **dict.fromkeys("dórico dorico frigio dorien phrygien eolio éolien".split(), "minor"),
}
_MODE = (
    r"(?:[ -]*(?P<{name}>(?i:major|minor|maj|min|dur|moll|m|"
    + "|".join(_CHURCH_MODES)
    + r"))\b)?(?![A-Za-z])"
)
_KEY_WORD = r"\b(?:key|tonart|tonalit[éày]\w*|tonalidad|tono)\b"
KEY_LABEL = re.compile(r"\W*" + _KEY_WORD + r"\s*[:=]\s*", re.I)
_SAID_KEY = re.compile(_KEY_WORD + r"\s*[:=]\s*([^\s,;|][^,;|]*)", re.I)
_NAMED_KEY = re.compile(
    _KEY_WORD
    + r"(?:\s+(?:of|is))?\s*[:=]?\s*"
    + _TONIC.format(name="tonic", letters="[A-G]")
    + _MODE.format(name="mode"),
    re.I,
)
# "in B flat" is a key where a capital says so, at the end of a short line.
_IN_KEY = re.compile(
    r"\b[iI]n "
    + _TONIC.format(name="tonic", letters="[A-G]")
    + _MODE.format(name="mode")
    + r"(?=\s*(?:$|[,.:;)(!]))"
)
_MOST_KEY_WORDS = 8
_MODES = {"dur": "major", "moll": "minor", **_CHURCH_MODES}
_METER = re.compile(r"(?<![\d/.])(?:[2-79]|12)\s?/\s?(?:4|8)(?![\d/.]\d|\d)|(?<!\d)[23]/2(?![\d/])")
_DANCES: dict[str, Meter] = {
    "waltz": (3, 4), "walzer": (3, 4), "valse": (3, 4), "vals": (3, 4), "valzer": (3, 4),
    "in three": (3, 4), "in 3": (3, 4), "three-four": (3, 4), "cut time": (2, 2),
    "alla breve": (2, 2), "jig": (6, 8),
}  # fmt: skip
_DANCE = re.compile(rf"\b({'|'.join(_DANCES)})\b", re.I)
_TEMPO = re.compile(
    r"(?:\btempo|\bbpm|[♩𝅘])\W{0,4}(\d{2,3})\b|\b(\d{2,3})\s?bpm\b"
    # "(waltz, around 96)": a number after such a word, in brackets.
    r"|(?<=[(\[,;])\s*(?:around|about|roughly|at|circa|ca\.?)\s(\d{2,3})\s*(?=[)\],;])",
    re.I,
)
_TITLE = re.compile(
    r"^\W*(?:title|tune|song|titel|titre|t[íi]tulo|titolo)\s*[:=]\s*(\S.*?)\W*$", re.I
)
_QUOTED = re.compile(r"\"([^\"|]{2,60})\"")
_CAPO = re.compile(
    r"\b(?:capo|kapo|capodaster|kapodaster|cejilla)\b[^\d\n|]{0,16}?(\d{1,2}|[IVX]{1,4}\b)"
    r"|\b(\d{1,2})(?:st|nd|rd|th)? fret capo\b",
    re.I,
)
_ROMAN = {
    "I": 1,
    "II": 2,
    "III": 3,
    "IV": 4,
    "V": 5,
    "VI": 6,
    "VII": 7,
    "VIII": 8,
    "IX": 9,
    "X": 10,
}
_MOST_CAPO = 12
_FORM = re.compile(
    r"^\W*(?:(?:form|order|play(?:ed)?|ablauf|structure)\b\s*(?:is)?\s*[:=]?\s*)"
    r"((?:[A-Z]\d?['’]?[\s,–-]*){2,40})\W*$",
    re.I,
)
_LETTERS = re.compile(r"^\W*([A-E]{3,12})\W*$")
# What stood in brackets was taken, as of "Kites (in G)" or, in part, "Kites (in G, lively)".
_ASIDE = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
_TAKEN = "\0"
# A title is short and is no sentence.
_MOST_TITLE_WORDS = 6


@dataclass(slots=True)
class Header:
    """What was found; where nothing was, the fields are empty.

    ``doubts`` are of the key: a church mode taken as major or minor, a key that is not understood.
    """

    title: str = ""
    key: Key | None = None
    meter: Meter | None = None
    dance: Meter | None = None
    tempo: float = 0
    order: tuple[str, ...] = ()
    capo: int = 0
    said: dict[str, tuple[int, str]] = field(default_factory=dict)
    doubts: list[tuple[str, int]] = field(default_factory=list)

    def take(self, line: str, at: int) -> tuple[bool, str]:
        """Take what a line of words says; return whether it said anything, and what is left."""
        known = dict(self.said)
        takers: tuple[Callable[[str, int], bool], ...] = (
            self._take_title, self._take_capo, self._take_tempo, self._take_form, self._take_key,
            self._take_meter,
        )  # fmt: skip
        said = any([take(line, at) for take in takers])
        rest = line
        for about, (start, words) in self.said.items():
            if about not in known and about != "dance":
                start -= at
                rest = rest[:start] + _TAKEN * len(words) + rest[start + len(words) :]
        if {"title", "form", "capo"} & {*self.said} - {*known}:
            rest = ""
        rest = _ASIDE.sub(lambda aside: " " if _TAKEN in aside[0] else aside[0], rest)
        return said, rest.replace(_TAKEN, " ").strip(" ,:;-") if said else line

    def take_name(self, line: str, at: int) -> bool:
        """Take a short line before the music, or words in quotes, as the title."""
        words = line.strip(" \"'*_~=-#")
        if quoted := _QUOTED.search(line):
            words = quoted[1]
        elif len(words.split()) > _MOST_TITLE_WORDS or words[-1:] in tuple(".!?,:;"):
            return False
        elif words.endswith(")") and not re.search(r"\(\w", words):  # ":)"
            return False
        if self.title or not words[:1].isalpha() or not words[:1].isupper():
            return False
        self.title = words
        self.said["title"] = at, words
        return True

    def _take_title(self, line: str, at: int) -> bool:
        if (found := _TITLE.match(line)) is None or self.title:
            return False
        self.title = found[1].strip("\"'")
        self.said["title"] = at + found.start(1), self.title
        return True

    def _take_capo(self, line: str, at: int) -> bool:
        if (found := _CAPO.search(line)) is None:
            return False
        given = (found[1] or found[2]).upper()
        fret = int(given) if given.isdecimal() else _ROMAN.get(given, 0)
        if not 0 < fret <= _MOST_CAPO:
            return False
        self.capo = fret
        self.said["capo"] = at + found.start(), found[0]
        return True

    def _take_tempo(self, line: str, at: int) -> bool:
        found = _TEMPO.search(line)
        tempo = int(found[1] or found[2] or found[3]) if found else 0
        if found is None or self.tempo or not SLOWEST <= tempo <= FASTEST:
            return False
        self.tempo = tempo
        self.said["tempo"] = at + found.start(), found[0]
        return True

    def _take_form(self, line: str, at: int) -> bool:
        found = _FORM.match(line) or _LETTERS.match(line)
        if found is None or self.order:
            return False
        self.order = tuple(re.findall(r"[A-Z]\d?['’]?", found[1].upper()))
        self.said["form"] = at + found.start(1), found[1].strip()
        return True

    def _take_key(self, line: str, at: int) -> bool:
        short = len(line.split()) <= _MOST_KEY_WORDS
        if self._take_whole_key(line, at):
            return True
        found = _NAMED_KEY.search(line) or (_IN_KEY.search(line) if short else None)
        if found is None:
            return self._doubt_key(line, at)
        if self.key is not None:
            return False
        tonic = re.sub("[ -]?sharp", "#", re.sub("[ -]?flat", "b", found["tonic"], flags=re.I))
        mode = found["mode"] or ""
        try:
            self.key = Key.parse(
                tonic[0].upper() + tonic[1:] + " " + _MODES.get(mode.lower(), mode)
            )
        except HarmonyError:
            return False
        self.said["key"] = at + found.start(), found[0]
        if mode.lower() in _CHURCH_MODES:
            mood = f"{self.key.tonic.name} {mode.lower()} is taken as {self.key}"
            self.doubts.append((mood, at + found.start()))
        elif not mode and (said := _SAID_KEY.search(line)) and len(said[1].split()) == 2:
            other = said[1].split()[1]
            if other.isalpha():
                told = f"{other!r} is not understood, so the key is read as {self.key}"
                self.doubts.append((told, at + found.start()))
        return True

    def _take_whole_key(self, line: str, at: int) -> bool:
        """Take all that stands after ``Key:`` as a key, in whatever language it is."""
        if self.key is not None or (found := _SAID_KEY.search(line)) is None:
            return False
        try:
            self.key = Key.parse(found[1].strip(" .!?"))
        except HarmonyError:
            return False
        self.said["key"] = at + found.start(), found[0]
        return True

    def _doubt_key(self, line: str, at: int) -> bool:
        """Say that a key is named and not understood; return whether one is."""
        if (found := _SAID_KEY.search(line)) is None:
            return False
        mend = "type Key: B minor, or Key: Bb"
        self.doubts.append((f"the key {found[1].strip()!r} is not understood; {mend}", at))
        self.said.setdefault("no key", (at + found.start(), found[0]))
        return True

    def _take_meter(self, line: str, at: int) -> bool:
        if self.meter is None and (found := _METER.search(line)):
            self.meter = read_meter(found[0])
            self.said["metre"] = at + found.start(), found[0]
            return True
        if self.dance is None and (found := _DANCE.search(line)):
            self.dance = _DANCES[found[1].lower()]
            self.said["dance"] = at + found.start(), found[0]
        return False


@dataclass(frozen=True, slots=True)
class Given:
    """What is known of a message beforehand; what is empty is found in it.

    Parameters
    ----------
    key : Key or None
    meter : tuple of int or None
    title : str
    naming : {"", "letters", "german", "latin"}
    dialect : Dialect
    """

    key: Key | None = None
    meter: Meter | None = None
    title: str = ""
    naming: str = ""
    dialect: Dialect = DEFAULT

    @classmethod
    def of(
        cls, key: Key | str | None = None, meter: Meter | str | None = None, naming: str = "",
        title: str = "",
    ) -> Given:  # fmt: skip
        """Make it of values or their text.

        Raises
        ------
        HarmonyError
            If key or metre cannot be read.
        """
        return cls(
            None if key is None or key == "" else as_key(key),
            None if meter is None or meter == "" else _as_meter(meter),
            title,
            naming,
        )


def _as_meter(given: Meter | str) -> Meter:
    if isinstance(given, str):
        return read_meter(given)
    if isinstance(given, tuple) and len(given) == 2:
        return read_meter("/".join(map(str, given)))
    raise wrong_kind(given, "a metre, as text or as two whole numbers", '"3/4" or (3, 4)')
