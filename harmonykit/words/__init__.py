"""The words of the trade: one table of terms, and what names of earlier versions are called now."""
