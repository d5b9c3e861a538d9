"""What moves answer in the places of a tune: each is asked once for all searches.

A tune that is searched again, whole or around a place, is asked the same by the same moves; what
they answer hangs on the slot, the tune around it and the setting, and on nothing else.  So it is
with moves that are frozen dataclasses, known by what they hold; any other move is asked each time.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from harmonykit.arrange.idioms.rule import IdiomMove
from harmonykit.arrange.moves import MoveRule, Offered, Setting
from harmonykit.arrange.slots import Slot, slots_of
from harmonykit.tune.tune import Tune


class Answers:
    """The slots of a tune, and what moves answer in them.

    Parameters
    ----------
    tune : Tune
    setting : Setting
        Without moves.

    Examples
    --------
    >>> from harmonykit.arrange.moves import MOVES
    >>> tune = Tune.parse("| Dm7 | G7 | C6 |")
    >>> answers = Answers(tune, Setting(tune.key))
    >>> rule = MOVES["rootless dominant"]
    >>> [str(part.chord) for part in answers.of(rule, 1, frozenset([rule.name]))[0].parts]
    ['Bdim7']
    """

    def __init__(self, tune: Tune, setting: Setting) -> None:
        self.slots = slots_of(tune)
        self._setting = setting
        self._settings: dict[frozenset[str], Setting] = {}
        self._known: dict[tuple[MoveRule, int, frozenset[str]], tuple[Offered, ...]] = {}

    def of(self, rule: MoveRule, index: int, moves: frozenset[str]) -> tuple[Offered, ...]:
        """Return what a rule offers from a slot on; an idiom may cover several.

        Parameters
        ----------
        rule : MoveRule
        index : int
            The slot, from 0.
        moves : frozenset of str
            The names of all moves that may be used there.
        """
        if moves not in self._settings:
            self._settings[moves] = replace(self._setting, moves=moves)
        if not _is_frozen(rule):
            return tuple(_asked(rule, self.slots, index, self._settings[moves]))
        key = (rule, index, moves)
        if key not in self._known:
            self._known[key] = tuple(_asked(rule, self.slots, index, self._settings[moves]))
        return self._known[key]


@lru_cache(maxsize=8)
def answers_in(tune: Tune, setting: Setting) -> Answers:
    """Return the answers in a tune, those that were given before among them."""
    return Answers(tune, setting)


def _is_frozen(rule: MoveRule) -> bool:
    """Whether a move cannot change after it was made."""
    made = getattr(type(rule), "__dataclass_params__", None)
    return bool(made and made.frozen and made.eq)


def _asked(
    rule: MoveRule, slots: Sequence[Slot], index: int, setting: Setting
) -> Sequence[Offered]:
    if isinstance(rule, IdiomMove):
        return [*rule.spans(slots, index, setting)]
    return [*rule.offer(slots[index], setting)]
