"""A level's opening: its chart on the left page, its shapes and hard changes on the right.

The chart travels in several forms, the richest first: with diagrams and melody, with diagrams, and
plain; the template takes the first that its page holds.  So do the shapes, in order of playing: all
of them, or those alone that are new.
"""

from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from typing import Any

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.written import printed_numbers, written_bars
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.changes import bars_first_said, finger_lines
from harmonykit.lesson.handout.chart import Chart
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.over import SMALL, Over
from harmonykit.lesson.handout.shapes import Told, easier_grips, level_shapes
from harmonykit.lesson.handout.text import spans, unbroken
from harmonykit.lesson.plan import grips, model
from harmonykit.lesson.plan.shown import Shown
from harmonykit.lesson.together import rescue
from harmonykit.sound.rehearsal_said import said_rehearsal
from harmonykit.tune.bar import write_meter
from harmonykit.tune.tune import Tune, bar_length, beat_length
from harmonykit.values import dataclass, field
from harmonykit.words.numbers import counted_word, join_words, plural

_LOOP_LEFT_MM = 60.0
# So many strings leave no room for two pairs at the size to play from.
_MANY_STRINGS = 6


def level_pages(lesson: model.Lesson, figures: Figures) -> list[dict[str, Any]]:
    """Return each level's opening as plain data."""
    explained: dict[str, int] = {}
    told = Told()
    pages: list[dict[str, Any]] = []
    said: set[str] = set()
    knows = lesson.front.knows
    fresh = grips.new_grips([played.arrangement for played in lesson.played], knows)
    for number, played in enumerate(lesson.played, start=1):
        way = played.arrangement
        page = _page(played, number, explained) | {
            "charts": _charts(way, figures, told, numerals=lesson.front.numerals)
        }
        page["twins"] = {"all": twins(way), "known": twins(way, told.shapes)}
        hard = rescue.practised_changes(way, played.level.tempo)
        new = fresh[number - 1] if told.shapes or knows is not None else None
        page["shapes"] = level_shapes(way, told, figures, new)
        # Large print says the easier grip with the change.
        page["easier"] = easier_grips(
            way, hard[: 0 if figures.large else rescue.SHOWN], told, figures
        )
        along = unbroken(said_along(lesson.front, played))
        # Large print says once what stays the same.
        page["along"] = "" if figures.large and along in said else along
        said.add(along)
        page["changes"] = [change_pair(one, figures) for one in hard[: rescue.SHOWN]]
        page["loop"] = _loop(hard, played, figures)
        pages.append(page)
    # Large print shows one change of each level, and says once what their marks say.
    marked = [page["changes"][0] for page in pages if page["changes"] and page["changes"][0]]
    return [page | {"marked": marked} for page in pages]


def _charts(
    way: Arrangement, figures: Figures, told: Told, *, numerals: bool
) -> list[dict[str, Any]]:
    """Return the chart in all its forms, the richest first.

    Where the diagrams of all shapes have no room, those alone are drawn that no level before has;
    and where none has, each has its frets where it first comes.
    """
    shapes = frozenset(grips.names_of(way))
    known = shapes.intersection(told.shapes)
    overs = [Over(), *([] if figures.large else [Over(SMALL)])]
    overs += [Over(known=known)] if known and known != shapes else []
    overs.append(Over(known=shapes))
    # All bars are equally wide, where the page has room for that.
    even: list[dict[str, Any]] = [{"boxes": over, "even": True} for over in overs]
    tight: list[dict[str, Any]] = [{"boxes": over, "tight": True} for over in overs]
    plain: list[dict[str, Any]] = [{"boxes": over} for over in (overs[0], overs[-1])]
    paired = [form for pair in zip(even, tight, strict=True) for form in pair]
    forms: list[dict[str, Any]] = [*paired[:-1], *plain, tight[-1]]
    if way.tune.melody and not way.is_melody:
        # In large print the melody spares pages of its own.
        rich = [*even, *plain] if figures.large else [even[0], plain[0]]
        forms = [form | {"melody": True} for form in rich] + forms
    if numerals:
        # A page that has no room for them keeps its tune whole.
        forms = [form | {"numerals": True} for form in forms] + [tight[-1]]
    whole, charts = Chart(way, figures), list[dict[str, Any]]()
    for form in forms:
        chart = whole.formed(**form).data()
        charts += [] if chart in charts else [chart]
    found = [chart | {"sung": any(row["tab"] for row in chart["rows"])} for chart in charts]
    # Equally wide bars in smaller type read better than rows of two widths; two bars of large print
    # better than one.
    found.sort(key=lambda c: c["wide"] if figures.large else c["mixed"] and not c["sung"])
    return found


