"""A tune written as text: the other way round from ``reader`` and what it reads with.

Each bar takes the plainest form that says it: an equal share of the bar, then ``/`` for beats, then
``@`` for where a chord starts.
"""

from fractions import Fraction

from harmonykit.files.toml import toml_string, toml_strings
from harmonykit.theory.printed import NO_CHORD
from harmonykit.tune.bar import BarChange, write_meter
from harmonykit.tune.text import barlines, melody
from harmonykit.tune.text.reader import FORMAT
from harmonykit.tune.tune import PICKUP, Bar, Meter, Section, Tune, bar_length, beat_length
from harmonykit.words.numbers import counted

BARS_A_LINE = 4


def write_changes(bars: tuple[Bar, ...], meter: Meter) -> str:
    """Return the changes of a section as text, four bars a line.

    Examples
    --------
    >>> from harmonykit.theory.chord import Chord
    >>> one = Bar.of((4, 4), [(Chord.parse("C"), Fraction(0)), (Chord.parse("G7"), Fraction(3))])
    >>> print(write_changes((one, Bar.of((4, 4), [])), (4, 4)))
    | C / / G7 | - |
    """
    lines, line = [], ""
    before: Bar | None = None
    for count, bar in enumerate(bars):
        line += f"{_sign(before, bar, new_line=not line)} {_ending(before, bar)}"
        line += f"{_braces(bar, meter)}{barlines.write_signs(bar)[0]}"
        line += f"{bar_words(bar)} {_fermatas(bar)}{barlines.write_signs(bar)[1]}"
        meter, before = bar.meter, bar
        if count % BARS_A_LINE == BARS_A_LINE - 1 or count == len(bars) - 1:
            lines.append(line + (_closing(bar) or "|"))
            line = ""
    return "\n".join(lines)


def _closing(bar: Bar) -> str:
    if not bar.closes:
        return ""
    return ":|" if bar.closes == 2 else f":|x{bar.closes}"


def _sign(before: Bar | None, bar: Bar, *, new_line: bool) -> str:
    """Return the signs between two bars; on a new line the one before has had its own."""
    if new_line:
        after_ending = before is not None and before.ending and not bar.ending
        return "|:" if bar.opens else "||" if after_ending else "|"
    closing = _closing(before) if before else ""
    if bar.opens:
        return f"{closing} |:".strip()
    after_ending = before is not None and before.ending and not bar.ending
    return closing or ("||" if after_ending else "|")


def _ending(before: Bar | None, bar: Bar) -> str:
    goes_on = before is not None and before.ending == bar.ending and not before.closes
    return "" if goes_on or not bar.ending else f"[{','.join(map(str, bar.ending))} "


def _braces(bar: Bar, meter: Meter) -> str:
    new_meter = "" if bar.meter == meter else f"{{{write_meter(bar.meter)}}} "
    if bar.length == bar_length(bar.meter):
        return new_meter
    return f"{new_meter}{{{counted(bar.length, 'quarter')}}} "


def bar_words(bar: Bar) -> str:
    """Return the chords of a bar as text: in equal shares, else by slashes, else on beats."""
    if not bar.changes:
        return "-"
    return _equal(bar) or _by_slashes(bar) or _on_beats(bar)


def _equal(bar: Bar) -> str:
    share = bar.length / len(bar.changes)
    fits = len(bar.changes) == 1 or (share * bar.meter[1] / 2).denominator == 1
    if bar.carried or not fits or any(change.beats != share for change in bar.changes):
        return ""
    return " ".join(map(_symbol, bar.changes))


def _by_slashes(bar: Bar) -> str:
    """Return the bar by beats, or by the metre's lower notes where they are finer."""
    lengths = [bar.carried, *(change.beats for change in bar.changes)]
    for beat in (beat_length(bar.meter), Fraction(4, bar.meter[1])):
        if all((length / beat).denominator == 1 for length in lengths):
            words = ["/"] * int(bar.carried / beat)
            for change in bar.changes:
                words += [_symbol(change)] + ["/"] * (int(change.beats / beat) - 1)
            return " ".join(words)
    return ""


def _on_beats(bar: Bar) -> str:
    beat = beat_length(bar.meter)
    return " ".join(_symbol(c, f"@{_number(c.at / beat + 1)}") for c in bar.changes)


def _fermatas(bar: Bar) -> str:
    beat = beat_length(bar.meter)
    return "".join(f"{{fermata@{_number(at / beat + 1)}}} " for at in bar.fermatas)


