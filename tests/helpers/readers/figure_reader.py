"""What tests read from a figure: an artist by its name, and the words that are really drawn."""

import pytest
from matplotlib.text import Text


def artist(figure, gid):
    """Return the only artist of a figure that has this name."""
    found = [each for each in figure.findobj() if each.get_gid() == gid]
    assert len(found) == 1, (gid, len(found))
    return found[0]


def legible(figure):
    """Return the extents in dots of every word that is really drawn. Fails if one is outside the figure."""
    drawn_words = []
    plain_draw = Text.draw

    def noted(text, renderer, *rest, **more):
        if text.get_visible() and text.get_text().strip():
            drawn_words.append(text)
        return plain_draw(text, renderer, *rest, **more)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Text, "draw", noted)
        figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    boxes = [(text.get_text(), Text.get_window_extent(text, renderer)) for text in drawn_words]
    for words, box in boxes:
        assert figure.bbox.x0 <= box.x0 and box.x1 <= figure.bbox.x1, f"{words!r} is cut off at a side"
        assert figure.bbox.y0 <= box.y0 and box.y1 <= figure.bbox.y1, f"{words!r} is cut off above or below"
    return boxes
