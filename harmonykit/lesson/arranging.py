"""How a level of a lesson becomes an arrangement.

A level stands beside those before it.  Where it can, what it adds sounds together with them, as an
added chord does where they have the dominant; the level then keeps every move that it would have
without them, and half of its added chords at least.  Where it cannot, it is played in turn with
them, and the script says in which bars (``together``).

In a class of several instruments the first one leads: the others play its chords with shapes of
their own, so that a level has one harmony.

A chord of the tune keeps a shape that it has in a level before, where that costs little.  A level
of the tune as written begins with the shape of each chord that a chord book begins with.
"""

from collections import Counter
from collections.abc import Callable, Hashable, Iterable

from harmonykit.arrange import choruses, passes, revising, search, styles
from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.arrange.block.melody import OnTop, melody_on_top
from harmonykit.arrange.block.playing import OCTAVE
from harmonykit.arrange.demanded import written_in
from harmonykit.arrange.learning import Learning
from harmonykit.arrange.shapes import is_held, lies_flat
from harmonykit.arrange.slots import slots_of
from harmonykit.arrange.space import search_space
from harmonykit.arrange.together import rubs_between
from harmonykit.arrange.weights import Weights
from harmonykit.arrange.wishes import FULL, Chosen, Harmony, Wishes
from harmonykit.arrange.written import has_signs
from harmonykit.files.file import slug
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.progression import Fingers
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.grips import grip_form
from harmonykit.fretboard.shapes.ranking import rank_shapes
from harmonykit.fretboard.shapes.row_textures import CHORD_MELODY
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.lesson import level_checks
from harmonykit.lesson.few_grips import NEW_GRIP, FewGrips, forms_of
from harmonykit.lesson.plan.grips import fingerings_of, most_new
from harmonykit.lesson.plan.model import Front, Level, Played
from harmonykit.lesson.plan.shown import may_show
from harmonykit.theory.chord import Chord
from harmonykit.values import dataclass, replace

Told = Callable[[int, int], None]
_HALF, _MOST_KNOWN = 2, 48

Known = dict[Chord, tuple[Voicing, ...]]
# What a semitone off the wanted contour, and a turn, cost by turns until the line follows it.
_CONTOUR_PRICES = (100, 400, 1500, 6000)


def play_level(front: Front, index: int, progress: Told | None = None) -> Played:
    """Arrange a lesson's tune at one level, counted from 0, beside the levels before it.

    ``progress`` is told how far the search is; what it raises ends it.

    Raises
    ------
    LessonError
        If the level has moves and none of them finds a place.
    """
    level = front.levels[index]
    found = replace(_taught(front, index, progress), name=level.name, groove=level.groove)
    level_checks.check_level(front, index, found)
    level_checks.check_wording(front, index, found)
    return Played(level, found, level_stem(level, index))


def _taught(front: Front, index: int, progress: Told | None) -> Arrangement:
    """Return a level as it is on paper, held with the fingers of the levels before it."""
    levels = tuple(map(_plain, front.levels[: index + 1]))
    taught: dict[Fretting, Fingers] = {}
    for place in range(index):
        way = _on_paper(front, levels[: place + 1], taught)
        for shape, ways in fingerings_of(way).items():
            if ways:
                taught.setdefault(grip_form(shape), ways[0].fingers)
    return _on_paper(front, levels, taught, progress)


def _on_paper(
    front: Front,
    levels: tuple[Level, ...],
    taught: dict[Fretting, Fingers],
    progress: Told | None = None,
) -> Arrangement:
    found = _Class.of(front, progress).arranged(levels)
    if has_signs(front.tune):
        # A repeat stays a repeat on paper where its chords are the same each time.
        found = passes.alike_each_time(found)[0]
    return replace(found, taught=tuple(taught.items()))


def level_key(front: Front, index: int) -> Hashable:
    """Return all that a level's arrangement follows from: no names, nor what to watch."""
    return _Class.of(front).key(tuple(map(_plain, front.levels[: index + 1])))