def _number(value: Fraction) -> str:
    """Return a beat as a short decimal where it is one, else as a fraction."""
    short = (value * 100).denominator == 1
    return f"{float(value):g}" if short else str(value)


def _symbol(change: BarChange, beat: str = "") -> str:
    """Return a chord with its beat, and what is offered instead of it."""
    symbol = NO_CHORD if change.chord is None else change.chord.symbol
    return " ".join([symbol + beat, *(f"({chord.symbol})" for chord in change.alternates)])


def write_melody(bars: tuple[Bar, ...]) -> str:
    """Return a section's melody as text, four bars a line."""
    rows = (bars[first : first + BARS_A_LINE] for first in range(0, len(bars), BARS_A_LINE))
    return "\n".join("| " + " | ".join(map(_notes, row)) + " |" for row in rows)


def _notes(bar: Bar) -> str:
    words = []
    reached = Fraction(0)
    for note in bar.melody:
        if note.at > reached:
            words.append(_note("r", note.at - reached))
        words.append(_note(str(note.note), note.beats) + ("~" if note.tied else ""))
        reached = note.at + note.beats
    return " ".join(words)


def _note(name: str, beats: Fraction) -> str:
    return name if beats == 1 else f"{name}:{beats}"


def write_text(tune: Tune) -> str:
    """Return a tune in the text form; read again it is the same tune.

    Parameters
    ----------
    tune : Tune

    Returns
    -------
    str

    Examples
    --------
    >>> from fractions import Fraction
    >>> bars = (hk.tune.Bar.of((3, 4), [(hk.Chord.parse("Am7"), Fraction(0))]),)
    >>> section = hk.tune.Section("A", bars)
    >>> print(hk.tune.write_text(hk.Tune("Short", hk.Key.parse("G"), (3, 4), 90, (section,))))
    format = 1
    title = "Short"
    key = "G major"
    meter = "3/4"
    tempo = 90
    form = ["A"]
    <BLANKLINE>
    [[sections]]
    name = "A"
    changes = '''
    | Am7 |
    '''
    <BLANKLINE>
    """
    sections, form = list(tune.sections), list(tune.order)
    lines = [
        f"format = {FORMAT}",
        f"title = {toml_string(tune.title)}",
        f"key = {toml_string(str(tune.key))}",
        f'meter = "{write_meter(tune.meter)}"',
        f"tempo = {tune.tempo}",
    ]
    if _opens_silently(tune):
        length = sections[0].bars[0].length
        lines.append(f"pickup = {length}" if length.denominator == 1 else f'pickup = "{length}"')
        del sections[0], form[0]
    lines.append(f"form = {toml_strings(form)}")
    for key in ("style", "composer", "rights", "notes"):
        if getattr(tune, key):
            lines.append(f"{key} = {toml_string(getattr(tune, key))}")
    return "\n".join([*lines, *(_section(section, tune.meter) for section in sections)]) + "\n"


def _opens_silently(tune: Tune) -> bool:
    """Return whether the first section is what ``pickup`` makes of a tune."""
    first = tune.sections[0]
    plain = first == Section(PICKUP, (Bar(0, tune.meter, first.bars[0].length),))
    return plain and tune.order[0] == PICKUP and tune.order.count(PICKUP) == 1 < len(tune.order)


def _section(section: Section, meter: Meter) -> str:
    lines = ["", "[[sections]]", f"name = {toml_string(section.name)}"]
    if section.phrases:
        lines.append(f"phrases = [{', '.join(map(str, section.phrases))}]")
    lines += ["changes = '''", write_changes(section.bars, meter), "'''"]
    if any(bar.melody for bar in section.bars):
        lines += ["melody = '''", write_melody(section.bars), "'''"]
    verses = {verse for bar in section.bars for verse in bar.verses}
    if verses:
        texts = [_verse(section.bars, verse, verses) for verse in range(1, max(verses) + 1)]
        lines.append("words = " + (texts[0] if len(texts) == 1 else f"[{', '.join(texts)}]"))
    return "\n".join(lines)


def _verse(bars: tuple[Bar, ...], verse: int, verses: set[int]) -> str:
    """Return a verse's words as a TOML string; one that has none is empty."""
    if verse not in verses:
        return '""'
    text = melody.write_words(bars, verse, BARS_A_LINE)
    return toml_string(text) if "''" in text else f"'''\n{text}\n'''"
