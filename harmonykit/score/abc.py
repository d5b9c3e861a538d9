"""ABC read with music21's tokens; runs in the child process only.

music21 tells notes from rests and says how long and how high they are; bars, repeats, endings,
parts and chord symbols are put together here.  Quoted words are handed on as they were typed.
"""

import re
from fractions import Fraction
from typing import Any

from harmonykit.errors import attempt
from harmonykit.score import abc_lines, abc_words
from harmonykit.score.signs import Json, looks_like_a_jump, one_jump
from harmonykit.theory.chord import read_symbol
from harmonykit.tune.bar import OPENING_SIGNS, TuneError

# A second voice on the same line; nobody reads it here.
_UNHEARD = ("&",)
_MOST_RESTS = 200
# music21 takes minutes over a metre of thousands.
_METER = re.compile(r"^M:.*?(\d+)\s*/\s*(\d+)", re.MULTILINE)
_MOST_IN_METER = 64
_LOWER_NOTES = (1, 2, 4, 8, 16, 32, 64)


def read_abc(tune: abc_lines.AbcTune) -> Json:
    """Return the score of one ABC tune, as plain data.

    Raises
    ------
    TuneError
        If the tune has no music.
    """
    from music21.abcFormat import ABCHandler

    text, signs = abc_lines.plain(tune.text)
    if wild := re.search(r"\d{5,}", re.sub(r'"[^"]*"', "", text)):
        raise TuneError(f"the number {wild[0][:20]} is too long", rule="four digits at most")
    for over, under in _METER.findall(text):
        if int(over) > _MOST_IN_METER or int(under) not in _LOWER_NOTES:
            raise TuneError(
                f"a metre of {over}/{under}",
                rule=f"1 to {_MOST_IN_METER} over 1, 2, 4, 8, 16, 32 or 64",
            )
    if not abc_lines.fields(text, "L") and not any(
        "/" in meter or "C" in meter for meter in abc_lines.fields(text, "M")
    ):
        text = f"L:1/8\n{text}"  # the unit of a tune without a metre (ABC 2.1, 3.1.7)
    handler = ABCHandler(abcVersion=(2, 1, 0))  # accidentals hold until the bar line
    handler.tokenize(text)
    handler.tokenProcess()
    reader = _Reader()
    for token in handler.tokens:
        reader.take(token)
    reader.end_bar()
    if not reader.bars:
        raise TuneError("the tune has no music")
    reader.doubts += [(None, f"{sign!r} is ignored") for sign in signs if _jumps(sign)]
    if plain_signs := sorted({sign for sign in signs if not _jumps(sign)}):
        reader.doubts.append((None, f"left out: {', '.join(plain_signs)}"))
    if below := abc_lines.fields(tune.text, "W"):
        said = f"words below the tune (W:) are left out: {below[0][:40]!r}"
        reader.doubts.append((None, said))
    return {
        "title": tune.title,
        "composer": "; ".join(abc_lines.fields(tune.text, "C")),
        "rights": "",
        "tempo": reader.tempo,
        "shift": [0, 0],
        "key": reader.key,
        "form": reader.form,
        "bars": reader.bars,
        "doubts": list(dict.fromkeys(reader.doubts)),
    }


def _jumps(sign: str) -> bool:
    return sign.startswith('"') or sign in _UNHEARD or looks_like_a_jump(sign)


def _is_chord(text: str) -> bool:
    found = attempt(read_symbol, text)
    return found is not None and found.chord is not None


def _exact(value: float) -> Fraction:
    """Return a music21 length exactly: it keeps thirds as fractions and the rest as floats."""
    return Fraction(value).limit_denominator(65_535)


