"""``python -m harmonykit`` is the command ``harmonykit``."""

from harmonykit.cli import main

if __name__ == "__main__":
    main()
