"""Every way to lay a pack, searched: does any beat the ways that a search tries?

Run: python tests/bench/checks/laid_packs.py

The wings are the Plover with cores cut anew and the demos whose bay is cut to the pack. A line for each pack tells the
gain of the ways tried, of the best way whose bay is no wider than usual, and of the best way of all.
"""

import sys
import tempfile
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]


def main():
    from helpers.wings.laid_wings import cut_anew

    from tradestudy.aircraft.anchor.calibration import anchor_of
    from tradestudy.aircraft.model.choices import study_with_choice
    from tradestudy.aircraft.shape.pack_bay import pack_bay
    from tradestudy.physics.weights.pack_layouts import layouts
    from tradestudy.search.laid_packs import widest_side
    from tradestudy.search.optimum import run_search
    from tradestudy.search.search_space import search_space, starting_points
    from tradestudy.search.search_task import SearchTask, merit
    from tradestudy.study.reader import read_study

    folder = Path(tempfile.mkdtemp())
    for path in (cut_anew(folder), ROOT / "studies" / "godwit.toml", ROOT / "studies" / "lapwing.toml"):
        study = read_study(path)
        space = search_space(study, anchor_of(study))
        starts = starting_points(space)

        def solved(choice, space=space, starts=starts):
            return max((run_search(space, SearchTask("solve", choice, [start])) for start in starts), key=merit)

        packs = {choice.pack_key: choice for choice in reversed(space.choices) if choice.layout}
        for key, first in packs.items():
            parts = {name: getattr(first, name) for name in ("rod_diameter", "rod_pairs", "propeller", "motor")}
            alike = [one for one in space.choices if one.pack_key == key and replace(one, **parts) == one]
            tried = max((solved(one) for one in alike), key=merit)
            count = study.pack.pieces_in(study.bay[0].from_centre, first.series, first.parallel)
            ways = [replace(first, layout=one.text, raised_lid=0.0) for one in layouts(count, study.pack.piece)]
            found = [solved(one) for one in ways]
            usual = [
                one for one in found if pack_bay(study_with_choice(study, one.choice)).outer_side <= widest_side(study)
            ]
            best, widest = max(usual, key=merit), max(found, key=merit)
            print(
                f"{study.study.name} {first.series}S{first.parallel}P: tried {[one.layout for one in alike]} "
                f"{_gain(tried)}; best of {len(usual)} ways {best.choice.layout} {_gain(best)}; best of all "
                f"{len(found)} {widest.choice.layout} {_gain(widest)}",
                flush=True,
            )


def _gain(result):
    return f"{result.gain:.0f} m ({'met' if result.feasible else 'not met'})"


if __name__ == "__main__":
    main()
