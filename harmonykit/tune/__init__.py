"""Music in time."""
