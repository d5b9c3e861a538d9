"""What schools of chord writing read differently, as one frozen value.

Each setting of :class:`Dialect` is one doubt; its default is the reading that charts most often
mean (common practice, no source).  A reader lists the doubts that it met, so that a page can say
how it read them.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

from harmonykit.errors import HarmonyError

# What is written, and what each setting reads it as; the first is the default.
_DOUBTS: dict[str, tuple[str, dict[str, str]]] = {
    "dim": (
        "dim without a number",
        {"seventh": "the seventh chord", "triad": "the triad"},
    ),
    "seven_plus": (
        "7+",
        {"augmented": "an augmented seventh", "major seventh": "the major seventh"},
    ),
    "triangle": (
        "a triangle alone",
        {"major seventh": "maj7", "triad": "the major triad"},
    ),
    "eleven": (
        "11",
        {"stack": "all thirds up to it, less what players leave out", "suspended": "9sus4"},
    ),
    "thirteen": (
        "13",
        {
            "stack": "all thirds up to it, less what players leave out",
            "without eleventh": "9 with a thirteenth",
        },
    ),
    "two": (
        "2 after the root",
        {"added ninth": "add9", "suspended": "sus2"},
    ),
    "four": (
        "4 after the root",
        {"suspended": "sus4", "added eleventh": "add11"},
    ),
    "minus_nine": (
        "-9 after the root",
        {"minor ninth": "a minor ninth chord", "flat ninth": "7b9"},
    ),
    "plus_nine": (
        "+9 after the root",
        {"augmented ninth": "an augmented ninth chord", "sharp ninth": "7#9"},
    ),
    "sus_nine": (
        "sus9",
        {"ninth": "9sus4", "added ninth": "sus4 or a triad with an added ninth"},
    ),
    "flat_root": (
        "a flat straight after the letter",
        {"root": "the root's", "alteration": "altering the number"},
    ),
}
CHOICES: dict[str, tuple[str, ...]] = {name: tuple(said) for name, (_, said) in _DOUBTS.items()}


@dataclass(frozen=True, slots=True)
class Dialect:
    """How to read what schools write alike and mean differently.

    Parameters
    ----------
    dim : {"seventh", "triad"}
        ``Cdim`` and ``C°`` without a number.
    seven_plus : {"augmented", "major seventh"}
        ``C7+``.
    triangle : {"major seventh", "triad"}
        ``CΔ`` alone.
    eleven : {"stack", "suspended"}
        ``C11``: all thirds up to the eleventh, or no third.
    thirteen : {"stack", "without eleventh"}
        ``C13``.
    two : {"added ninth", "suspended"}
        ``C2``.
    four : {"suspended", "added eleventh"}
        ``C4``.
    minus_nine : {"minor ninth", "flat ninth"}
        ``C-9``.
    plus_nine : {"augmented ninth", "sharp ninth"}
        ``C+9``.
    sus_nine : {"ninth", "added ninth"}
        ``Csus9``.
    flat_root : {"root", "alteration"}
        ``Cb9``: a chord on C♭, or C7♭9.
    german : bool
        ``H`` is B natural, ``B`` is B♭, ``Fis`` and ``Es`` are read.
    lower_case_minor : bool
        ``c`` is C minor.
    alternates : bool
        ``G(Em)``: what stands in brackets is another chord, for print.

    Examples
    --------
    >>> Dialect(dim="triad").doubt("dim")
    'dim without a number is read as the triad; some mean the seventh chord'
    """

    dim: str = "seventh"
    seven_plus: str = "augmented"
    triangle: str = "major seventh"
    eleven: str = "stack"
    thirteen: str = "stack"
    two: str = "added ninth"
    four: str = "suspended"
    minus_nine: str = "minor ninth"
    plus_nine: str = "augmented ninth"
    sus_nine: str = "ninth"
    flat_root: str = "root"
    german: bool = False
    lower_case_minor: bool = False
    alternates: bool = False

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            allowed = CHOICES.get(field.name)
            if allowed is not None and value not in allowed:
                raise HarmonyError(
                    f"{value!r} is no setting of {field.name}", mend=" or ".join(map(repr, allowed))
                )

    def doubt(self, name: str) -> str:
        """Return the sentence that says how a doubt was read, and what others mean.

        Parameters
        ----------
        name : str
            A key of ``CHOICES``.
        """
        written, readings = _DOUBTS[name]
        taken = getattr(self, name)
        others = " or ".join(said for choice, said in readings.items() if choice != taken)
        return f"{written} is read as {readings[taken]}; some mean {others}"


DEFAULT = Dialect()
