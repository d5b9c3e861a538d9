"""What is known of the whole tune of a message: beforehand, and by its words."""

from __future__ import annotations

import re
from collections.abc import Callable

from harmonykit.errors import HarmonyError, wrong_kind
from harmonykit.theory.given import as_key
from harmonykit.theory.key import Key, modal_key
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect
from harmonykit.tune.bar import FASTEST, SLOWEST, Meter
from harmonykit.tune.text.changes import read_meter
from harmonykit.tune.text.pasted import heading, meant, ordered, titles
from harmonykit.values import dataclass, field

_MOST_KEY_WORDS = 8
_METER = re.compile(
    r"(?:\b(?:time|metre|meter|takt)(?: signature)?\s?[:=]?\s?)?"
    r"(?:(?<![\d/.])(?:[2-79]|12)\s?/\s?(?:4|8)(?![\d/.]\d|\d)|(?<!\d)[23]/2(?![\d/]))",
    re.I,
)
_FRACTION = re.compile(r"^\D*(.*)$")
_TEMPO = re.compile(
    r"(?:\btempo|\bbpm|\bm\.?m\.|[♩𝅘])\W{0,4}(\d{2,3})\b|\b(\d{2,3})\s?bpm\b"
    rf"|{heading.BEAT}s?\s?(?:=|is|at)\s?(?:about\s|around\s|ca\.?\s?)?(\d{{2,3}})\b"
    # or "(at 96)"
    r"|(?<=[(\[,;])\s*(?:around|about|roughly|at|circa|ca\.?)\s(\d{2,3})\s*(?=[)\],;])",
    re.I,
)
_TITLE = re.compile(
    r"^\W*(?:title|tune|song|titel|titre|t[íi]tulo|titolo)\s*[:=]\s*(?=\S)"
    r"|(?<=[\s,;])(?:title|titel|titre|t[íi]tulo|titolo)\s*[:=]\s*(?=\S)",
    re.I,
)
# What ends a title that is followed by more.
_LABEL_AFTER = re.compile(
    r"[\s,;]+(?:key|tonart|time|metre|meter|takt|tempo|bpm|capo|form|composer|by)\s*[:=].*", re.I
)
_QUOTED = re.compile(r"\"([^\"|]{2,60})\"")
_LETTERS = re.compile(r"^\W*([A-E]{3,12})\W*$")
_IN_QUOTES = re.compile(r"[\"“„][^\"”“]+[\"”“]")
_STYLE = re.compile(r"^\W*(?:style|feel|rhythm|groove|stil)\s*[:=]\s*([^,;|]*\w)", re.I)
# "it's called Kites": a title within a sentence.
_CALLED = re.compile(r"(?:\b(?:it.?s|is|was)\s+called|\bhei(?:ß|ss)t)\s+(?=[\"'“‘„]?[A-Z])")
# A title is short and is no sentence.
_MOST_TITLE_WORDS = 6