def sung_page(lesson: model.Lesson, figures: Figures) -> dict[str, Any] | None:
    """Return the tune with melody and words, for a page of its own; none without a melody."""
    way = lesson.played[0].arrangement
    if not way.tune.melody or way.is_melody:
        return None
    chart = Chart(way, figures, boxes=False, melody=True).data()
    return chart if chart["tab"] else None


def change_pair(one: rescue.Hard, figures: Figures) -> dict[str, Any]:
    """Return a change as two diagrams, before and after, with what the fingers do."""
    before, after = one.before, one.after
    if before.voicing is None or after.voicing is None or not before.chord or not after.chord:
        return {}
    shown = Shown(before.voicing, before.chord), Shown(after.voicing, after.chord)
    size = "play" if len(before.voicing.frets) < _MANY_STRINGS else "plain"
    easier = []
    if one.rescue is not None:
        chord, grip = one.rescue
        said = f"{chord.unicode} as {grip.digits}", rescue.left_out(chord, grip)
        easier = [["easier", ", ".join(filter(None, said))]]
    drawn = small = figures.pair(*shown, one.change, BoxLook(size=size, notes=True))
    if figures.large:
        small = figures.pair(*shown, one.change, BoxLook(size="play", notes=False), small=True)
    return {
        "before": drawn[0],
        "after": drawn[1],
        "small": small,
        "lines": [list(line) for line in finger_lines(one)] + (easier if figures.large else []),
        "easier": easier,
    }


def _loop(
    hard: Sequence[rescue.Hard], played: model.Played, figures: Figures
) -> dict[str, Any] | None:
    """Return the two bars to practise first: round the hardest change over a bar line."""
    way = played.arrangement
    one = rescue.bars_first(hard)
    if one is None or one.after.chord is None:
        return None
    about, said = bars_first_said(one, way)
    chart = Chart(way, figures, boxes=False)
    left = _LOOP_LEFT_MM if not figures.large else 6.0
    return chart.two_bars(one.before.bar, left) | {
        "note": f"Loop it at {rescue.said_tempi(played.level.tempo, way.tune.meter)}.",
        "about": about,
        "said": said,
    }


def _page(played: model.Played, number: int, explained: dict[str, int]) -> dict[str, Any]:
    level, arrangement = played.level, played.arrangement
    reasons = list(_reasons(arrangement))
    new = [one for one in reasons if one.key not in explained]
    explained |= {one.key: number for one in new}
    bars = max(number for number, _ in printed_numbers(arrangement))
    facts = tune_line(arrangement.tune, level.tempo, bars).split(" \u00b7 ")
    form = _form(arrangement)
    return {
        "title": unbroken(arrangement.tune.title),
        "name": unbroken(f"Level {number} \u00b7 {level.name}"),
        "short": f"level {number}",
        "first": number == 1,
        "tuned": f"tuned {arrangement.instrument.tuning_said}",
        "facts": [
            " \u00b7 ".join(filter(None, (*facts[:-2], form))),
            " \u00b7 ".join(facts[-2:]),
        ],
        "watch": unbroken(level.watch),
        "reasons": [one.data() for one in new],
        "notes": [unbroken(note) for note in played.notes_for_class],
    }


def said_along(front: model.Front, played: model.Played) -> str:
    """Return what a level is played along with: its file, the page, and its lines of practice."""
    sound, page = "sound" in front.outputs, "page" in front.outputs
    places = ["this level's file"] * sound + ["the lesson's page"] * page
    if not places:
        return ""
    lines = [said_rehearsal(how) for how in played.level.practice]
    practice = f" There you practise {'; then '.join(lines)}." if lines else ""
    return f"Play along with {' or with '.join(places)}.{practice}"


_HALF = Fraction(1, 2)
_PARTS = {_HALF: "half a beat", Fraction(1, 4): "a quarter of a beat"}


