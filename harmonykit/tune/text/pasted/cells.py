"""Rows of a message cut into cells: what stands between two bar lines, and round it."""

import re
from collections.abc import Callable, Iterator

from harmonykit.errors import HarmonyError, Place
from harmonykit.tune import bar, order
from harmonykit.tune.text.barlines import is_fermata, sign_of
from harmonykit.tune.text.pasted import lines, plain
from harmonykit.values import dataclass, field

_TOKEN = re.compile(
    r"""(?P<blank>[ ]+) | (?P<comment>(?<!\S)\#(?!\d)[^\n]*)
    | (?P<sign>:[ ]?\|{1,3}[ ]?:(?!\s*\|) | :[ ]?\|{1,3}\]? | \|{1,3}[ ]?:(?!\s*\|) | \[\|(?=\s*\|)
        | \|{1,3}\]?)
    | \{(?P<brace>[^{}|\n]*)\}
    | (?P<times>\(?(?:[xX]\s?\d{1,3}|\d{1,3}\s?[xX])\)?(?![\w#])|\(?\btwice\b\)?)
    | (?P<mark>\[\s?\d{1,2}(?:\s?[,&+-]\s?\d{1,2})*(?:\.|\]|:|(?=\s))?
        | \(?\d{1,3}(?:\s?[,&+-]\s?\d{1,2})*(?:\.(?!\d)|\)|:(?!\|))
        | (?:(?<=\|)|(?<=\|[ ]))\d{1,3}(?=\s) | ^\d{1,3}(?=\s*\|)
        | \d(?:st|nd|rd|th)\.?(?:[ ](?:time|ending))?[.:]?)
    | (?P<jump>\b(?:[Dd]\.[ ]?[CcSs]\.?|D[CS]\b\.?)(?:[ ][Aa]l[ ](?:[Ff]ine|[Cc]oda))?(?=[\s|.)]|$)
        | \b(?:[Tt]o[ ][Cc]oda|[Ff]ine|[Ss]egno|[Cc]oda)\b\.?)
    | (?P<silence>\(?\b(?:[Nn][Oo][ ][Cc]hords?|[Tt]acet)\b\)?)
    | (?P<meter>\d{1,2}/(?:1|2|4|8|16)(?=[\s|]|$))
    | (?P<word>(?:[^\s|:{}\[\]]|:(?!\|)|\[(?!\|)|\])+) | (?P<stray>.)""",
    re.VERBOSE,
)
_NUMBER = re.compile(r"\d{1,3}")
_LOOSE = "\"',;!?."
_JOINED = re.compile(r"[,;>+-]+|/")
_NUMERAL = re.compile(r"[#b♯♭]?(?:[ivIV]{1,3})[°ø+\w]*")
_SILENCE = "N.C."
_QUOTES = ('"', "''")
_SAME = ('"', "''", "./.", "ditto", "idem", "sim.", "simile")


@dataclass(frozen=True, slots=True)
class Word:
    """A chord, a beat, or a sign for what was before, and where it stands.

    ``read`` is as the text form writes it; a beat is ``/``, or ``-`` where it may part chords.
    """

    kind: str
    read: str
    at: int

    @property
    def sounds(self) -> bool:
        """Whether it is a chord, and not silence."""
        return self.kind == "chord" and self.read != _SILENCE


@dataclass(slots=True)
class Cell:
    """A bar as it was found."""

    at: int
    words: list[Word] = field(default_factory=list)
    braces: list[str] = field(default_factory=list)
    fermatas: list[tuple[str, int]] = field(default_factory=list)
    signs: list[str] = field(default_factory=list)
    opens: bool = False
    closes: int = 0
    double: bool = False
    mark: tuple[int, ...] = ()
    bracketed: bool = False
    marked_at: int = 0
    meter: str = ""
    ending: tuple[int, ...] = ()
    dropped: list[tuple[str, int]] = field(default_factory=list)
    counted: tuple[str, int] | None = None
    begins_row: bool = False
    lyric: tuple[str, ...] = ()

    def is_full(self, *, after_sign: bool) -> bool:
        """Return whether there is a bar; a number before the first bar line is none."""
        holds = self.holds or self.dropped or self.signs
        return bool(holds or (self.mark and after_sign))

    @property
    def holds(self) -> bool:
        """Whether anything stands in it beside signs and what was left out."""
        return bool(self.words or self.braces or self.fermatas or self.meter)