_known: dict[Hashable, Arrangement] = {}


@dataclass(frozen=True, slots=True)
class _Class:
    """Who plays a tune on an instrument, with the grips that they know before the first level."""

    tune: Tune
    instrument: Instrument
    learnt: frozenset[Fretting]
    progress: Told | None = None
    led: tuple[Harmony, ...] = ()
    harmony: Harmony = ()

    @classmethod
    def of(cls, front: Front, progress: Told | None = None) -> "_Class":
        known = () if front.knows is None else front.knows.grips_on(front.instrument)
        learnt = frozenset(grip_form(grip.shape) for grip in known)
        return cls(front.tune, front.instrument, learnt, progress, front.led)

    def key(self, levels: tuple[Level, ...]) -> Hashable:
        heard = (*map(_heard, levels[:-1]), levels[-1])
        return self.tune, self.instrument, heard, self.learnt, self.led[: len(levels)]

    def arranged(self, levels: tuple[Level, ...]) -> Arrangement:
        """Return the last of some levels as it is played beside the others; the latest are kept."""
        key = self.key(levels)
        found = _known.get(key)
        if found is None:
            quiet = replace(self, progress=None)
            before = tuple(quiet.arranged(levels[:place]) for place in range(1, len(levels)))
            led = self.led[len(before)] if self.led and not levels[-1].choruses else ()
            found = replace(self, harmony=led)._beside(levels[-1], before)
            while len(_known) >= _MOST_KNOWN:
                _known.pop(next(iter(_known)), None)
            _known[key] = found
        return found

    def _beside(self, level: Level, before: tuple[Arrangement, ...]) -> Arrangement:
        """Return a level by itself, or what of it sounds together with those before it."""
        known = _known_shapes(before)

        def played(beside: tuple[Chosen, ...]) -> Arrangement:
            free = self._learned(level, beside, known)
            if not level.moves:
                return free
            own = None if _has_own_shapes(level) else known
            few = FewGrips(
                lambda prices: self._alone(level, beside, own, prices),
                self.learnt.union(*map(forms_of, before)),
                most_new(len(before)),
                lambda way: _is_still(way, free, level),
            )
            return few.of(free)

        free = played(())
        # What is chosen stays, whatever the others play; so does the harmony of whoever leads.
        fixed = not level.moves or level.demands or self.harmony
        if fixed or not any(rubs_between(free, other) for other in before):
            return free
        together = played(tuple(_sounding(way) for way in before if not way.choruses))
        return together if _keeps(together, free) else free

    def _learned(self, level: Level, beside: tuple[Chosen, ...], known: Known) -> Arrangement:
        """Return a level with the shapes that the tune's chords have already, where that is cheap.

        A level that names a texture or a contour, or has choruses, is played with shapes of its
        own.
        """
        own = _has_own_shapes(level)
        if not own and not level.moves and level.style == styles.USUAL_STYLE:
            usual = usual_shapes(self.tune, self.instrument, level.limits)
            return self._alone(level, beside, usual | known)
        free = self._alone(level, beside)
        new = _new_shapes(free, known)
        if not new or own or not free.added:
            return free
        kept = self._alone(level, beside, known)
        spared = new - _new_shapes(kept, known)
        cheap = kept.cost <= free.cost + NEW_GRIP * spared
        return kept if cheap and spared > 0 and len(kept.added) >= len(free.added) else free

    def _alone(
        self,
        level: Level,
        beside: tuple[Chosen, ...],
        known: Known | None = None,
        learning: Learning | None = None,
    ) -> Arrangement:
        if level.texture == CHORD_MELODY:
            limits, tempo = level.limits, level.tempo
            sung = melody_on_top(self.tune, self.instrument, limits=limits, tempo=tempo)
            return replace(sung.arrangement, notes=tuple(_said_of(sung)))
        wishes = replace(
            self._wishes(level),
            beside=beside,
            known=tuple((known or {}).items()),
            learning=learning,
        )
        if level.choruses:
            own = replace(wishes, density=Wishes().density)
            given = self.tune, self.instrument, level.choruses, own, "", self.progress
            return choruses.arrange_choruses(*given)
        found = self._found(level, wishes)
        if not level.contour:
            return found
        for price in _CONTOUR_PRICES:
            if not level_checks.against(found, level.contour):
                break
            other = self._found(level, replace(wishes, weights=_dear(level, price)))
            if found.added and not other.added:
                break
            found = other
        said = level_checks.said_of_contour(found, level.contour)
        return replace(found, notes=(*found.notes, said)) if said else found

    def _wishes(self, level: Level) -> Wishes:
        return Wishes(
            limits=level.limits,
            tempo=level.tempo,
            least_seconds=level.least_seconds,
            prefer=level.prefer,
            style=level.style,
            density=level.density,
            texture=level.texture,
            contours=(level.contour,) if level.contour else (),
            demands=level.demands,
            chosen=dict(self.harmony) if level.moves else None,
        )

    def followed(self, level: Level) -> Harmony:
        """Return the harmony of whoever leads; the tune's own chord where no shape follows it."""
        asked = self.tune, self.instrument, level.moves
        space = search_space(*asked, self._wishes(level))
        if ways := space.network.cheapest(1):
            return harmony_of(space.arrangement(*ways[0]))
        fits, fails = 0, len(self.harmony)
        while fails - fits > 1:
            middle = (fits + fails) // 2
            part = replace(self, harmony=self.harmony[:middle])
            if search_space(*asked, part._wishes(level)).network.cheapest(1):
                fits = middle
            else:
                fails = middle
        place, _ = self.harmony[fits]
        own = (place, written_in(slots_of(self.tune)[place]))
        rest = () if own == self.harmony[fits] else (own,)
        other = (*self.harmony[:fits], *rest, *self.harmony[fits + 1 :])
        return replace(self, harmony=other).followed(level)

    def _found(self, level: Level, wishes: Wishes) -> Arrangement:
        space = search_space(self.tune, self.instrument, level.moves, wishes)
        search.balance(space.network, space.moves)
        cost, way = space.network.cheapest(1, self.progress)[0]
        return space.arrangement(cost, way)


