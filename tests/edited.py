"""A text with a few places changed, each of which must stand in it exactly once."""


def edited(text: str, *edits: tuple[str, str]) -> str:
    """Return ``text`` with every (old, new) made; an old that stands there more than once, or not, is a mistake."""
    for old, new in edits:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    return text
