"""What idioms offer to a tune: variants of the slots that they cover, or the rule against them.

All chords of the row must be the tune's own; those that do not change stay as they are written, and
the chord after the last that changes must be there.  Chords are spelled by their degree in the key
where the row was found.
"""

from collections.abc import Iterable, Iterator, Sequence

from harmonykit.arrange.idioms import reading, standing
from harmonykit.arrange.idioms.idiom import (
    AT_REST,
    BLUES,
    BLUES_TEN,
    BLUES_TURN,
    EARLY,
    ENDING,
    EVEN,
    LATE,
    PHRASE_END,
    PLACES,
    SECTION_END,
    Idiom,
    written,
)
from harmonykit.arrange.idioms.standing import Row, Stretch, heard_in, named
from harmonykit.arrange.idioms.timing import Placed, broken_beats, divide, placed_in
from harmonykit.arrange.idioms.twelve_bars import bar_of_chorus, is_blues_form
from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant, as_written
from harmonykit.arrange.slots import Slot
from harmonykit.evidence.kinds import PLAIN, style_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import key_on
from harmonykit.tune.analysis.numerals import printed_numeral
from harmonykit.words.numbers import counted

NO_BASS = "it needs the bass line, and nobody plays the bass"
NO_ROOM = "the chords do not fit the beats of what they replace"
_FOURTH = 5


def offers(
    slots: Sequence[Slot],
    index: int,
    setting: Setting,
    idioms: Iterable[Idiom] | None = None,
) -> Iterator[Variant | Refused]:
    """Yield what idioms offer from a slot on, and the rules that keep out those whose row is there.

    Parameters
    ----------
    slots : sequence of Slot
        All of a tune.
    index : int
        Where a variant starts; it says itself how many slots it covers.
    setting : Setting
    idioms : iterable of Idiom, optional
        The shipped ones where not given.
    """
    for idiom in reading.shipped().values() if idioms is None else idioms:
        if idiom.after:
            yield from _Place(idiom, slots, index, setting).offers()


def offers_within(slot: Slot, setting: Setting, idiom: Idiom) -> Iterator[Variant | Refused]:
    """Yield what an idiom offers inside one slot, by the chords on both sides of it."""
    if not idiom.after or idiom.first != idiom.last or idiom.first > 0:
        return
    row = standing.row_round(slot)[1:]
    if len(idiom.before) <= len(row):
        place = _Place(idiom, (slot,), 0, setting)
        yield from place.tried(row[: len(idiom.before)])


def nearest(idiom: Idiom, slots: Sequence[Slot], setting: Setting) -> tuple[int | None, str]:
    """Return the slot where most of an idiom's row stands, and what keeps the idiom out there.

    No slot where nothing of the tune's is near.

    Parameters
    ----------
    idiom : Idiom
        One of which no row was refused.
    slots : sequence of Slot
    setting : Setting

    Examples
    --------
    >>> from harmonykit.arrange.slots import slots_of
    >>> tune = hk.Tune.parse("| C6 | Dm7 G7 | C6 |")
    >>> nearest(hk.arrange.IDIOMS["minor subdominant"], slots_of(tune), Setting(tune.key))
    (2, 'it needs IV (Fmaj7), and the tune has G7')
    """
    if idiom.mode and not idiom.any_key and setting.key.mode != idiom.mode:
        return None, f"it is of {idiom.mode} keys, and the tune is in {setting.key.unicode}"
    home = setting.key.tonic.pitch_class
    found = []
    for index in range(len(slots)):
        row = standing.row_from(slots, index, len(idiom.before))
        for tonic in range(12) if idiom.any_key else (home,):
            wanted = zip(idiom.before, row, strict=False)
            fits = [standing.takes(choice, one.chord, tonic) for choice, one in wanted]
            found.append((-sum(fits), not fits[0], tonic != home, index, tonic, row, fits))
    *_, index, tonic, row, fits = min(found, key=lambda one: one[:4])
    if not any(fits):
        return None, "the tune has none of its chords"
    if len(fits) == len(idiom.before) and all(fits):
        return index, _Place(idiom, slots, index, setting).elsewhere(row, tonic)
    lacks = next((n for n, fit in enumerate(fits) if not fit), len(fits))
    numeral = written(idiom.before[lacks])
    plain = standing.is_plain(slots)
    chord = numeral.chord(key_on(tonic, setting.key.mode).tonic, plain=plain).unicode
    what = row[lacks].chord if lacks < len(row) else None
    has = what.unicode if what else "none"
    return index, f"it needs {printed_numeral(numeral.text)} ({chord}), and the tune has {has}"