def followed(front: Front, led: tuple[Harmony, ...]) -> tuple[Harmony, ...]:
    """Return the harmony of each level as an instrument of the class can follow it.

    Empty where it can follow none of what is added, and each plays chords of its own.
    """
    slots = slots_of(front.tune)
    found = []
    for level, row in zip(front.levels, led, strict=True):
        one = row
        if row and level.moves and not level.choruses and level.texture != CHORD_MELODY:
            one = replace(_Class.of(front), harmony=row).followed(level)
            if all(chosen == written_in(slots[place]) for place, chosen in one):
                one = ()
        found.append(one)
    return tuple(found)


def harmony_of(way: Arrangement) -> Harmony:
    """Return what is played in each slot of a tune, for others who play along."""
    slots = enumerate(slots_of(way.tune))
    return tuple((place, revising.standing(way, slot)) for place, slot in slots)


def level_stem(level: Level, index: int) -> str:
    """Return how the names of a level's files begin."""
    return f"level-{index + 1}-{slug(level.name)}"


def _plain(level: Level) -> Level:
    return replace(level, name="", watch="", groove=None)


def _heard(level: Level) -> Level:
    """Return what later levels follow from: not how fast the tune as written is played."""
    written = not level.moves and not level.choruses and level.texture != CHORD_MELODY
    return replace(level, tempo=1.0, least_seconds=0.0) if written else level


def _keeps(way: Arrangement, free: Arrangement) -> bool:
    """Whether a level beside others still shows what it would show by itself."""
    now, then = (Counter(step.move for step in each.added) for each in (way, free))
    return set(then) <= set(now) and _HALF * now.total() >= then.total()


