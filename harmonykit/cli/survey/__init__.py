"""The command ``survey``."""