@dataclass(slots=True)
class Cutter:
    """Cuts rows into cells; what it left out and what was doubtful are kept.

    Parameters
    ----------
    naming : Naming
    where : callable
        Gives the place of a character of the plain text.
    """

    naming: plain.Naming
    where: Callable[[int], Place]
    left_out: list[tuple[str, int]] = field(default_factory=list)
    doubts: list[tuple[str, int]] = field(default_factory=list)

    def row(self, line: lines.Line) -> list[Cell]:
        """Return the cells of a row."""
        cells: list[Cell] = []
        now = Cell(line.at)
        last, blank = "", False
        for found in _TOKEN.finditer(line.text):
            kind, at = found.lastgroup or "stray", line.at + found.start()
            if kind == "sign":
                # Only blanks between two bar lines are a bar in which nothing changes.
                if now.is_full(after_sign=bool(last)) or (blank and last == found[0] == "|"):
                    now = self._close(now, cells, at)
                self._sign(found[0], at, cells, now)
                last, now.counted = found[0], None
            elif kind not in ("blank", "comment"):
                self._take(kind, found[kind], at, now, cells)
            blank = kind == "blank"
            # A number of times between two bar lines is no bar.
            last = "" if kind == "times" else last
        self._end(now, cells)
        for cell in cells:
            self._check(cell)
        if cells:
            cells[0].begins_row = True
        _open_again(cells)
        return cells

    def _close(self, now: Cell, cells: list[Cell], at: int) -> Cell:
        """End a bar and return the next one; signs that stand alone belong to a bar beside them."""
        alone = now.signs and not (now.holds or now.dropped or now.mark)
        if not alone:
            cells.append(now)
            return Cell(at)
        opening = [sign for sign in now.signs if sign in bar.OPENING_SIGNS or not cells]
        if cells:
            cells[-1].signs += [sign for sign in now.signs if sign not in opening]
        return Cell(at, signs=opening, opens=now.opens)

    def _sign(self, sign: str, at: int, cells: list[Cell], now: Cell) -> None:
        bare = sign.replace(" ", "")
        if bare.startswith(":"):
            if not cells:
                raise bar.TuneError(
                    f"{bare} has no bar to repeat", place=self.where(at), mend="|: F | C7 :|"
                )
            cells[-1].closes = cells[-1].closes or 2
        if bare.endswith(":"):
            now.opens = True
        if bare.startswith("||") and cells:
            cells[-1].double = True

    def _take(self, kind: str, text: str, at: int, now: Cell, cells: list[Cell]) -> None:
        if kind == "times":
            self._times(text, at, now, cells)
        elif kind == "mark":
            self._mark(text, at, now)
        elif kind == "brace" and is_fermata(text):
            now.fermatas.append((text, at))
        elif kind == "brace":
            (now.signs if sign_of(text) else now.braces).append(sign_of(text) or text)
        elif kind == "jump":
            now.signs.append(sign_of(text.rstrip(".") if text[0] not in "Dd" else text))
        elif kind == "meter":
            now.meter = text
        elif kind == "silence":
            now.words.append(Word("chord", _SILENCE, at))
        elif kind == "word":
            self._word(text, at, now)
        elif kind == "stray":
            self.left_out.append((text, at))

    def _times(self, text: str, at: int, now: Cell, cells: list[Cell]) -> None:
        number = _NUMBER.search(text)
        times = int(number[0]) if number else 2
        if not 2 <= times <= order.MOST_TIMES:
            return
        if now.words or not cells:
            now.closes, now.counted = times, (text, at)
        elif cells[-1].closes:
            cells[-1].closes = times
        else:
            cells[-1].closes, now.counted = -times, (text, at)

    def _mark(self, text: str, at: int, now: Cell) -> None:
        if now.words or now.mark:
            now.dropped.append((text, at))
            return
        numbers = [int(each) for each in _NUMBER.findall(text)]
        if "-" in text and len(numbers) == 2 and numbers[0] < numbers[1] <= order.MOST_TIMES:
            numbers = list(range(numbers[0], numbers[1] + 1))
        now.mark, now.marked_at = tuple(numbers), at
        now.bracketed = text.startswith("[") or text[1:3] in ("st", "nd", "rd", "th")

    def _word(self, text: str, at: int, now: Cell) -> None:
        if lines.BEATS.fullmatch(text) or text.lower() in _SAME:
            again = text[0] in "%\"'" or text.lower() in _SAME
            sign = "/" if text[0] in "/." else "-"
            count = len(text) if sign == "/" and not again else 1
            now.words += [Word("again", text, at) if again else Word("beat", sign, at)] * count
            return
        for piece, offset in self._pieces(text, now):
            self._chord(piece, at + offset, now)

    def _pieces(self, text: str, now: Cell) -> Iterator[tuple[str, int]]:
        """Yield a word, or the chords that a word joins: ``F-D7``, ``Gm7/C7``, ``F,D7``."""
        if self._symbol(text) is not None or self._joins(text, now):
            yield text, 0
            return
        ends = [*(found.span() for found in _JOINED.finditer(text)), (len(text), len(text))]
        pieces, start = [], 0
        for low, high in ends:
            if low > start:
                pieces.append((text[start:low], start))
            start = high
        if len(pieces) > 1 and all(self._symbol(piece) for piece, _ in pieces):
            yield from pieces
        else:
            yield text, 0

    def _joins(self, text: str, now: Cell) -> bool:
        last = now.words[-1] if now.words else None
        return (
            last is not None and last.kind == "chord" and self._symbol(last.read + text) is not None
        )

    def _symbol(self, text: str) -> str | None:
        """Return a word's chord as the text form writes it, or None."""
        found = self._read(text)
        return found[0] if found else None

    def _read(self, text: str) -> tuple[str, tuple[str, ...]] | None:
        stripped = text.strip(_LOOSE)
        inner = stripped.strip("[]") if stripped[:1] == "[" else stripped
        inner = inner[1:-1] if inner[:1] == "(" and inner[-1:] == ")" else inner
        for word in dict.fromkeys((inner, text, stripped, stripped.strip("[]()"))):
            try:
                reading = self.naming.read(word)
            except HarmonyError:
                continue
            symbol = reading.chord.symbol if reading.chord else _SILENCE
            return symbol, reading.doubts
        return None

    def _chord(self, text: str, at: int, now: Cell) -> None:
        pushed = "<" if text.startswith("<") else ""
        bare, _, beat = text.removeprefix("<").partition("@")
        slashes = len(bare) - len(bare.rstrip("/"))
        bare = bare.rstrip("/")
        offered = bare.startswith("(") and bare.endswith(")") and bool(now.words)
        found = self._read(bare)
        if found is None:
            self._unread(text, at, now)
            return
        symbol, doubts = found
        self.doubts += [
            (f"{bare}: {doubt}; type {symbol} if that is meant", at) for doubt in doubts
        ]
        if text.rstrip(")]\"'").endswith("?"):
            self.doubts.append((f"{text} has a question mark: read as {symbol}", at))
        if offered and now.words[-1].kind in ("chord", "offered"):
            now.words.append(Word("offered", f"({symbol})", at))
            return
        now.words.append(Word("chord", pushed + symbol + (f"@{beat}" if beat else ""), at))
        now.words += [Word("beat", "/", at)] * slashes

    def _unread(self, text: str, at: int, now: Cell) -> None:
        last = now.words[-1] if now.words else None
        if last is not None and last.kind == "chord" and (joined := self._symbol(last.read + text)):
            now.words[-1] = Word("chord", joined, last.at)
            return
        bare = text.strip(_LOOSE + "()[]")
        if bare and plain.is_near_a_chord(bare):
            self._refuse(text, at)
        now.dropped.append((text, at))

    def _refuse(self, text: str, at: int) -> None:
        bare = text.strip(_LOOSE)
        try:
            self.naming.read(bare)
        except HarmonyError as error:
            raise error.at(self.where(at)) from None
        raise bar.TuneError(f"{text!r} cannot be read as a chord", place=self.where(at))

    def _end(self, now: Cell, cells: list[Cell]) -> None:
        """End a row: what follows its last bar line is a bar only where it has a chord."""
        if any(word.read not in _QUOTES for word in now.words):
            cells.append(now)
            return
        if cells:
            cells[-1].signs += now.signs
        self.left_out += now.dropped

    def _check(self, cell: Cell) -> None:
        if cell.counted and cell.words:
            text, at = cell.counted
            said = f"{text} is read as a number of times, and not as a chord"
            self.doubts.append((f"{said}: chords begin with A to G", at))
        if cell.dropped and not (cell.holds or cell.signs):
            text, at = cell.dropped[0]
            raise bar.TuneError(
                f"{text!r} in a bar is not a chord",
                place=self.where(at),
                rule="a bar holds chords by name, or - where nothing changes",
                mend="F Gm7 C7 in place of I ii V"
                if _NUMERAL.fullmatch(text)
                else "# before a remark, or the words on a line of their own",
            )
        self.left_out += cell.dropped


def _open_again(cells: list[Cell]) -> None:
    """Let what is played again, as a count between two bar lines says, begin in its own row."""
    start = 0
    for index, cell in enumerate(cells):
        start = index if cell.opens else start
        if cell.closes < 0:
            cells[start].opens, cell.closes = True, -cell.closes
        start = index + 1 if cell.closes else start
