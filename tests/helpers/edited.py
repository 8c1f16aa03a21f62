"""A function that replaces parts of a text, each of which must occur exactly once."""


def edited(text: str, *edits: tuple[str, str]) -> str:
    """Return ``text`` with each old part replaced by its new one. Fails if an old part does not occur exactly once."""
    for old, new in edits:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    return text
