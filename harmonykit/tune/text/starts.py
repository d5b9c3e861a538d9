"""Where the chords of one bar start: equal shares, beats by slashes, or named beats.

``changes`` describes the form.
"""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord, read_symbol
from harmonykit.tune.bar import Bar, Meter, TuneError, bar_length, beat_length
from harmonykit.tune.text.barlines import RawBar, Where, Word
from harmonykit.tune.text.signs import beat_of
from harmonykit.words.numbers import counted

# A chord's word, the chord, and where it starts.
Start = tuple[Word, Chord | None, Fraction]

_SLASH_RULE = "where a bar has a /, each chord and each / is one beat"


class BarReader:
    """Reads what stands in one bar after another, under the metre that holds there."""

    def __init__(self, meter: Meter, where: Where) -> None:
        self.meter = meter
        self.where = where
        self.bars: list[Bar] = []
        self.doubts: list[str] = []

    def starts(self, raw: RawBar, length: Fraction) -> list[Start]:
        """Return each chord's word, the chord, and where it starts in the bar."""
        if any("@" in word.text for word in raw.words):
            return list(self._on_beats(raw, length))
        if any(set(word.text) == {"/"} for word in raw.words):
            return self._by_slashes(raw, length)
        return self._equal(raw, length)

    def _equal(self, raw: RawBar, length: Fraction) -> list[Start]:
        share = length / len(raw.words)
        if len(raw.words) > 1 and (share * self.meter[1] / 2).denominator != 1:
            raise self.error(
                raw.words[-1],
                f"{len(raw.words)} chords cannot share {self._size(length)} equally",
                rule="a chord lasts a whole or a half of the metre's lower note",
                mend="one / for each more beat of a chord, as in | C / G7 C |",
            )
        return [(word, self.chord(word), share * n) for n, word in enumerate(raw.words)]

    def _by_slashes(self, raw: RawBar, length: Fraction) -> list[Start]:
        counts = [len(word.text) if set(word.text) == {"/"} else 1 for word in raw.words]
        total = sum(counts)
        beat = self._slash_length(length, total)
        found: list[Start] = []
        at = Fraction(0)
        for word, count in zip(raw.words, counts, strict=True):
            if at + count * beat > length:
                what = f"too many beats: {total} in {self._size(length)}"
                raise self.error(word, what, rule=_SLASH_RULE)
            if set(word.text) != {"/"}:
                found.append((word, self.chord(word), at))
            at += count * beat
        if at < length:
            what = f"too few beats: {total} in {self._size(length)}"
            raise self.error(raw.words[-1], what, rule=_SLASH_RULE)
        return found

    def _slash_length(self, length: Fraction, total: int) -> Fraction:
        """Return what a slash lasts: a beat, or the lower note if so many of them are the bar."""
        lower = Fraction(4, self.meter[1])
        return lower if total * lower == length else beat_length(self.meter)

    def _on_beats(self, raw: RawBar, length: Fraction) -> Iterator[Start]:
        reached = Fraction(-1)
        for word in raw.words:
            symbol, sign, text = word.text.rpartition("@")
            if not sign and word is raw.words[0]:
                symbol, text = word.text, "1"
            beat = beat_of(text)
            if not symbol or beat is None:
                raise self.error(
                    word,
                    f"{word.text!r} names no beat",
                    rule="where one chord of a bar has @, all but the first have it",
                    mend="G7@3 or G7@2.5",
                )
            at = (beat - 1) * beat_length(self.meter)
            if at < 0 or at <= reached or at >= length:
                raise self.error(
                    word,
                    f"beat {text} cannot be used here in {self._size(length)}",
                    rule="beats are counted from 1 and rise",
                )
            reached = at
            yield word, self.chord(replace(word, text=symbol)), at

    def chord(self, word: Word) -> Chord | None:
        """Read a chord symbol, or silence; the sign of a push is left out."""
        if word.text.startswith("<"):
            word = replace(word, text=word.text[1:], at=word.at + 1)
        if word.text in ("%", "-"):
            raise self.error(word, f"{word.text} must be alone in its bar")
        try:
            reading = read_symbol(word.text)
        except HarmonyError as error:
            inner = error.place.column if error.place and error.place.column else 1
            shift = min(inner, len(word.text)) - 1
            raise error.at(self.where(word.at + shift)) from None
        self.doubts += [f"{word.text}: {doubt}" for doubt in reading.doubts]
        return reading.chord

    def _size(self, length: Fraction) -> str:
        """Return a bar's length in words."""
        if length == bar_length(self.meter):
            return f"a bar of {self.meter[0]}/{self.meter[1]}"
        return f"a bar of {counted(length, 'quarter')}"

    def error(self, word: Word, what: str, rule: str = "", mend: str = "") -> TuneError:
        """Return an error about a word, with its bar and place."""
        said = f"bar {len(self.bars) + 1} of the section: {what}"
        return TuneError(said, place=self.where(word.at), rule=rule, mend=mend)
