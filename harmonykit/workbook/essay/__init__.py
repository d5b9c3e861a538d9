"""Essays that ask before they answer, about one figure that stays in view."""
