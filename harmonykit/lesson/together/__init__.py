"""A part for everyone: one tune, played by hands that differ, checked to sound together."""
