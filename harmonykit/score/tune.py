"""A tune from the plain data of a score: its chords read, its bars put into sections.

Positions and lengths come as text (``"3/2"``), in quarters.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import accumulate, groupby

from harmonykit.errors import HarmonyError, Place
from harmonykit.score.chords import Doubt, Placed, Placer, key_given, key_heard
from harmonykit.score.signs import Json, end_at_parts, settle_endings, settle_signs
from harmonykit.theory.chord import Chord, Interval, Note
from harmonykit.theory.key import Key
from harmonykit.tune.bar import DEFAULT_TEMPO, MOST_BARS, Bar, BarNote, Meter, TuneError, bar_length
from harmonykit.tune.order import MOST_TIMES, endings_side_by_side
from harmonykit.tune.text.melody import settle_words
from harmonykit.tune.tune import FASTEST, SLOWEST, Section, Tune, number_sections
from harmonykit.tune.words import MOST_VERSES, Syllable, plain, with_verse

MOST_BAR_LENGTH = 64
_LOWER_NOTES = (4, 8, 16, 32, 2, 1)
_PART_GROUP = re.compile(r"\(([^()]{1,200})\)(\d?)|([A-Za-z])(\d)")


def build_tune(score: Json, name: str) -> Tune:
    """Return the tune of a score.

    Parameters
    ----------
    score : dict
        As ``score.abc``, ``score.musicxml`` and ``score.midi`` give it.
    name : str
        The file's name.

    Raises
    ------
    TuneError
        If the score has no chord, or more music than a tune has.
    """
    return _Builder(score, name).tune()


class _Builder:
    def __init__(self, score: Json, name: str) -> None:
        self.score = score
        self.name = name
        self.source: list[Json] = score["bars"]
        self.doubts: list[Doubt] = [(bar, text) for bar, text in score["doubts"]]
        if len(self.source) > MOST_BARS:
            raise TuneError(f"the score has more than {MOST_BARS} bars", place=Place(name))
        self.lengths = [Fraction(bar["length"]) for bar in self.source]
        self.starts = list(accumulate(self.lengths, initial=Fraction(0)))
        self.melody_only = bool(score.get("melody only"))
        self.shift = Interval(*score["shift"])

    def tune(self) -> Tune:
        placer = Placer(self.source, self.starts, self.shift)
        placed = placer.place()
        self.doubts += placer.doubts
        if not any(chord for _, chord in placed) and not self.melody_only:
            raise self._no_chord()
        if not all(0 < length <= MOST_BAR_LENGTH for length in self.lengths):
            rule = f"a bar has {MOST_BAR_LENGTH} quarter notes at most"
            what = f"a bar of {max(self.lengths)} quarter notes: bar lines are missing"
            raise TuneError(what, place=Place(self.name), rule=rule)
        bars = self._written_bars(placed, placer.alternates)
        sections = self._sections(bars)
        tune = Tune(
            title=plain(self.score["title"]) or self.name.rpartition(".")[0],
            key=self._key(placed, bars),
            meter=bars[0].meter,
            tempo=self._tempo(),
            sections=sections,
            order=self._order(sections),
            composer=self.score["composer"].strip(),
            rights=self.score["rights"].strip(),
            notes=self.score.get("notes", ""),
            style=self.score.get("style", ""),
        )
        tune = self._named_form(tune)
        if not any(change.chord for change in tune.changes) and not self.melody_only:
            raise self._no_chord()
        self._doubt_lengths(bars)
        if not self.melody_only:
            self._doubt_beginning(bars)
        return replace(tune, doubts=self._doubt_texts(bars))

    def _written_bars(
        self, placed: list[Placed], alternates: dict[Fraction, list[Chord]]
    ) -> tuple[Bar, ...]:
        offered = _Offers(alternates)
        bars = [
            offered.to(bar, start)
            for bar, start in zip(self._bars(placed), self.starts, strict=False)
        ]
        settled, doubts = settle_signs(bars)
        self.doubts += [(None, doubt) for doubt in doubts]
        for settle in (settle_endings, settle_words):
            settled, told = settle(settled)
            self.doubts += told
        begins = [n for n, source in enumerate(self.source[: len(settled)]) if source.get("label")]
        settled = end_at_parts(settled, begins)
        (whole,) = number_sections([Section("", settled)])
        return whole.bars

    def _no_chord(self) -> TuneError:
        told = [text for _, text in self.doubts if "no chord" in text or "rehearsal" in text]
        return TuneError(
            "the tune has no chords",
            place=Place(self.name),
            rule="; ".join(told[:3]) or "a tune needs chord symbols, and the file has none",
        )

    def _bars(self, placed: list[Placed]) -> list[Bar]:
        bars = []
        waiting = iter(placed)
        upcoming = next(waiting, None)
        for index, source in enumerate(self.source):
            start, end = self.starts[index], self.starts[index + 1]
            here: list[tuple[Chord | None, Fraction]] = []
            while upcoming and upcoming[0] < end:
                here.append((upcoming[1], upcoming[0] - start))
                upcoming = next(waiting, None)
            bar = Bar.of(_meter_of(source["meter"], end - start), here, end - start)
            notes = tuple(self._notes(source.get("notes", []), end - start, index))
            lyric = () if notes else self._lyric(source.get("lyric", ()))
            if notes and source.get("lyric"):
                self.doubts.append((index, "words under a rest are left out"))
            bars.append(replace(bar, melody=notes, lyric=lyric, **_marks(source, bar.length)))
        return bars

    def _lyric(self, found: Sequence[Json]) -> tuple[str, ...]:
        """Return the words of a bar without a melody, verse after verse."""
        lyric: tuple[str, ...] = ()
        for one in found:
            if one["verse"] <= MOST_VERSES:
                lyric = with_verse(lyric, one["verse"], one["text"])
        return lyric

    def _notes(self, notes: list[Json], length: Fraction, bar: int) -> list[BarNote]:
        """Return the top line of the notes; what does not fit into its bar is a doubt."""
        found: list[BarNote] = []
        reached = Fraction(0)
        for note in notes:
            at, beats = Fraction(note["at"]), Fraction(note["beats"])
            if at < reached or at + beats > length or beats <= 0:
                self.doubts.append((bar, "a melody note does not fit and is left out"))
                continue
            try:
                top = max((Note.parse(name) for name in note["note"]), key=lambda n: n.midi)
            except HarmonyError:
                self.doubts.append((bar, f"the melody note {note['note'][0]} is left out"))
                continue
            before = found[-1] if found else None
            words = tuple(self._words(note.get("words", ()), bar))
            if before and before.tied and before.note == top and at == reached:
                # Two values that are one note: no single value says its length.
                self._doubt_words(words, bar)
                found[-1] = replace(before, beats=before.beats + beats, tied=note["tied"])
            else:
                found.append(BarNote(top, at, beats, note["tied"], words))
            reached = at + beats
        return found

    def _words(self, words: Iterable[tuple[str, str, int]], bar: int) -> Iterator[Syllable]:
        """Yield the syllables of a note, one of each verse; what is none is a doubt."""
        verses: set[int] = set()
        for text, place, verse in words:
            printed = plain(text)
            if verse in verses or verse > MOST_VERSES or bool(printed) == (place == "held"):
                self.doubts.append((bar, f"the syllable {printed!r} of verse {verse} is left out"))
            else:
                verses.add(verse)
                yield Syllable(printed, place, verse)

    def _doubt_words(self, words: Iterable[Syllable], bar: int) -> None:
        lost = (word.text for word in words if word.text)
        self.doubts += ((bar, f"the syllable {text!r} on a tied note is left out") for text in lost)

    def _sections(self, bars: tuple[Bar, ...]) -> tuple[Section, ...]:
        """Return the bars cut at part labels, but never inside a repeat."""
        cut: list[tuple[str, list[Bar]]] = []
        taken: Counter[str] = Counter()
        repeated = _inside_repeats(bars)
        labels = [source.get("label", "") for source in self.source]
        if bars[0].number == 0 and labels[1:] and not labels[0]:
            # A mark over the first whole bar names the pick-up's part, too.
            labels[:2] = labels[1], ""
        for index, (bar, label) in enumerate(zip(bars, labels, strict=False)):
            if label and cut and index in repeated:
                self.doubts.append((index, f"{label} is inside a repeat; no section begins there"))
            if not cut or (label and index not in repeated):
                base = label or "A"
                taken[base] += 1
                cut.append((base if taken[base] == 1 else f"{base} {taken[base]}", []))
            cut[-1][1].append(bar)
        return tuple(Section(name, tuple(part)) for name, part in cut)

    def _order(self, sections: Sequence[Section]) -> tuple[str, ...]:
        """Return the order of parts that an ABC header gives, if its letters are all known.

        A part that is named as often as it has endings is played with each of them once (ABC
        standard 2.1, 4.10: ``P:A4`` and endings 1 to 4).
        """
        passes = {section.name: _passes(section.bars) for section in sections}
        order = self.score.get("form", "").replace(".", "").replace(" ", "")
        for _ in range(9):
            order = _PART_GROUP.sub(lambda f: (f[1] or f[3]) * int(f[2] or f[4] or 1), order)[:400]
        if not order:
            return ()
        if any(letter not in passes for letter in order) or len(order) > 200:
            self.doubts.append((None, f"the order of parts {self.score['form']} is ignored"))
            return ()
        runs = ((name, len(list(run))) for name, run in groupby(order))
        return tuple(
            name for name, many in runs for _ in range(1 if many in passes[name] else many)
        )

    def _named_form(self, tune: Tune) -> Tune:
        """Return the tune with its sections written once each, as a file of ours names them."""
        names = tuple(filter(None, self.score.get("names", "").split("|")))
        if len(names) != len(tune.sections):
            return tune
        written: dict[str, Section] = {}
        for name, section in zip(names, tune.sections, strict=True):
            bars = tuple(replace(bar, number=0) for bar in section.bars)
            if written.setdefault(name, Section(name, bars)).bars != bars:
                return tune
        return replace(tune, sections=tuple(written.values()), order=names)

    def _key(self, placed: list[Placed], bars: Sequence[Bar]) -> Key:
        given = self.score["key"]
        key, told = key_given(given, placed, self.shift) if given else key_heard(bars)
        self.doubts += ((None, text) for text in told)
        return key

    def _tempo(self) -> float:
        tempo = float(Fraction(self.score["tempo"])) if self.score["tempo"] else 0.0
        if SLOWEST <= tempo <= FASTEST:
            return tempo
        said = f"a tempo of {tempo:g}" if tempo else "no tempo is given"
        self.doubts.append((None, f"{said}: {DEFAULT_TEMPO} quarter notes a minute are assumed"))
        return DEFAULT_TEMPO

    def _doubt_lengths(self, bars: tuple[Bar, ...]) -> None:
        """Doubt bars of the wrong length, but for pick-ups and the halves of a split bar.

        The last bar, and one that goes back, may be completed by the pick-up that follows it; the
        tune's pick-up may be written again before a section.
        """
        halves = Counter(bar.number for bar in bars)
        pickup = back = bars[0].length if bars[0].number == 0 else Fraction(0)
        for index, bar in enumerate(bars):
            whole = bar_length(bar.meter)
            back = bar.length if bar.opens else back
            short = whole - bar.length
            last = (index == len(bars) - 1 and short == pickup) or (bar.closes and short == back)
            last = last or (bar.length == pickup and bar.melody == bars[0].melody)
            if bar.length != whole and bar.number and halves[bar.number] == 1 and not last:
                over, under = bar.meter
                said = f"{bar.length} quarter notes, where a bar of {over}/{under} has {whole}"
                self.doubts.append((index, said))

    def _doubt_beginning(self, bars: tuple[Bar, ...]) -> None:
        """Say how long the tune has no chord yet; a pick-up without one is usual."""
        first = next(n for n, bar in enumerate(bars) if any(c.chord for c in bar.changes))
        late = next(change.at for change in bars[first].changes if change.chord)
        numbers = sorted({bar.number for bar in bars[:first] if bar.number})
        if numbers:
            many = (
                f"bars {numbers[0]} to {numbers[-1]}" if len(numbers) > 1 else f"bar {numbers[0]}"
            )
            self.doubts.append((None, f"{many}: no chord yet"))
        elif late and bars[first].number:
            self.doubts.append((first, f"no chord in its first {late} quarter notes"))

    def _doubt_texts(self, bars: tuple[Bar, ...]) -> tuple[str, ...]:
        texts = (
            text if index is None or index >= len(bars) else f"bar {bars[index].number}: {text}"
            for index, text in self.doubts
        )
        return tuple(dict.fromkeys(texts))


def _passes(bars: Sequence[Bar]) -> set[int]:
    """Return how often the parts with endings are played."""
    found = endings_side_by_side(bars)
    return {max(max(ending.numbers) for ending in endings) for endings in found}


def _inside_repeats(bars: tuple[Bar, ...]) -> set[int]:
    """Return the indices of bars before which a repeated part is still running."""
    inside: set[int] = set()
    start = 0
    for index, bar in enumerate(bars):
        start = index if bar.opens else start
        if bar.ending:
            inside.add(index)
        if bar.closes:
            inside |= set(range(start + 1, index + 1))
            start = index + 1
    return inside


def _marks(source: Json, length: Fraction) -> Json:
    return {
        "opens": bool(source["opens"]),
        "closes": min(int(source["closes"]), MOST_TIMES),
        "ending": tuple(n for n in source["ending"] if 1 <= n <= MOST_TIMES),
        "signs": tuple(source.get("signs", ())),
        "fermatas": tuple(
            at for at in map(Fraction, source.get("fermatas", ())) if 0 <= at < length
        ),
    }


class _Offers:
    """Chords offered instead of others, by position; each goes to the chord that sounds there."""

    def __init__(self, alternates: dict[Fraction, list[Chord]]) -> None:
        self.waiting = sorted(alternates.items())

    def to(self, bar: Bar, start: Fraction) -> Bar:
        """Return a bar that starts at a position with what is offered in it."""
        changes = list(bar.changes)
        while self.waiting and self.waiting[0][0] < start + bar.length:
            at, chords = self.waiting.pop(0)
            here = [n for n, change in enumerate(changes) if start + change.at <= at]
            for n in here[-1:]:
                both = (*changes[n].alternates, *chords)
                changes[n] = replace(changes[n], alternates=tuple(dict.fromkeys(both)))
        return replace(bar, changes=tuple(changes)) if changes else bar


def _meter_of(given: list[int] | None, length: Fraction) -> Meter:
    """Return the metre that is given, or for free time one that holds the bar."""
    if given and 1 <= given[0] <= 32 and given[1] in _LOWER_NOTES:
        return (given[0], given[1])
    for lower in _LOWER_NOTES:
        upper = length * lower / 4
        if upper.denominator == 1 and upper <= 32:
            return (int(upper), lower)
    return (4, 4)
