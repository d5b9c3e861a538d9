"""Why a level adds nothing to its tune: which rule kept each of its moves out, and what to change.

A level with ``moves = []`` plays the tune as written and is meant so.
"""

from collections import Counter
from collections.abc import Iterator

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.moves import Refused, Setting, move_named
from harmonykit.arrange.slots import slots_of
from harmonykit.lesson.plan.model import Front, LessonError, Level
from harmonykit.words.numbers import counted

_TIME = "lasts at least"


def check_level(front: Front, index: int, arrangement: Arrangement) -> None:
    """Check that a level adds what it says, where it has moves.

    Raises
    ------
    LessonError
        With the rule that refused each move most often.
    """
    level = front.levels[index]
    if not level.moves or arrangement.added:
        return
    reasons = [_reason(move, front, level, arrangement) for move in level.moves]
    where = f" on the {front.instrument.name}" if front.also else ""
    raise LessonError(
        f"level {index + 1}, {level.name!r}, adds nothing to {front.tune.title}{where}",
        rule="; ".join(reasons),
        mend=" or ".join(_mends(level, reasons)),
    )


def _reason(move: str, front: Front, level: Level, arrangement: Arrangement) -> str:
    rules = Counter(each.rule for each in arrangement.refusals if each.move == move and each.rule)
    if _is_offered(move, front, level):
        return f"{move}: within the level's limits, no shape is worth the change"
    if rules:
        ((rule, count),) = rules.most_common(1)
        return f"{move}: {rule} ({counted(count, 'place')})"
    return f"{move}: the tune has no chord for it"


def _is_offered(move: str, front: Front, level: Level) -> bool:
    """Whether a move finds a place in the tune, before shapes are looked for."""
    tune = front.tune
    setting = Setting(tune.key, tune.melody, level.tempo, level.least_seconds)
    rule = move_named(move)
    return any(
        not isinstance(one, Refused) for slot in slots_of(tune) for one in rule.offer(slot, setting)
    )


def _mends(level: Level, reasons: list[str]) -> Iterator[str]:
    if any(_TIME in reason for reason in reasons):
        yield f"a tempo below {level.tempo:g}, a shortest chord below {level.least_seconds:g} s"
    if any("limits" in reason for reason in reasons):
        yield "a higher fret or a wider reach, or the move as the one to prefer"
    yield "other moves"
    yield "moves = [] for the tune as written"
