"""The foam chords at the tip that a search tries."""

from __future__ import annotations

from .schema.study import Study

_LEAST_SHARE, _MOST_SHARE = 0.75, 1.1  # shares of the stock tip chord; judgement, no source
_LEAST_CUT = 0.08  # m; smallest tip core that a hot wire cuts true by hand; common practice, no source
# Smallest share of the root chord. The wire is that much slower at the tip and melts more foam there; common practice,
# no source.
_LEAST_TAPER = 1 / 3


def tip_chords(study: Study) -> tuple[float, float]:
    """Return the smallest and largest foam chord at the tip to try, equal where it is not free. [m]

    It is free where panels are drawn anew, unless the study holds it. What the stock wing has is never ruled out.
    """
    stock, stretch = study.stock, study.stretch
    if stretch.scheme != "scaled":
        return stock.tip_chord, stock.tip_chord
    if stretch.tip_chord is not None:
        return stretch.tip_chord
    least = min(stock.tip_chord, max(_LEAST_CUT, _LEAST_TAPER * stock.root_chord))
    return max(_LEAST_SHARE * stock.tip_chord, least), min(_MOST_SHARE * stock.tip_chord, stock.root_chord)
