"""Sets of pitch classes and their classes."""