def _is_still(way: Arrangement, free: Arrangement, level: Level) -> bool:
    """Whether a level with fewer new grips keeps its moves and chords, its line its contour."""
    if not _keeps(way, free) or len(way.added) < len(free.added):
        return False
    if not level.contour:
        return True
    wrong, before = (len(level_checks.against(each, level.contour)) for each in (way, free))
    return wrong <= before


def _sounding(way: Arrangement) -> Chosen:
    return tuple((step.chord, step.onset, step.beats) for step in way.steps)


def usual_shapes(tune: Tune, instrument: Instrument, limits: Limits) -> Known:
    """Return for each chord of a tune the first shape of a chord book that is within limits.

    Where none is that has the root, the first of all; so too where it takes a flat finger in place
    of several.

    Examples
    --------
    >>> from harmonykit.fretboard.hands.hand import limits_at
    >>> ukulele = Instrument.named("ukulele")
    >>> found = usual_shapes(Tune.parse("| Bm | Dm7 |"), ukulele, limits_at(1, ukulele))
    >>> [shape.digits for shape, in found.values()]
    ['4-2-2-2', '2-2-1-3']
    """
    found: Known = {}
    for chord in tune.chords:
        root = chord.root.pitch_class
        shapes = [s for s in rank_shapes(chord, instrument) if root in s.pcs and may_show(s, chord)]
        if shapes:
            held = next((shape for shape in shapes if is_held(shape, limits)), shapes[0])
            found[chord] = (shapes[0] if _is_easier(shapes[0], held, limits) else held,)
    return found


def _is_easier(flat: Voicing, other: Voicing, limits: Limits) -> bool:
    """Whether a flat finger, counted as two, makes a shape easier than another without."""
    fingers = 1 + len(set(filter(None, flat.fingers)))
    return lies_flat(flat, limits) and fingers < len(other.fretted)


def _known_shapes(before: Iterable[Arrangement]) -> Known:
    """Return the shapes that the tune's chords have in some levels."""
    found: dict[Chord, dict[Voicing, None]] = {}
    for step in (step for way in before for step in way.sounding):
        if step.chord and step.voicing and not step.added and not step.alone:
            found.setdefault(step.chord, {})[step.voicing] = None
    return {chord: tuple(shapes) for chord, shapes in found.items()}


def _new_shapes(way: Arrangement, known: Known) -> int:
    """Return how many shapes an arrangement has for chords that have others already."""
    pairs = {(s.chord, s.voicing) for s in way.sounding if s.chord in known and not s.added}
    return sum(shape not in known[chord] for chord, shape in pairs if chord is not None)


def _has_own_shapes(level: Level) -> bool:
    """Whether a level names a texture or a contour, or has choruses."""
    return bool(level.texture or level.contour or level.choruses)


def _dear(level: Level, price: int) -> Weights:
    """Return the weights of a level in which a semitone off its contour costs so much."""
    weights = replace(styles.STYLES[level.style].weights, contour=price)
    if level.contour in level_checks.ONE_WAY:
        weights = replace(weights, turn=price)
    full = level.density == FULL or level.prefer
    return replace(weights, clash=0) if full else weights


def _said_of(found: OnTop) -> Iterable[str]:
    """Yield what a player should know of a chord melody."""
    if found.octave:
        way = "lower" if found.octave < 0 else "higher"
        count = abs(found.octave)
        octaves = "an octave" if count == 1 else f"{count} octaves"
        yield f"The melody is played {octaves} {way} than written."
    moved = [one.note.midi + 12 * found.octave for one in found.listed if OCTAVE in one.done]
    if moved:
        one = len(moved) == 1
        notes = "One note of the melody is" if one else f"{len(moved)} notes of the melody are"
        arrangement = found.arrangement
        fret = max(moved) - max(arrangement.instrument.midi)
        needs = f", at fret {fret}" if one else f", up to fret {fret}"
        high = needs if fret > arrangement.limits.max_fret else ""
        written = f"as written {'it is' if one else 'they are'} out of the hand's reach"
        yield f"{notes} played in another octave: {written}{high}."
