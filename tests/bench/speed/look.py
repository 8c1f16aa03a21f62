"""Measure one look at a wing for a live page, part by part, what follows it, and an edit of the study.

Nothing is asserted, since clocks differ. Processor time is shown besides the time on the clock, so that a busy machine
is seen. Run alone on a quiet machine: python tests/bench/speed/look.py
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the matrices are small: more threads are slower

import time
from pathlib import Path
from statistics import median

STUDY = Path(__file__).parents[3] / "studies" / "godwit.toml"
TIMES = 50


def shown(words, function, times=TIMES):
    """Print the median time of a function of a number, on the clock and of the processor. [ms]"""
    function(0)
    clock, processor = [], []
    for number in range(1, times + 1):
        started, used = time.perf_counter(), time.process_time()
        function(number)
        clock.append(1e3 * (time.perf_counter() - started))
        processor.append(1e3 * (time.process_time() - used))
    print(f"{words}: {median(clock):.1f} ms, processor {median(processor):.1f} ms")


def main():
    from tradestudy.aircraft.assessment.full_design import limit_states
    from tradestudy.aircraft.look.drawing import drawing_of
    from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
    from tradestudy.commands.look.controls import controls
    from tradestudy.commands.look.looks import after_release, look, wing_bands
    from tradestudy.commands.look.work import Work
    from tradestudy.results.json_form import json_data
    from tradestudy.study.reader import read_study

    started = time.perf_counter()
    work = Work(read_study(STUDY))
    print(f"study opened: {time.perf_counter() - started:.1f} s")
    steady = {"cruise_speed_kmh": 60.0}
    shown("changed span at a given speed", lambda k: look(work, {"variables": steady | {"span_mm": 1400 + k}}))
    shown(
        "changed place of the pack at a given speed",
        lambda k: look(work, {"variables": steady | {"span_mm": 1400, "pack_position_mm": 120 + 0.2 * k}}),
    )
    shown(
        "changed parts at a given speed",
        lambda k: look(work, {"choice": {"parallel": 2 + k % 2, "rod_pairs": 2 + k % 2}, "variables": steady}),
    )
    shown("changed span, best speed searched", lambda k: look(work, {"variables": {"span_mm": 1400 + k}}))
    seen = look(work, {})
    shown("  as JSON", lambda k: json_data(seen))
    choice, known = work.stock_choice, dict(work.anchor.variables)
    data, limits = work.space.data(choice), work.limits(choice)

    def design(k):
        return EvaluatedDesign(work.study, data, choice, known | {"extension": 0.05 + 0.0005 * k})

    made = [design(k) for k in range(TIMES + 1)]
    for words, part in (
        ("  shape, weights and lattice", design),
        ("  the chain in cruise", lambda k: made[k].evaluation),
        ("  stall and top speed", lambda k: (made[k].own_stall, made[k].fastest)),
        ("  columns over speed", lambda k: made[k].speed_card),
        ("  limits", lambda k: limit_states(made[k], limits)),
        ("  drawing", lambda k: drawing_of(made[k])),
    ):
        shown(words, part)
    shown("after release", lambda k: after_release(work, {"variables": steady | {"span_mm": 1400 + k}}), 3)
    shown("bands", lambda k: wing_bands(work, {"variables": steady | {"span_mm": 1400 + k}}), 1)
    shown("an edited study", lambda k: work.edited({"fly.reserve": f"{20 + k} %"}), 5)
    shown("what may be moved", lambda k: controls(work), 5)


if __name__ == "__main__":
    main()
