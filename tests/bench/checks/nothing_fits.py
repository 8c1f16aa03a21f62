"""Twenty studies in which nothing fits: the advice is typed into each study's text, which is read and searched again.

Every study is an invented wing with keys tightened until no design meets every limit. ``alone`` also tries each change
that is said to suffice alone. Names of studies, or a part of them, run these only.
"""

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from helpers.places import STUDIES
from helpers.wings import odd_wings, plover, turnstone
from helpers.with_keys import with_keys

from tradestudy.commands.optimise import best_at_medians
from tradestudy.commands.study_session import StudySession
from tradestudy.study.reader import read_study

ONE_TURNSTONE = {"choices.parallel": "[2]", "choices.rod_diameter": '["3 mm"]', "choices.rod_pairs": "[1]",
                 "choices.propeller": '["8x5"]'}  # fmt: skip
ONE_GODWIT = {"choices.parallel": "[2]", "choices.rod_diameter": '["3 mm"]', "choices.rod_pairs": "[2]",
              "choices.propeller": '["10x6"]'}  # fmt: skip
ONE_DUNLIN = {"choices.parallel": "[1]", "choices.rod_diameter": '["2 mm"]', "choices.propeller": '["7x5"]'}
ONE_SANDERLING = {"choices.parallel": "[2]", "choices.propeller": '["8x6"]'}

# name -> text of a wing, and the keys that are tightened
CASES = {
    "turnstone climb and weight": ("turnstone", ONE_TURNSTONE, {"limits.climb": '"7 m/s"',
                                   "limits.flying_weight": '"985 g"'}),
    "turnstone stall and launch": ("turnstone", ONE_TURNSTONE, {"limits.stall_speed_ratio": "0.9",
                                   "fly.launch_speed": '"6.6 m/s"'}),
    "turnstone two packs, stall": ("turnstone", ONE_TURNSTONE, {"choices.propeller": '["8x5", "8x6"]',
                                   "limits.stall_speed_ratio": "0.92", "limits.climb": '"6 m/s"'}),
    "turnstone long, roll and fins": ("turnstone", ONE_TURNSTONE, {"stretch.span": '["1200 mm", "1370 mm"]',
                                      "limits.roll_rate_share": "1.0", "limits.fin_volume_share": "1.3"}),
    "turnstone long, strength": ("turnstone", ONE_TURNSTONE, {"stretch.span": '["1300 mm", "1370 mm"]',
                                 "limits.failure_load_factor": "14", "limits.tip_deflection": '"0.6 %"'}),
    "turnstone hard pull": ("turnstone", ONE_TURNSTONE, {"stretch.span": '["1330 mm", "1370 mm"]',
                            "fly.pull_up": "8"}),
    "turnstone margin and bay": ("turnstone", ONE_TURNSTONE, {"limits.static_margin": '["12 %", "15 %"]'}),
    "turnstone elevon": ("turnstone", ONE_TURNSTONE, {"limits.up_elevon": '"0.6 deg"',
                         "limits.yaw_stiffness_share": "1.2"}),
    "turnstone control at speed": ("turnstone", ONE_TURNSTONE, {"stretch.span": '["1300 mm", "1370 mm"]',
                                   "limits.control_speed_share": "1.4"}),
    "plover stall": ("plover", {}, {"fly.launch_speed": '"7 m/s"', "limits.climb": '"9 m/s"'}),
    "plover long and light": ("plover", {}, {"stretch.span": '["1600 mm", "1700 mm"]',
                              "limits.flying_weight": '"1.76 kg"'}),
    "plover cruise over stall": ("plover", {}, {"fly.cruise_at_least": "2.6", "limits.up_elevon": '"1 deg"'}),
    "plover slow top speed": ("plover", {}, {"fly.never_exceed_speed": '"75 km/h"'}),
    "foam alone, long": ("plain", {}, {"stretch.span": '["1500 mm", "1640 mm"]', "limits.flying_weight": '"1.16 kg"',
                         "limits.tip_deflection": '"0.8 %"'}),
    "foam alone, climb": ("plain", {}, {"limits.climb": '"9 m/s"', "limits.stall_speed_ratio": "0.85"}),
    "dunlin climb and weight": ("dunlin", ONE_DUNLIN, {"limits.climb": '"8 m/s"',
                                "limits.stall_speed_ratio": "0.9"}),
    "dunlin all parts, strength": ("dunlin", {}, {"limits.failure_load_factor": "25", "limits.climb": '"7 m/s"',
                                   "choices.parallel": "[1]"}),
    "godwit weight and strength": ("godwit", ONE_GODWIT, {"limits.flying_weight": '"2.06 kg"',
                                   "limits.failure_load_factor": "11", "limits.stall_speed_ratio": "0.95"}),
    "godwit two rods, launch": ("godwit", ONE_GODWIT, {"choices.rod_pairs": "[2, 3]", "fly.launch_speed": '"8 m/s"',
                                "limits.climb": '"7 m/s"'}),
    "sanderling stall and roll": ("sanderling", ONE_SANDERLING, {"limits.stall_speed_ratio": "0.85",
                                  "limits.roll_rate_share": "1.1"}),
}  # fmt: skip

TEXTS = {
    "turnstone": turnstone.TEXT,
    "plover": '[study]\nname = "Plover"\n' + plover.TEXT,
    "plain": odd_wings.TEXT,
    **{name: (STUDIES / f"{name}.toml").read_text(encoding="utf-8") for name in ("dunlin", "godwit", "sanderling")},
}


def searched(folder, text):
    """Return the result of ``optimise`` for the text of a study."""
    path = folder / "study.toml"
    path.write_text(text, encoding="utf-8")
    return best_at_medians(StudySession(read_study(path), "bench"))


def main(arguments):
    """Print a line for every case, and its advice."""
    alone, names = "alone" in arguments, [each for each in arguments if each != "alone"]
    good = tried = 0
    with tempfile.TemporaryDirectory() as folder:
        for name, (wing, parts, tight) in CASES.items():
            if names and not any(each in name for each in names):
                continue
            started = time.perf_counter()
            text = with_keys(TEXTS[wing], {**parts, **tight})
            try:
                result = searched(Path(folder), text)
            except Exception as error:  # a bench goes on with the next case
                print(f"{name}: {type(error).__name__}: {error}", flush=True)
                continue
            if not result.conflict:
                print(f"{name}: feasible as it is", flush=True)
                continue
            took = time.perf_counter() - started
            changes = {each.key: each.value for each in result.advice if not each.alone and each.key}
            tried += 1
            try:
                met = bool(changes) and not searched(Path(folder), with_keys(text, changes)).conflict
            except Exception as error:
                met = False
                print(error)
            good += met
            print(f"{name}: {'feasible' if met else 'NOT FEASIBLE'} with {changes}; {took:.0f} s", flush=True)
            print(f"    {result.conflict[0]}")
            for each in result.advice:
                if not each.alone and not each.key:
                    print(f"    no key: {each.limit} from {each.from_bound} to {each.to_bound}: {each.value}")
            for limit in dict.fromkeys(each.limit for each in result.advice if each.alone):
                own = {each.key: each.value for each in result.advice if each.alone and each.limit == limit}
                verdict = ""
                if alone:
                    fails = searched(Path(folder), with_keys(text, own)).conflict
                    verdict = "NOT FEASIBLE" if fails else "feasible"
                print(f"    alone: {own} {verdict}", flush=True)
    print(f"{good} of {tried} feasible at the first try")


if __name__ == "__main__":
    main(sys.argv[1:])
