"""All ways to play a tune with some moves: what every search begins with.

The tune is cut into slots, every move and idiom is asked for variants of each (``asked``), and
``network`` lays them out as layers of shapes.
"""

from collections.abc import Iterable, Sequence

from harmonykit.arrange.arrangement import (
    Arrangement,
    Refusal,
    Step,
    delayed_step,
    leading_reason,
)
from harmonykit.arrange.asked import Asked
from harmonykit.arrange.idioms.idiom import Idiom
from harmonykit.arrange.moves import (
    USUAL,
)
from harmonykit.arrange.network import Network
from harmonykit.arrange.part_prices import Choice
from harmonykit.arrange.walks import told_walks
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike
from harmonykit.score.files import TuneLike
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, field, replace


@dataclass(frozen=True, slots=True, eq=False)
class Search:
    """All ways to play a tune with some moves, and what is known of them.

    Parameters
    ----------
    network : Network
    refusals : tuple of Refusal
    tune, instrument, limits, tempo, moves, wishes
        As they were asked for.
    idioms : tuple of Idiom
        Those among the moves, as they were read.
    """

    network: Network
    refusals: tuple[Refusal, ...]
    tune: Tune
    instrument: Instrument
    limits: Limits
    tempo: float
    moves: tuple[str, ...] = ()
    wishes: Wishes = field(default_factory=Wishes)
    idioms: tuple[Idiom, ...] = ()

    def arrangement(self, cost: int, way: Sequence[Choice], name: str = "") -> Arrangement:
        """Return a way through the network as an arrangement."""
        notes = self.network.book.notes
        dear = dict(self.network.dear_at)
        idioms = tuple(dict.fromkeys((*self.idioms, *self.wishes.idioms)))
        asked = replace(self.wishes, dear=dear, idioms=idioms)
        parts = tuple(choice.part for choice in way)
        return Arrangement(
            self.tune, self.instrument, steps_of(way), cost, self.tempo, self.refusals, notes, name,
            self.limits, self.moves, asked, parts=parts,
        )  # fmt: skip


def search_space(
    tune: TuneLike,
    instrument: InstrumentLike,
    moves: Iterable[str] = USUAL,
    wishes: Wishes | None = None,
) -> Search:
    """Return all ways to play a tune with some moves; the parameters are ``reharmonise``'s."""
    asked = Asked(tune, instrument, moves, wishes)
    network = asked.network()
    refusals = [each for index in range(len(asked.slots)) for each in asked.add(network, index)]
    return Search(
        network, tuple(refusals), asked.tune, asked.instrument, asked.hand, asked.tempo,
        asked.moves, asked.wishes, asked.idioms,
    )  # fmt: skip


def steps_of(way: Sequence[Choice]) -> tuple[Step, ...]:
    """Return a way as steps, with reasons that name what the chosen shapes do."""
    steps = [_step(choice) for choice in way]
    told = [_told(choice, steps, index) for index, choice in enumerate(way)]
    return tuple(told_walks([choice.part for choice in way], told))


def _step(choice: Choice) -> Step:
    part = choice.part
    return Step(
        part.chord,
        choice.voicing,
        part.onset,
        part.beats,
        part.bar,
        part.move,
        f"{part.reason}." if part.reason else "",
        choice.slot.chord,
    )


def _told(choice: Choice, steps: list[Step], index: int) -> Step:
    step, part = steps[index], choice.part
    if part.scale is not None and part.delayed is not None:
        late = part.scale.step(part.delayed) % 12
        return delayed_step(step, steps[index - 1] if index else None, late, part.reason)
    if part.leads:
        return step.told(leading_reason(part.reason, step, steps[index + 1]))
    return step