class _Place:
    """An idiom at a slot."""

    def __init__(self, idiom: Idiom, slots: Sequence[Slot], index: int, setting: Setting) -> None:
        self.idiom, self.slots, self.index, self.setting = idiom, slots, index, setting

    def offers(self) -> Iterator[Variant | Refused]:
        """Yield what it offers from the slot on."""
        chord = self.slots[self.index].chord
        if chord is None or not self._may_begin(chord):
            return
        row = standing.row_from(self.slots, self.index, len(self.idiom.before))
        if len(row) == len(self.idiom.before) and self._starts_here(row[0]):
            yield from self.tried(row)

    def _may_begin(self, chord: Chord) -> bool:
        """Return whether the first numeral takes a chord, from the tonic that it may have."""
        home = self.setting.key.tonic.pitch_class
        for numeral in self.idiom.before[0]:
            tonic = numeral.tonic_of(chord.root.pitch_class)
            if (self.idiom.any_key or tonic == home) and standing.takes((numeral,), chord, tonic):
                return True
        return False

    def _starts_here(self, first: Stretch) -> bool:
        """Return whether the row is to start at the slot: as late in its stretch as it can."""
        least = 0 if self.idiom.first else self.idiom.bars
        rest = sum(len(slot.pieces) for slot in first.slots[1:])
        return len(first.slots) == 1 or rest < least

    def tried(self, row: Sequence[Stretch]) -> Iterator[Variant | Refused]:
        """Yield the variant of a row of the tune, or the rule against it, if the row is there."""
        idiom, setting = self.idiom, self.setting
        home = None if idiom.any_key else setting.key
        if idiom.mode and not idiom.any_key and setting.key.mode != idiom.mode:
            return
        chords = [stretch.chord for stretch in row]
        for key in standing.tonics(chords, idiom.before, home):
            if self.elsewhere(row, key.tonic.pitch_class):
                return
            found = Row.of(idiom, row, key, self.slots)
            rule = self._broken(found)
            if rule:
                yield Refused(rule)
            else:
                yield self._variant(found)

    def elsewhere(self, row: Sequence[Stretch], tonic: int) -> str:
        """Return what keeps the idiom from where the row is there, if it does not belong there."""
        idiom = self.idiom
        before, first, changed = self.slots[self.index].before, row[idiom.first], row[idiom.last]
        if before and any(standing.takes(choice, before, tonic) for choice in idiom.not_after):
            return f"{before.unicode} comes before it"
        if len(first.pieces) < idiom.bars and first.chord is not None:
            return f"{first.chord.unicode} lasts less than {counted(idiom.bars, 'bar')}"
        if idiom.style and idiom.style != style_of(heard_in(self.slots)):
            return f"it is of {'triads' if idiom.style == PLAIN else 'chords with sevenths'}"
        return "" if self._stands_where(row, changed, tonic) else f"it stands {PLACES[idiom.where]}"

    def _stands_where(self, row: Sequence[Stretch], changed: Stretch, tonic: int) -> bool:
        idiom = self.idiom
        if idiom.where == ENDING:
            return bool(row[-1].slots) and row[-1].slots[0].final
        if idiom.where == PHRASE_END:
            return self._ends_a_phrase(changed, tonic)
        if idiom.where == AT_REST:
            return self._comes_to_rest(changed)
        if idiom.where == SECTION_END:
            return bool(changed.slots) and changed.slots[-1].at_edge
        if idiom.where in BLUES:
            last = row[-1] if idiom.where == BLUES_TURN else changed
            ends = bar_of_chorus(self.slots, last.slots[-1]) if last.slots else 0
            return ends == BLUES[idiom.where] and is_blues_form(self.slots, self.setting.key)
        return True

    def _ends_a_phrase(self, last: Stretch, tonic: int) -> bool:
        """Return whether a phrase in a section ends with a chord whose tonic was heard before."""
        slots = last.slots
        if not slots or slots[-1].at_edge or slots[-1].pieces[-1].bar not in self.setting.rests:
            return False
        heard = (slot.chord for slot in self.slots[: self.index])
        return any(each and _is_tonic(each, tonic) for each in heard)

    def _comes_to_rest(self, last: Stretch) -> bool:
        """Return whether a phrase, a section or the tune ends on the chord as it comes in."""
        first = last.slots[0] if last.slots else None
        if first is None:
            return False
        rests = {piece.bar for piece in first.pieces} & self.setting.rests
        return first.at_edge or first.final or bool(rests)

    def _broken(self, row: Row) -> str:
        """Return the rule that keeps the idiom out, but for those of time and melody."""
        idiom, setting = self.idiom, self.setting
        inside = self._covered(row)
        if idiom.bass and not (setting.bass_player or setting.low):
            return NO_BASS
        for place, stretch in enumerate(inside):
            chord = stretch.chord
            if chord is None or not stretch.slots:
                return NO_ROOM
            if any(slot.fermata for slot in stretch.slots):
                return placing.AFTER_FERMATA
            if any(slot.final for slot in stretch.slots) and not self._may_end(stretch):
                return placing.FINAL
            if idiom.changes(place) and chord.bass != chord.root:
                return placing.ANOTHER_BASS
            if idiom.prepared and place and (rule := _unprepared(row, place)):
                return rule
            edge = stretch.slots[-1].at_edge and place + 1 < len(row.stretches)
            if edge and not setting.across_sections:
                return placing.ACROSS
            if idiom.changes(place) and (rule := self._at_rest(row, place)):
                return rule
        return ""

    def _may_end(self, last: Stretch) -> bool:
        """Whether it may change the last chord: as an ending, or where it resolves into it.

        The dominant at the end of a blues leads back to its first bar.
        """
        where, chord = self.idiom.where, last.chord
        if where == BLUES_TURN and chord is not None:
            return placing.turns_back(chord, self.setting.key)
        return where == ENDING or self.idiom.timing == EARLY

    def _covered(self, row: Row) -> tuple[Stretch, ...]:
        """Return the stretches that the variant covers: of one that begins late, its first slot."""
        inside = row.stretches[: self.idiom.last + 1]
        if self.idiom.timing == EARLY and len(inside) > 1:
            last = inside[-1]
            inside = (*inside[:-1], Stretch(last.chord, last.slots[:1], last.first))
        return inside

    def _at_rest(self, row: Row, place: int) -> str:
        """Return the rule that a blues keeps its I7 and IV7, where one at rest would go."""
        chord, tonic = row.stretches[place].chord, self.setting.key.tonic.pitch_class
        after = row.stretches[place + 1].chord if place + 1 < len(row.stretches) else None
        if chord is None or not chord.is_dominant or row.groups[place][0] == chord:
            return ""
        if (chord.root.pitch_class - tonic) % 12 not in (0, _FOURTH):
            return ""
        if self.idiom.where == BLUES_TEN:  # between V7 and I7 the IV7 is on its way
            return ""
        sevenths = after is not None and after.is_dominant
        if sevenths or is_blues_form(self.slots, self.setting.key):
            return f"{chord.unicode} is the I7 or IV7 of a blues, which is at rest"
        return ""

    def _variant(self, row: Row) -> Variant | Refused:
        idiom = self.idiom
        inside = self._covered(row)
        after_at = inside[-1].slots[-1].after_at
        pieces = [piece for stretch in inside for piece in stretch.pieces]
        around = [*pieces, *([after_at] if after_at else [])]
        parts: list[Part] = []
        for place, stretch in enumerate(inside):
            if not idiom.changes(place):
                parts += [part for slot in stretch.slots for part in as_written(slot).parts]
                continue
            timing = self._timing(row, place)
            shares = [each[0].share for each in idiom.after[place]]
            lengths = divide(stretch.pieces, shares, timing)
            if lengths is None:
                return Refused(NO_ROOM)
            if not all(self.setting.lasts(length) for length in lengths):
                return Refused(placing.too_short(self.setting))
            placed = placed_in(stretch.pieces, row.groups[place], lengths)
            then = row.groups[place + 1][0] if place + 1 < len(row.groups) else None
            if rule := broken_beats(
                idiom, (self.slots, self.setting), (stretch.chord, then), placed, around, timing
            ):
                return Refused(rule)
            parts += self._parts(stretch.chord, placed)
        count = sum(len(stretch.slots) for stretch in inside)
        slot = self.slots[self.index]
        needs_next = idiom.last + 1 < len(idiom.before)
        keeps = parts[0].chord == slot.chord
        told = tuple(named(parts, row.reasons(idiom)))
        return Variant(told, keeps_first=keeps, needs_next=needs_next, slots=count)

    def _timing(self, row: Row, place: int) -> str:
        if self.idiom.timing:
            return self.idiom.timing
        return LATE if row.groups[place][0] == row.stretches[place].chord else EVEN

    def _parts(self, old: Chord | None, placed: Sequence[Placed]) -> Iterator[Part]:
        for number, (chord, piece, onset, beats) in enumerate(placed):
            name = self.idiom.name if chord != old else ""
            follows = self.idiom.line and number > 0
            yield Part(chord, onset, beats, piece.bar, name, one_voice=follows)


def _unprepared(row: Row, place: int) -> str:
    """Return the rule that a suspended note sounds in the chord before, where it does not."""
    group, before = row.groups[place], row.stretches[place - 1].chord
    if len(group) == 1 or before is None:
        return ""
    early, rest = group[0], group[1]
    for note in early.tones:
        if note.pitch_class not in rest.pcs and note.pitch_class not in before.pcs:
            return f"a suspension must be prepared, and {note.unicode} is not in {before.unicode}"
    return ""


def _is_tonic(chord: Chord, tonic: int) -> bool:
    return chord.root.pitch_class == tonic and not chord.is_dominant
