"""The changes of a section as text: bars between ``|``, read and written.

The form, whole.  Blanks and line breaks separate; ``#`` at the start of a word comments out the
rest of its line.

``| C | Am7 D7 |``
    The chords of a bar share it equally.  Each share must be a whole or a half of the metre's lower
    note (a quarter or an eighth in 3/4), so that three chords in 4/4 are refused.
``| C / / G7 |``
    Where a bar has a ``/``, every chord and every ``/`` is one beat, and ``/`` is one more beat of
    the chord before it; together they must be the bar.  A beat is the metre's lower note; in 6/8,
    9/8 and 12/8 it is the dotted beat, or the eighth where they come to as many.  A bar that begins
    with ``/`` carries on the chord before.
``| C G7@3.5 |``
    A chord with ``@`` starts on that beat of the bar, counted from 1; 3.5 is half-way from beat 3
    to beat 4, and 7/3 is a third beyond beat 2.  All chords of the bar have one but, at choice, the
    first, which then starts on beat 1.
``%``
    The bar before, played again.
``-`` or a blank bar ``| |`` on one line
    Nothing new: the chord before carries on.
``N.C.``
    No chord sounds.
``|: ... :|``
    Played twice; ``:|x3`` three times.  Without ``|:`` the part starts after the last ``:|``, or
    where the section does.
``|: ... [1 ... :| [2 ... ||``
    Endings for the first pass and the second; ``[1,2`` serves both.  Each but the last closes with
    ``:|``; the last ends at ``||``, ``|:`` or the end of the section.
``{3/4}``
    At the start of a bar: the metre from there on.
``{1 quarter}``
    At the start of a bar: this bar alone lasts so many quarters (``{3/2 quarters}``), as a pick-up
    does.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.symbol import read_symbol
from harmonykit.tune.bar import MOST_BARS, Bar, Meter, TuneError, bar_length, beat_length
from harmonykit.tune.barlines import RawBar, Where, Word, gather, scan

_METER = re.compile(r"(\d{1,2})\s*/\s*(\d{1,2})")
_QUARTERS = re.compile(r"(\d{1,6})(?:/(\d{1,6}))?\s+quarters?")
_BEAT = re.compile(r"\d{1,6}(?:\.\d{1,6}|/\d{1,6})?")


def read_meter(text: str) -> Meter:
    """Read ``"3/4"``.

    Raises
    ------
    TuneError
        If it is no metre of 1 to 32 notes whose lower number is a power of two up to 32.
    """
    found = _METER.fullmatch(text.strip())
    meter = (int(found[1]), int(found[2])) if found else (0, 0)
    if not 1 <= meter[0] <= 32 or meter[1] not in (1, 2, 4, 8, 16, 32):
        raise TuneError(f"{text!r} is no metre", mend='"4/4", "3/4" or "6/8"')
    return meter


def read_changes(text: str, meter: Meter, where: Where) -> tuple[tuple[Bar, ...], tuple[str, ...]]:
    """Read a section's changes.

    Parameters
    ----------
    text : str
        In the form that this module describes.
    meter : tuple of int
        The metre at the start.
    where : callable
        Gives the place of a character of ``text``, for errors.

    Returns
    -------
    bars : tuple of Bar
        Not yet numbered.
    doubts : tuple of str
        Symbols that schools read otherwise.

    Raises
    ------
    TuneError, HarmonyError
        With the place of the first thing that does not fit.

    Examples
    --------
    >>> from harmonykit.errors import Place
    >>> bars, doubts = read_changes("|: C | F / / G7 :|", (4, 4), lambda index: Place())
    >>> [[(str(c.chord), int(c.at)) for c in bar.changes] for bar in bars]
    [[('C', 0)], [('F', 0), ('G7', 3)]]
    >>> bars[0].opens, bars[1].closes
    (True, 2)
    """
    reader = _Reader(meter, where)
    raws = gather(scan(text, where), where)
    if len(raws) > MOST_BARS:
        raise TuneError(f"more than {MOST_BARS} bars", place=where(raws[MOST_BARS].at))
    for raw in raws:
        reader.take(raw)
    return tuple(reader.bars), tuple(dict.fromkeys(reader.doubts))


class _Reader:
    """Shapes bars one after another: the metre and the bar before are remembered."""

    def __init__(self, meter: Meter, where: Where) -> None:
        self.meter = meter
        self.where = where
        self.bars: list[Bar] = []
        self.doubts: list[str] = []

    def take(self, raw: RawBar) -> None:
        length = self._take_braces(raw)
        texts = [word.text for word in raw.words]
        if texts == ["%"]:
            bar = self._again(raw, length)
        elif texts in ([], ["-"]):
            bar = Bar.of(self.meter, [], length)
        elif any("@" in text for text in texts):
            bar = Bar.of(self.meter, list(self._on_beats(raw, length)), length)
        elif any(set(text) == {"/"} for text in texts):
            bar = Bar.of(self.meter, self._by_slashes(raw, length), length)
        else:
            bar = Bar.of(self.meter, self._equal(raw, length), length)
        marks = {"opens": raw.opens, "closes": raw.closes, "ending": raw.ending}
        self.bars.append(replace(bar, **marks))  # type: ignore[arg-type]

    def _take_braces(self, raw: RawBar) -> Fraction:
        length = None
        for brace in raw.braces:
            if raw.words and brace.at > raw.words[0].at:
                raise self._error(brace, "braces stand at the start of a bar")
            if found := _QUARTERS.fullmatch(brace.text.strip()):
                if not int(found[1]) or found[2] is not None and not int(found[2]):
                    raise self._error(brace, f"a bar of {found[0]}")
                length = Fraction(int(found[1]), int(found[2] or 1))
                continue
            try:
                self.meter = read_meter(brace.text)
            except TuneError as error:
                mend = "{3/4} for a metre, {1 quarter} for a short bar"
                raise TuneError(error.what, place=self.where(brace.at), mend=mend) from None
        return bar_length(self.meter) if length is None else length

    def _again(self, raw: RawBar, length: Fraction) -> Bar:
        if not self.bars:
            raise self._error(raw.words[0], "% repeats the bar before, and there is none")
        before = self.bars[-1]
        if before.length != length:
            raise self._error(raw.words[0], "% repeats a bar of another length")
        return Bar.of(self.meter, [(c.chord, c.at) for c in before.changes], length)

    def _equal(self, raw: RawBar, length: Fraction) -> list[tuple[Chord | None, Fraction]]:
        share = length / len(raw.words)
        if len(raw.words) > 1 and (share * self.meter[1] / 2).denominator != 1:
            raise self._error(
                raw.words[-1],
                f"{len(raw.words)} chords cannot share {self._size(length)} equally",
                rule="a share is a whole or a half of the metre's lower note",
                mend="one / for each more beat of a chord, as in | C / G7 C |",
            )
        return [(self._chord(word), share * n) for n, word in enumerate(raw.words)]

    def _by_slashes(self, raw: RawBar, length: Fraction) -> list[tuple[Chord | None, Fraction]]:
        counts = [len(word.text) if set(word.text) == {"/"} else 1 for word in raw.words]
        total = sum(counts)
        beat = self._slash_length(length, total)
        found: list[tuple[Chord | None, Fraction]] = []
        at = Fraction(0)
        for word, count in zip(raw.words, counts, strict=True):
            if at + count * beat > length:
                what = f"too many beats: {total} in {self._size(length)}"
                raise self._error(word, what, rule=_SLASH_RULE)
            if set(word.text) != {"/"}:
                found.append((self._chord(word), at))
            at += count * beat
        if at < length:
            what = f"too few beats: {total} in {self._size(length)}"
            raise self._error(raw.words[-1], what, rule=_SLASH_RULE)
        return found

    def _slash_length(self, length: Fraction, total: int) -> Fraction:
        """Return what a slash lasts: a beat, or the lower note if so many of them are the bar."""
        lower = Fraction(4, self.meter[1])
        return lower if total * lower == length else beat_length(self.meter)

    def _on_beats(self, raw: RawBar, length: Fraction) -> Iterator[tuple[Chord | None, Fraction]]:
        reached = Fraction(-1)
        for word in raw.words:
            symbol, sign, beat = word.text.rpartition("@")
            if not sign and word is raw.words[0]:
                symbol, beat = word.text, "1"
            if not symbol or not _BEAT.fullmatch(beat) or re.search(r"/0+$", beat):
                raise self._error(
                    word,
                    f"{word.text!r} names no beat",
                    rule="where one chord of a bar has @, all but the first have it",
                    mend="G7@3 or G7@2.5",
                )
            at = (Fraction(beat) - 1) * beat_length(self.meter)
            if at < 0 or at <= reached or at >= length:
                raise self._error(
                    word,
                    f"beat {beat} cannot come here in {self._size(length)}",
                    rule="beats are counted from 1 and rise",
                )
            reached = at
            yield self._chord(replace(word, text=symbol)), at

    def _chord(self, word: Word) -> Chord | None:
        if word.text in ("%", "-"):
            raise self._error(word, f"{word.text} stands alone in its bar")
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
        return f"a bar of {length} quarter{'' if length == 1 else 's'}"

    def _error(self, word: Word, what: str, rule: str = "", mend: str = "") -> TuneError:
        said = f"bar {len(self.bars) + 1} of the section: {what}"
        return TuneError(said, place=self.where(word.at), rule=rule, mend=mend)


_SLASH_RULE = "where a bar has a /, each chord and each / is one beat"
