"""What someone who is asked has set, written and reached: a frozen value, kept as a line."""

from dataclasses import dataclass

from harmonykit.errors import HarmonyError
from harmonykit.practice.answered import Standing
from harmonykit.practice.kinds import KINDS
from harmonykit.practice.question import MEDIA, Spec
from harmonykit.practice.wording import LONGEST

ALL, TODAY, ANY = "all in turn", "ten for today", "any way"
SAID = {"words": "in words", "clock": "on the clock", "neck": "on the neck", "ear": "by ear"}
LONGEST_SEED = 60


@dataclass(frozen=True, slots=True)
class ExerciseState:
    """What is asked, what was written, and how one stands.

    Parameters
    ----------
    seed : str
    number : int
        Which question of the seed, from 1.
    kind, medium, level
        As in ``Spec``.
    answer : str
        What stands in the answer's line.
    hints : int
        How many were taken.
    checked : bool
        Whether the answer as it stands was checked.
    counted : bool
        Whether an answer to this question has counted; only the first one does.
    only : str
        The kind that is wanted, or "all in turn".
    way : str
        The medium that is wanted, or "any way".
    instrument : str
    standings : tuple of str
        ``"parents:2.1.0"``: how one stands with a kind.
    student : str
        Who works through a set.
    about : str
        What the question is to be about; anything where empty.
    pair : str
        Two that were taken for each other, one of which is the answer: ``"G7~E7"``.
    due : tuple of str
        What is still to be asked, as ``Sitting`` writes it.
    yours : bool
        Whether the answer that was given is seen, in place of the right one.
    """

    seed: str = "quay"
    number: int = 1
    kind: str = "parents"
    medium: str = "words"
    level: int = 1
    answer: str = ""
    hints: int = 0
    checked: bool = False
    counted: bool = False
    only: str = ALL
    way: str = ANY
    instrument: str = "ukulele"
    standings: tuple[str, ...] = ()
    student: str = ""
    about: str = ""
    pair: str = ""
    due: tuple[str, ...] = ()
    yours: bool = False

    def __post_init__(self) -> None:
        if self.kind not in KINDS or self.only not in (ALL, TODAY, *KINDS):
            raise HarmonyError(f"unknown exercise {self.kind!r}", mend=", ".join(KINDS))
        if self.way not in (ANY, *MEDIA):
            raise HarmonyError(f"unknown way of asking {self.way!r}", mend=", ".join(MEDIA))
        if len(self.answer) > LONGEST:
            raise HarmonyError("the answer is too long", rule=f"{LONGEST} characters at most")
        if len(self.seed) > LONGEST_SEED:
            raise HarmonyError("the seed is too long", rule=f"{LONGEST_SEED} characters at most")
        if not self.seed.isprintable() or ";" in self.seed or self.seed != self.seed.strip():
            raise HarmonyError(
                f"{self.seed!r} is not a seed", rule="a few words without a semicolon"
            )
        if self.number < 1 or self.hints < 0:
            raise HarmonyError(f"unknown question {self.number}", rule="questions count from 1")

    @property
    def spec(self) -> Spec:
        """What the question follows from."""
        return Spec(self.seed, self.number, self.kind, self.medium, self.level)

    def standing(self, kind: str) -> Standing:
        """Return how one stands with a kind."""
        found = (each.partition(":") for each in self.standings)
        return next((Standing.parse(text) for name, _, text in found if name == kind), Standing())
