"""Numbers with what is counted, as a text says them."""

from fractions import Fraction


def counted(number: int | Fraction, thing: str, none: str = "0") -> str:
    """Return a number with what is counted, in the singular for one.

    Parameters
    ----------
    number : int or Fraction
    thing : str
        What one of them is called; its plural ends in s.
    none : str
        What is said for 0.

    Examples
    --------
    >>> counted(1, "bar"), counted(4, "bar"), counted(0, "bar"), counted(0, "bar", none="no")
    ('1 bar', '4 bars', '0 bars', 'no bars')
    """
    return f"{number or none} {thing}{'' if number == 1 else 's'}"