class _Reader:
    """Puts tokens together to bars."""

    def __init__(self) -> None:
        self.bars: list[Json] = []
        self.doubts: list[tuple[int | None, str]] = []
        self.key: Json = {}
        self.tempo = self.form = self.label = ""
        self.meter: list[int] | None = None
        self.voices: list[str] = []
        self.heard = True
        self.opens, self.ending, self.double = False, "", 0
        self.verses = abc_words.Verses()
        self._begin()

    def _begin(self) -> None:
        self.now = Fraction(0)
        self.chords: list[Json] = []
        self.notes: list[Json] = []
        self.signs: list[str] = []
        self.fermatas: list[str] = []

    def take(self, token: Any) -> None:
        kind = type(token).__name__
        if kind == "ABCMetadata":
            self._field(token)
        elif kind in ("ABCNote", "ABCChord") and self.heard:
            self.verses.music()
            self._note(token)

    def _field(self, token: Any) -> None:
        tag, data = token.tag, token.data.strip()
        if tag == "V":
            self._voice(data)
        elif not self.heard:
            return
        elif tag == "N" and data.startswith(abc_lines.MARK):
            word, _, value = data.removeprefix(abc_lines.MARK).strip().partition(" ")
            {
                "line": self._line,
                "ending": self._ending,
                "rests": self._rests,
                "sign": self._sign,
                "fermata": self._fermata,
                "words": self._words,
                "alone": self._alone,
                "early": self._early,
            }[word](value)
        elif tag == "M":
            self._meter(token, data)
        elif tag == "K":
            self._key(token, data)
        elif tag == "Q":
            self._tempo(token, data)
        elif tag == "P" and self.key:
            self.label = data
        elif tag == "P":
            self.form = data

    def _voice(self, data: str) -> None:
        """Keep the first voice only; before the key a voice is only announced."""
        if not self.key:
            return
        name = data.split()[0] if data else ""
        if name not in self.voices:
            self.voices.append(name)
        self.heard = name == self.voices[0]
        if not self.heard:
            self.doubts.append((None, f"voice {name} is left out"))

    def _meter(self, token: Any, data: str) -> None:
        self.end_bar()
        parameters = token.getTimeSignatureParameters() if data.lower() != "none" else None
        self.meter = list(parameters[:2]) if parameters else None

    def _key(self, token: Any, data: str) -> None:
        sharps, mode = token.getKeySignatureParameters()
        if not self.key:
            self.key = {"fifths": sharps, "mode": mode or "major"}
        elif sharps != self.key["fifths"]:
            self.doubts.append((len(self.bars), f"the key changes to {data}: the first is kept"))

    def _tempo(self, token: Any, data: str) -> None:
        mark = token.getMetronomeMarkObject()
        number = mark.getQuarterBPM() if mark is not None and re.search(r"\d", data) else None
        if number is None:
            self.doubts.append((None, f"the tempo {data!r} has no number"))
        elif not self.tempo:
            self.tempo = str(_exact(number))
        elif self.tempo != str(_exact(number)):
            self.doubts.append((len(self.bars), "the tempo changes: the first is kept"))

    def _note(self, token: Any) -> None:
        tuplet = token.activeTuplet
        scale = Fraction(1) if tuplet is None else _exact(tuplet.tupletMultiplier())
        length = _exact(token.quarterLength) * scale
        self._symbols([quoted.strip('"').strip() for quoted in token.chordSymbols], length)
        pitches = [token.pitchName] if token.pitchName else []
        pitches += [sub.pitchName for sub in getattr(token, "subTokens", []) if sub.pitchName]
        if pitches and length:
            tied = token.tie in ("start", "continue")
            names = [name.replace("-", "b").replace("n", "") for name in pitches]
            note = {"note": names, "at": str(self.now), "beats": str(length), "tied": tied}
            self.notes.append(note)
            self.verses.sing(len(self.bars), note)
        self.now += length

    def _symbols(self, typed: list[str], length: Fraction) -> None:
        """Take the symbols of a note: of several chords the first is kept (ABC 2.1, 4.18)."""
        chords = [text for text in typed if _is_chord(text)]
        for text in filter(None, typed):
            symbol: Json = {"at": str(self.now), "room": str(length), "typed": text}
            if text in chords[1:]:
                symbol["alternate"] = True
            self.chords.append(symbol)
        if others := list(dict.fromkeys(text for text in chords[1:] if text != chords[0])):
            kept = f"{chords[0]} is kept; alternates: {', '.join(others)}"
            self.doubts.append((len(self.bars), f"several chords on one note: {kept}"))

    def _alone(self, text: str) -> None:
        said = f"; {text} is left out" if text else ""
        self.doubts.append((len(self.bars), f"a quotation mark is not closed{said}"))

    def _early(self, text: str) -> None:
        said = f"{text} before the bar line is left out: the next note has its own chord"
        self.doubts.append((len(self.bars), said))

    def _rests(self, value: str) -> None:
        whole = Fraction(4 * self.meter[0], self.meter[1]) if self.meter else Fraction(4)
        for _ in range(min(int(value), _MOST_RESTS)):
            self.end_bar()
            self.now = whole
        self.end_bar()

    def _sign(self, value: str) -> None:
        self.signs = one_jump([*self.signs, value])

    def _fermata(self, _: str) -> None:
        self.fermatas.append(str(self.now))

    def _words(self, value: str) -> None:
        self.doubts += self.verses.take(value, len(self.bars))

    def _ending(self, value: str) -> None:
        self.end_bar()
        self.ending = value

    def _line(self, sign: str) -> None:
        self.end_bar()
        colons = len(sign) - len(sign.lstrip(":"))
        if colons and self.bars:
            # "::" both closes and opens; "::|" is played three times.
            self.bars[-1]["closes"] = 1 + (colons if "|" in sign else max(1, colons // 2))
            if 0 < self.double < len(self.bars):
                self.bars[self.double]["opens"] = True
        if sign.endswith(":"):
            self.opens = True
        if sign != "|":
            self.ending = ""
            # A repeat that nothing opened goes back to the last double bar (ABC 2.1, 4.8).
            self.double = 0 if ":" in sign else len(self.bars)

    def _sign_last(self) -> None:
        """Give the last bar what stands between its bar line and the next, or the end."""
        late = [sign for sign in self.signs if sign not in OPENING_SIGNS]
        if late and self.bars:
            self.bars[-1]["signs"] = one_jump([*self.bars[-1]["signs"], *late])
            self.signs = [sign for sign in self.signs if sign in OPENING_SIGNS]

    def end_bar(self) -> None:
        """Close the bar that is being read, if anything is in it."""
        if not self.now:
            self._sign_last()
            return
        numbers = re.findall(r"(\d+)(?:-(\d+))?", self.ending)
        self.bars.append(
            {
                "chords": self.chords,
                "notes": self.notes,
                "meter": self.meter,
                "length": str(self.now),
                "opens": self.opens,
                "closes": 0,
                "ending": sorted({n for a, b in numbers for n in range(int(a), int(b or a) + 1)}),
                "label": self.label,
                "signs": self.signs,
                "fermatas": self.fermatas,
            }
        )
        self.opens, self.label = False, ""
        self._begin()