def tune_line(tune: Tune, tempo: float, bars: int = 0) -> str:
    """Return how long a tune is, its key, its metre and its tempo in beats, in words.

    ``bars`` is how many it has on paper; as many as are played where it is 0.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> tune_line(read_tune(find_data("tunes", "slack_water_waltz")), 96)
    'sixteen bars in F major · three beats a bar · 96 beats a minute'
    """
    bars = bars or tune.bar_count
    counted = f"{counted_word(bars)} {plural(bars, 'bar')} in {tune.key.unicode}"
    beat = beat_length(tune.meter)
    beats = bar_length(tune.meter) / beat
    in_bar = f"{_beats(beats)} a bar"
    if tune.meter[1] != 4:
        in_bar += f" ({write_meter(tune.meter)})"
    pickup = [f"a pick-up of {_beats(tune.pickup / beat)}"] if tune.pickup else []
    speed = rescue.said_tempo(tempo, tune.meter)
    return " · ".join([counted, *pickup, in_bar, speed])


def _beats(number: Fraction) -> str:
    """Return how many beats in words.

    Examples
    --------
    >>> [_beats(Fraction(quarters, 4)) for quarters in (1, 2, 4, 6, 11)]
    ['a quarter of a beat', 'half a beat', 'one beat', 'one and a half beats', '2 3/4 beats']
    """
    whole, rest = divmod(number, 1)
    if not rest:
        return f"{counted_word(whole)} {plural(whole, 'beat')}"
    if not whole:
        return _PARTS.get(rest, f"{rest} of a beat")
    return f"{counted_word(whole)} and a half beats" if rest == _HALF else f"{whole} {rest} beats"


def _form(arrangement: Arrangement) -> str:
    """Return how often the tune is played, where there are several choruses; the rest is signs."""
    times = len(arrangement.choruses)
    return f"{counted_word(times)} times" if times > 1 else ""


def twins(arrangement: Arrangement, among: Collection[Voicing] | None = None) -> str:
    """Return one sentence on the shapes that bear several names in a level; empty for none.

    Of all shapes, or of those alone that are ``among`` some, which the words before it speak of.
    """
    shared = [
        f"{shape.digits} is {join_words([Shown(shape, chord).printed for chord in chords])}"
        for shape, chords in grips.names_of(arrangement).items()
        if len(chords) > 1 and (among is None or shape in among)
    ]
    one = "One shape has" if among is None else "One of them has"
    several = "One shape may have several names: " if len(shared) > 1 else f"{one} two names: "
    return several + "; ".join(shared) + "." if shared else ""


_IN_SHAPES = "; in these shapes"


@dataclass(slots=True)
class _Reason:
    """Chords added for one and the same reason, with what they move."""

    key: str
    names: dict[str, None] = field(default_factory=dict)
    details: dict[str, None] = field(default_factory=dict)
    bars: list[int] = field(default_factory=list)

    def data(self) -> dict[str, Any]:
        # What one chord moves is told; where several stand for one reason, the reason alone, whole
        # where they share all of it.
        heads = {said.partition(_IN_SHAPES)[0] for said in self.details}
        shared = heads.pop() if len(heads) == 1 else self.key
        text = next(iter(self.details)) if len(self.details) == 1 else f"{shared.rstrip('.')}."
        # A walk is one reason for all its chords, a sentence without a subject.
        walks = text.startswith("Walks ")
        several = len(self.names) > 1
        each = "each " if several and not walks else ""
        if walks:
            text = f"{'walk' if several else 'walks'}{text.removeprefix('Walks')}"
        return {"names": ", ".join(self.names), "bars": spans(self.bars), "text": each + text}


def _reasons(arrangement: Arrangement) -> Iterator[_Reason]:
    """Yield the reasons of a level's chords, those alike but for the notes drawn together."""
    found: dict[str, _Reason] = {}
    for bar, step in _printed_steps(arrangement):
        if not step.reason or step.chord is None:
            continue
        name = step.chord.unicode
        said = step.reason.removeprefix(f"{name} ")
        key = said.partition(":")[0]
        one = found.setdefault(key, _Reason(key))
        one.names[name] = None
        one.details[said] = None
        one.bars.append(bar)
    yield from found.values()


def _printed_steps(arrangement: Arrangement) -> Iterator[tuple[int, Step]]:
    bars = arrangement.bars()
    for one in written_bars(arrangement):
        yield from ((one.number, step) for step in bars[one.index])
