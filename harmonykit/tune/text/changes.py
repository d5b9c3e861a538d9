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
``| Dm7 <G7 | <C |``
    A pushed chord comes an eighth before its place, over the bar line too.
``| G7 (Db7) |``
    A chord in brackets is offered instead of the one before it; it takes no time.
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
    Endings for the first pass and the second; ``[1,3`` serves two.  Each but the last closes with
    ``:|`` or a jump; the last ends at ``||``, ``|:`` or the end of the section.  One ending alone
    that closes is left out in the pass after it.
``{3/4}``
    At the start of a bar: the metre from there on.
``{1 quarter}``
    At the start of a bar: this bar alone lasts so many quarters (``{3/2 quarters}``), as a pick-up
    does.
``{segno}`` ``{coda}`` ``{vamp}``
    Signs before their bar; a vamp is a repeated part that goes on as long as it is wanted.
``{fine}`` ``{to coda}`` ``{D.C.}`` ``{D.S. al coda}``
    Signs after their bar: jumps are ``D.C.`` and ``D.S.``, alone or ``al fine`` or ``al coda``;
    ``unfold`` says how they are played.  They may stand anywhere in the bar.
``{fermata}`` ``{fermata@3}``
    Holds the chord before it, or what sounds on that beat.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from harmonykit.theory.chord import Chord
from harmonykit.tune.bar import (
    JUMPS,
    MOST_BARS,
    Bar,
    BarChange,
    Meter,
    TuneError,
    bar_length,
    beat_length,
    beats_a_minute,
)
from harmonykit.tune.order import endings_fault
from harmonykit.tune.text import barlines
from harmonykit.tune.text.barlines import BarReader, RawBar, Start, Where, Word

_METER = re.compile(r"(\d{1,2})\s*/\s*(\d{1,2})")
QUARTERS = re.compile(r"(\d{1,6})(?:/(\d{1,6}))?\s+quarters?")
PUSH = Fraction(1, 2)
# The chords in brackets, by the place of the word before them.
Offered = dict[int, tuple[Chord, ...]]


def said_tempo(tempo: float, meter: Meter) -> str:
    """Return a tempo in words; in beats too where a beat is no quarter note.

    Examples
    --------
    >>> said_tempo(120, (3, 4)), said_tempo(132, (6, 8))
    ('120 quarter notes a minute', '132 quarter notes a minute (88 beats)')
    """
    said = f"{tempo:g} quarter notes a minute"
    return said if beat_length(meter) == 1 else f"{said} ({beats_a_minute(tempo, meter):g} beats)"


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
        raise TuneError(f"{text!r} is not a metre", mend='"4/4", "3/4" or "6/8"')
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
    raws = barlines.gather(barlines.scan(text, where), where)
    if len(raws) > MOST_BARS:
        raise TuneError(f"more than {MOST_BARS} bars", place=where(raws[MOST_BARS].at))
    for raw in raws:
        reader.take(raw)
    if fault := endings_fault(reader.bars):
        rule = "each pass, from 1 on, has one ending; each but the last closes with :|"
        raise TuneError(fault[1], place=where(raws[fault[0]].at), rule=rule)
    return tuple(reader.bars), tuple(dict.fromkeys(reader.doubts))


class _Reader(BarReader):
    """Shapes bars one after another: the metre and the bar before are remembered."""

    def take(self, raw: RawBar) -> None:
        length = self._take_braces(raw)
        raw.words, words = barlines.alternates_of(raw.words)
        offered = {at: tuple(map(self._alternate, found)) for at, found in words.items()}
        starts: list[Start] = []
        texts = [word.text for word in raw.words]
        if texts == ["%"]:
            bar = self._again(raw, length)
        else:
            starts = [] if texts in ([], ["-"]) else self.starts(raw, length)
            here = self._pushed(raw, starts, offered)
            bar = Bar.of(self.meter, [(chord, at) for _, chord, at in here], length)
            bar = replace(bar, changes=self._offered(bar.changes, here, offered))
        if unclaimed := next(iter(offered), None):
            raise self.error(
                words[unclaimed][0], "an alternate chord needs a chord before it", mend="G7 (Db7)"
            )
        signs = tuple(filter(None, (barlines.sign_of(brace.text) for brace in raw.braces)))
        if len(set(signs) & set(JUMPS)) > 1:
            raise self.error(raw.braces[-1], "two jumps in one bar")
        held = tuple(self._fermatas(raw, [(word, at) for word, _, at in starts], length))
        marks = {"opens": raw.opens, "closes": raw.closes, "ending": raw.ending}
        self.bars.append(replace(bar, signs=signs, fermatas=held, **marks))  # type: ignore[arg-type]

    def _pushed(self, raw: RawBar, starts: list[Start], offered: Offered) -> list[Start]:
        """Return the starts with pushed chords early; the bar before takes what leaves this one."""
        found: list[Start] = []
        for word, chord, at in starts:
            at -= PUSH if word.text.startswith("<") else 0
            if at < 0:
                self._push_back(raw, word, chord, offered.pop(word.at, ()))
            elif found and at <= found[-1][2]:
                raise self.error(word, "the chord before leaves no time for the push")
            else:
                found.append((word, chord, at))
        return found

    def _push_back(
        self, raw: RawBar, word: Word, chord: Chord | None, offered: tuple[Chord, ...]
    ) -> None:
        before = self.bars[-1] if self.bars else None
        if before is None or raw.opens or before.closes or raw.ending != before.ending:
            what = "a chord cannot be pushed across the start of a section or repeat"
            raise self.error(word, what, mend="F@4.5 in the bar before")
        at = before.length - PUSH
        kept = [c for c in before.changes if c.at < at]
        if len(kept) < len(before.changes) or at <= 0:
            raise self.error(word, "the bar before has no time for the push")
        kept[-1:] = [replace(last, beats=at - last.at) for last in kept[-1:]]
        self.bars[-1] = replace(before, changes=(*kept, BarChange(chord, at, PUSH, offered)))

    def _offered(
        self, changes: tuple[BarChange, ...], starts: list[Start], offered: Offered
    ) -> tuple[BarChange, ...]:
        if not offered:
            return changes
        return tuple(
            replace(change, alternates=offered.pop(word.at, ()))
            for change, (word, _, _) in zip(changes, starts, strict=True)
        )

    def _alternate(self, word: Word) -> Chord:
        inner = replace(word, text=word.text[1:-1], at=word.at + 1)
        if not word.text.endswith(")") or not inner.text:
            raise self.error(
                word, f"{word.text!r} is not an alternate chord", rule="one chord in brackets"
            )
        chord = self.chord(inner)
        if chord is None:
            raise self.error(word, "N.C. cannot be an alternate chord")
        return chord

    def _fermatas(
        self, raw: RawBar, starts: list[tuple[Word, Fraction]], length: Fraction
    ) -> Iterator[Fraction]:
        for brace in raw.braces:
            if not barlines.is_fermata(brace.text):
                continue
            text = barlines.fermata_beat(brace.text)
            beat = Fraction(1) if text is None else barlines.beat_of(text)
            at = None if beat is None else (beat - 1) * beat_length(self.meter)
            if at is None or not 0 <= at < length:
                raise self.error(brace, f"a fermata on beat {text}", mend="{fermata@3}")
            yield barlines.held_by(brace, starts) if text is None else at

    def _take_braces(self, raw: RawBar) -> Fraction:
        length = None
        for brace in raw.braces:
            if barlines.sign_of(brace.text) or barlines.is_fermata(brace.text):
                continue
            if raw.words and brace.at > raw.words[0].at:
                raise self.error(brace, "braces go at the start of a bar")
            if found := QUARTERS.fullmatch(brace.text.strip()):
                if not int(found[1]) or found[2] is not None and not int(found[2]):
                    raise self.error(brace, f"a bar of {found[0]}")
                length = Fraction(int(found[1]), int(found[2] or 1))
                continue
            try:
                self.meter = read_meter(brace.text)
            except TuneError as error:
                mend = "{3/4} for a metre, {1 quarter} for a short bar, {fine} and the like"
                raise TuneError(error.what, place=self.where(brace.at), mend=mend) from None
        return bar_length(self.meter) if length is None else length

    def _again(self, raw: RawBar, length: Fraction) -> Bar:
        if not self.bars:
            raise self.error(raw.words[0], "% repeats the bar before, and this is the first bar")
        before = self.bars[-1]
        if before.length != length:
            raise self.error(raw.words[0], "% repeats a bar of another length")
        return Bar.of(self.meter, [(c.chord, c.at) for c in before.changes], length)
