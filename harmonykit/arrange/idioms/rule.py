"""An idiom as a move: asked for by name, as the other moves are."""

from collections.abc import Iterator, Mapping, Sequence
from functools import cache

from harmonykit.arrange.idioms.idiom import Idiom
from harmonykit.arrange.idioms.reading import shipped
from harmonykit.arrange.moves.rule import Refused, Setting, Variant
from harmonykit.arrange.slots import Slot
from harmonykit.values import dataclass
from harmonykit.words.former import plain


@dataclass(frozen=True, slots=True)
class IdiomMove:
    """An idiom as a move.

    Parameters
    ----------
    idiom : Idiom
    """

    idiom: Idiom

    @property
    def name(self) -> str:
        """The idiom's name."""
        return self.idiom.name

    def __hash__(self) -> int:
        return hash(self.idiom.name)

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield what it offers inside one slot; only where nothing before the slot matters."""
        # How idioms fit is loaded where one is asked for.
        from harmonykit.arrange.idioms.offering import offers_within

        return offers_within(slot, setting, self.idiom)

    def spans(
        self, slots: Sequence[Slot], index: int, setting: Setting
    ) -> Iterator[Variant | Refused]:
        """Yield what it offers from a slot of a tune on."""
        from harmonykit.arrange.idioms.offering import offers

        return offers(slots, index, setting, (self.idiom,))


@cache
def idiom_moves() -> Mapping[str, IdiomMove]:
    """Return the shipped idioms that write something, by their names as they are looked up."""
    return {plain(each.name): IdiomMove(each) for each in shipped().values() if each.after}
