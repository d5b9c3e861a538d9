"""What was counted and fitted, over plain numbers and kinds of chord, and the models that read it.

The tables stand in ``tables/``; ``NOTICE.md`` says what each was counted from, and under which
licence.  Nothing else of a source is kept.
"""
