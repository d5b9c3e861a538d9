"""A first draft of a lesson on a tune."""