@dataclass(slots=True)
class Header:
    """What was found; where nothing was, the fields are empty.

    ``doubts`` are of the key: a church mode taken as major or minor, a key that is not understood.
    A ``weak`` title, from the subject of a letter, gives way to a better one.  ``taken`` are the
    pieces of the line that is being read, ``left`` those of any that say nothing.
    ``known`` are the names of sections.
    """

    title: str = ""
    key: Key | None = None
    meter: Meter | None = None
    dance: Meter | None = None
    tempo: float = 0
    order: tuple[str, ...] = ()
    capo: int = 0
    composer: str = ""
    style: str = ""
    known: frozenset[str] = frozenset()
    said: dict[str, tuple[int, str]] = field(default_factory=dict)
    doubts: list[tuple[str, int]] = field(default_factory=list)
    weak: bool = False
    taken: list[heading.Span] = field(default_factory=list)
    left: list[tuple[str, int]] = field(default_factory=list)

    def take(self, line: str, at: int, *, first: bool = False) -> tuple[bool, str]:
        """Take what a line of words says; return whether it said anything, and what is left.

        ``first`` is a line before the music: there a letter may be a key.
        """
        apart = titles.parted(line) if first else line
        if apart != line:
            said, rest = self.take(apart, at, first=first)
            # What is parted is longer: what it says still stands in its own line.
            last = at + len(line) - 1
            self.said = {about: (min(n, last), text) for about, (n, text) in self.said.items()}
            self.left = [(text, min(n, last)) for text, n in self.left]
            return said, rest
        self.taken = []
        takers: tuple[Callable[[str, int], bool], ...] = (
            self._take_title, self._take_capo, self._take_tempo, self._take_form, self._take_key,
            self._take_meter, self._take_naming, self._take_style,
        )  # fmt: skip
        said = first and self._take_small(line, at)
        said |= any([take(line, at) for take in takers])
        if len(line) < heading.MOST_OF_HEADING:
            said |= self._take_parts(line, at, first=first)
        if not said:
            return False, line
        rest, span = "", (0, 0)
        titled = 0 <= self.said.get("title", (-1, ""))[0] - at <= len(line)
        form = self.said.get("form", (-1, ""))[0] - at
        if not titled and not (0 <= form <= len(line) and not re.search(r"\w", line[:form])):
            rest, span = heading.title_left(line[: heading.MOST_OF_HEADING], self.taken)
        self._leave(line, at, span, first=first)
        return True, rest

    def _leave(self, line: str, at: int, title: heading.Span, *, first: bool) -> None:
        """Note what of a line says nothing; before the music, words of a feel are the style."""
        whole = len(line)
        left = heading.blanked(line, [*self.taken, title])[: heading.MOST_OF_HEADING]
        if whole > len(left):
            self.left.append((line[len(left) :], at + len(left)))
        for start, end in heading.parts_of(left):
            text = left[start:end].strip()
            if not heading.is_link(text) and not (first and self.take_style(text, at + start)):
                self.left.append((text, at + start))

    def take_style(self, text: str, at: int) -> bool:
        """Take words of a feel as the style, once: "medium swing"."""
        if self.style or not heading.is_feel(text):
            return False
        self.style = text.strip(" .,;:-—()")
        self.said["style"] = at, text
        return True

    def _keep(
        self, about: str, at: int, found: re.Match[str], within: heading.Span | None = None
    ) -> bool:
        """Note where a line said something; ``at`` is where the line begins."""
        self.said[about] = at + found.start(), found[0]
        self.taken.append(within or found.span())
        return True

    def _take_parts(self, line: str, at: int, *, first: bool) -> bool:
        """Take a key, a tempo and a composer that are parts of a heading by themselves."""
        before = len(self.taken)
        wrote = heading.COMPOSER_LABEL.search(line) if first and not self.composer else None
        if wrote:
            self.composer = wrote[1]
            self._keep("composer", at, wrote)
        parts = list(heading.parts_of(heading.blanked(line, self.taken)))
        leads = len(parts) > 1 and titles.leads_with_key(line[slice(*parts[0])])
        music = bool(self.taken) or any(heading.says_only(line[s:e], (), s) for s, e in parts)
        for count, (start, end) in enumerate(parts):
            part = heading.blanked(line, self.taken)[start:end].rstrip()
            self._take_key_part(part, start, at, sure=music or first and (count > 0 or leads))
        music = music or len(self.taken) > before
        for start, end in parts:
            part = heading.blanked(line, self.taken)[start:end]
            number = heading.number_in(part) if music else None
            if number and not self.tempo and SLOWEST <= int(number[1]) <= FASTEST:
                self.tempo = int(number[1])
                self.said["tempo"] = at + start + number.start(), number[0]
                self.taken.append((start + number.start(), start + number.end()))
            if first and not self.composer and (who := heading.composer_in(part, titled=music)):
                low, self.composer = who
                self.said["composer"] = at + start + low, part[low:].strip()
                self.taken.append((start + low, end))
        return len(self.taken) > before

    def _take_key_part(self, part: str, start: int, at: int, *, sure: bool) -> None:
        """Take a key that is a part of a heading, or ends one; a letter alone where it is sure."""
        if self.key is not None:
            return
        if found := heading.key_of(part, small=sure and bool(self.taken)):
            key, said = found
            low = 0
            if not (said or sure):
                return
        elif ending := heading.key_at_end(part):
            key, low = ending
        else:
            return
        self.key = key
        self.said["key"] = at + start + low, part[low:]
        self._tell_mode(part[low:], at + start + low)
        self.taken.append((start + low, start + len(part)))

    def _tell_mode(self, said: str, at: int) -> None:
        """Tell as which key an old mode is taken."""
        if modal := modal_key(heading.BEFORE_KEY.sub("", said)):
            self.doubts.append((f"{modal[1]} is taken as {modal[0].unicode}", at))

    def take_name(self, line: str, at: int, *, weak: bool = False) -> bool:
        """Take a short line before the music, or words in quotes, as the title."""
        words = line.strip(" \"'*_~=-#")
        if quoted := _QUOTED.search(line):
            words = quoted[1]
        elif len(words.split()) > _MOST_TITLE_WORDS or words[-1:] in tuple(".!?,:;"):
            return False
        elif words.endswith(")") and not re.search(r"\(\w", words):  # ":)"
            return False
        if (self.title and not self.weak) or not (words[:1].isalpha() and words[:1].isupper()):
            return False
        if weak and self.title:
            return False
        self._give_way()
        self.title, self.weak = words, weak
        self.said["title"] = at, words
        return True

    def _give_way(self) -> None:
        """Leave out a title that is but the subject of a letter: a better one is there."""
        if self.title:
            self.left.append((self.title, self.said["title"][0]))

    def _take_small(self, line: str, at: int) -> bool:
        """Take a title and a key that are written in small letters."""
        found = titles.in_lower_case(line)
        if found is None or self.title or self.key is not None:
            return False
        self.title, self.key = found
        said = line[line.index(self.title) + len(self.title) :].strip(" ,-")
        self.said["title"] = at + line.index(self.title), self.title
        self.said["key"] = at + line.rindex(said), said
        self._tell_mode(said, at + line.rindex(said))
        if said[3:].islower() and len(said) < len("in g min"):
            self.doubts.append((f"{said!r} is taken as {self.key.unicode}", at + line.rindex(said)))
        self.taken.append((0, len(line)))
        return True

    def _take_title(self, line: str, at: int) -> bool:
        found = _TITLE.search(line) or _CALLED.search(line)
        if found is None or (self.title and not self.weak):
            return False
        named = _LABEL_AFTER.sub("", line[found.end() :])
        if found.re is _CALLED:
            quoted = _IN_QUOTES.match(named)
            named = named[: quoted.end() if quoted else next(heading.parts_of(named))[1]]
        parts = [part for part in heading.parts_of(named) if not self._is_music(named, part)]
        whole = named[: parts[-1][1] if parts else len(named)].strip()
        closed = whole + ")" * (whole.count("(") - whole.count(")"))
        self._give_way()
        self.title, self.weak = closed.strip("\"'*_.“”‘„ "), False
        self.said["title"] = at + found.end(), self.title
        self.taken.append((found.start(), found.end() + len(whole)))
        return True

    def _is_music(self, text: str, part: tuple[int, int]) -> bool:
        """Return whether a part of a title says key, metre or tempo and nothing else."""
        start, piece = part[0], text[slice(*part)]
        found = [*_METER.finditer(piece), *_TEMPO.finditer(piece)]
        taken = [(start + each.start(), start + each.end()) for each in found]
        key = heading.key_of(piece)
        return start > 0 and (
            bool(key and key[1]) or bool(taken) and heading.says_only(piece, taken, start)
        )

    def _take_style(self, line: str, at: int) -> bool:
        if self.style or (found := _STYLE.match(line)) is None:
            return False
        self.style = found[1]
        return self._keep("style", at, found)

    def _take_naming(self, line: str, at: int) -> bool:
        found = meant.naming_in(line)
        return found is not None and self._keep("naming", at, found)

    def _take_capo(self, line: str, at: int) -> bool:
        if (found := meant.capo_in(line)) is None:
            return False
        self.capo = found[0]
        return self._keep("capo", at, found[1])

    def _take_tempo(self, line: str, at: int) -> bool:
        found = _TEMPO.search(line)
        tempo = int(next(filter(None, found.groups()))) if found else 0
        if found is None or self.tempo or not SLOWEST <= tempo <= FASTEST:
            return False
        self.tempo = tempo
        return self._keep("tempo", at, found)

    def _take_form(self, line: str, at: int) -> bool:
        letters = _LETTERS.match(line)
        order, span = ordered.order_in(line, self.known) or (
            (tuple(letters[1]), letters.span(1)) if letters else ((), (0, 0))
        )
        if not order or self.order:
            return False
        self.order = order
        self.said["form"] = at + span[0], line[slice(*span)].strip()
        self.taken.append(span)
        return True

    def _take_key(self, line: str, at: int) -> bool:
        short = len(line.split()) <= _MOST_KEY_WORDS
        if self._take_whole_key(line, at):
            return True
        found = heading.NAMED_KEY.search(line) or heading.in_key(line, short=short)
        if found is None:
            return self._doubt_key(line, at)
        if self.key is not None:
            return False
        mode = found["mode"] or ""
        said_key = f"{found['tonic'][0].upper()}{found['tonic'][1:]} {mode}"
        try:
            self.key = heading.as_key(said_key)
        except HarmonyError:
            return False
        self._tell_mode(said_key, at + found.start())
        if not mode and (said := heading.SAID_KEY.search(line)) and len(said[1].split()) == 2:
            other = said[1].split()[1]
            if other.isalpha():
                told = f"{other!r} is not understood, so the key is read as {self.key.unicode}"
                self.doubts.append((told, at + found.start()))
        clause = heading.clause_of(line, found)
        if after := heading.after_key(line, found, clause):
            self.left.append((after, at + found.end()))
        return self._keep("key", at, found, within=clause)

    def _take_whole_key(self, line: str, at: int) -> bool:
        """Take all that stands after ``Key:`` as a key, in whatever language it is."""
        if self.key is not None or (found := heading.SAID_KEY.search(line)) is None:
            return False
        try:
            self.key = heading.as_key(said_key := found[1].strip(" .!?"))
        except HarmonyError:
            return False
        self._tell_mode(said_key, at + found.start())
        return self._keep("key", at, found)

    def _doubt_key(self, line: str, at: int) -> bool:
        """Say that a key is named and not understood; return whether one is."""
        if (found := heading.SAID_KEY.search(line)) is None:
            return False
        mend = "type Key: B minor, or Key: Bb"
        self.doubts.append((f"the key {found[1].strip()!r} is not understood; {mend}", at))
        return self._keep("no key", at, found)

    def _take_meter(self, line: str, at: int) -> bool:
        if self.meter is None and (found := _METER.search(line)):
            self.meter = read_meter(_FRACTION.sub(r"\1", found[0]))
            return self._keep("metre", at, found)
        if self.dance is None and (found := heading.DANCE.search(line)):
            self.dance = heading.DANCES[found[1].lower()]
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
