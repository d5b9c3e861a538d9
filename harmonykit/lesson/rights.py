"""What every lesson says about rights, beside what its file says."""

from harmonykit.lesson.plan.model import Front

RIGHTS = (
    "Changes and arrangements of a song that is in copyright may need permission before they "
    "are published. This is not legal advice."
)


def said_of_rights(front: Front) -> tuple[str, ...]:
    """Return what the lesson or else its tune says of rights, if anything, and the general rule."""
    said = front.rights or front.tune.rights
    return (said, RIGHTS) if said else (RIGHTS,)
