"""The command ``chord``."""
