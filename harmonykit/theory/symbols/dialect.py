"""What schools of chord writing read differently, as one frozen value.

Each setting of ``Dialect`` is one doubt; its default is the reading that charts most often
mean (common practice, no source).  A reader lists the doubts that it met, so that a page can say
how it read them.
"""

from harmonykit.errors import HarmonyError
from harmonykit.theory.typed import as_typed
from harmonykit.values import dataclass, fields

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
        "a triangle, ^ or j alone",
        {"major seventh": "maj7", "triad": "the major triad"},
    ),
    "eleven": (
        "11",
        {
            "stack": "all thirds up to it",
            "suspended": "9sus4",
        },
    ),
    "thirteen": (
        "13",
        {
            "stack": "all thirds up to it",
            "without eleventh": "9 with a thirteenth",
        },
    ),
    "two": (
        "2 without sus",
        {"added ninth": "add9", "suspended": "sus2"},
    ),
    "four": (
        "4 without sus",
        {"suspended": "sus4", "added eleventh": "add11"},
    ),
    "minus_nine": (
        "-9 after the root",
        {"minor ninth": "a minor ninth chord", "flat ninth": "7b9"},
    ),
    "plus_nine": (
        "+ before 9, 11 or 13 after the root",
        {"augmented ninth": "an augmented chord", "sharp ninth": "a sharp, as in 7#9"},
    ),
    "sus_nine": (
        "sus9",
        {"ninth": "9sus4", "added ninth": "sus4 or a triad with an added ninth"},
    ),
    "flat_root": (
        "a flat straight after the letter",
        {"root": "part of the root", "alteration": "an alteration of the number"},
    ),
    "tension": (
        "an altered tension without a seventh",
        {"added": "added to the triad", "seventh": "a tension of the seventh chord"},
    ),
    "dim_major": (
        "dim with maj7",
        {"major seventh": "the triad with maj7", "both": "the seventh chord with maj7 added"},
    ),
    "minor_plus": (
        "m+7",
        {"major seventh": "m(maj7)", "augmented fifth": "m7#5"},
    ),
    "minor_sus": (
        "a minor chord with sus",
        {
            "suspended": "the sus chord, without the minor third",
            "added eleventh": "the minor chord with that note added",
        },
    ),
    "mj": (
        "mj",
        {"major": "maj", "minor major": "m(maj)"},
    ),
    "sign_after": (
        "+ after 9 or 13",
        {"quality": "the augmented fifth", "number": "that number sharpened"},
    ),
}
CHOICES: dict[str, tuple[str, ...]] = {name: tuple(said) for name, (_, said) in _DOUBTS.items()}


@dataclass(frozen=True, slots=True)
class Dialect:
    """How to read chord symbols that schools write alike and mean differently.

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
        ``C2``, ``C7/2``.
    four : {"suspended", "added eleventh"}
        ``C4``, ``C7/4``.
    minus_nine : {"minor ninth", "flat ninth"}
        ``C-9``.
    plus_nine : {"augmented ninth", "sharp ninth"}
        ``C+9``, ``C+11``.
    sus_nine : {"ninth", "added ninth"}
        ``Csus9``.
    flat_root : {"root", "alteration"}
        ``Cb9``: a chord on C♭, or C7♭9.
    tension : {"added", "seventh"}
        ``C(b9)``, ``Csus(b9)``.
    dim_major : {"major seventh", "both"}
        ``Cdimmaj7``; ``Cdim(maj7)`` is the first, ``Cdim7(maj7)`` the second in every school.
    minor_plus : {"major seventh", "augmented fifth"}
        ``Cm+7``.
    minor_sus : {"suspended", "added eleventh"}
        ``Cm7sus4``.
    mj : {"major", "minor major"}
        ``Cmj7``.
    sign_after : {"quality", "number"}
        ``C9+``; in brackets, or after a slash, a sign is its number's: ``C7(9+)``, ``C7/9+``.
    german : bool
        ``H`` is B natural, ``B`` is B♭, ``Fis`` and ``Es`` are read.
    latin : bool
        ``Do Re Mi Fa Sol La Si`` name the roots: ``Sol7``, ``Fa#m/Do#``, ``Sib7M``.
    lower_case_minor : bool
        ``c`` is C minor.
    alternates : bool
        ``G(Em)``: what stands in brackets is another chord, for print.

    Examples
    --------
    >>> hk.Dialect(dim="triad").doubt("dim")
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
    tension: str = "added"
    dim_major: str = "major seventh"
    minor_plus: str = "major seventh"
    minor_sus: str = "suspended"
    mj: str = "major"
    sign_after: str = "quality"
    german: bool = False
    latin: bool = False
    lower_case_minor: bool = False
    alternates: bool = False

    def __post_init__(self) -> None:
        if self.german and self.latin:
            raise HarmonyError(
                "german and latin name the roots differently: only one may be set",
                mend="Dialect(latin=True)",
            )
        for field in fields(self):
            value = getattr(self, field.name)
            allowed = CHOICES.get(field.name)
            if allowed is not None and value not in allowed:
                raise HarmonyError(
                    f"{value!r} is not a setting of {field.name}",
                    mend=" or ".join(map(repr, allowed)),
                )

    def doubt(self, name: str) -> str:
        """Return the sentence that says how a symbol was read, and what other schools mean by it.

        Parameters
        ----------
        name : str
            A key of ``CHOICES``.

        Returns
        -------
        str

        Examples
        --------
        >>> print(hk.Dialect().doubt("dim"))
        dim without a number is read as the seventh chord; some mean the triad
        """
        written, readings = _DOUBTS[name]
        taken = getattr(self, name)
        others = " or ".join(said for choice, said in readings.items() if choice != taken)
        return f"{written} is read as {readings[taken]}; some mean {others}"

    def __repr__(self) -> str:
        return as_typed(self)


DEFAULT = Dialect()
