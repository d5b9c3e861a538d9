"""The handout and its pages."""
