"""``tradestudy cruise``: the speed table of the stock wing and of one stretched design."""

from __future__ import annotations

from functools import partial
from typing import Any

from tradestudy.cli import work as shared
from tradestudy.cli.app import CAUTION, AsJson, OutFolder, StudyPath, print_json, print_table

COLUMNS = {"speed_kmh": ("km/h", 0), "range_km": ("range km", 1), "radius_km": ("out and home km", 1),
           "usual_flight_min": ("usual flight min", 0), "endurance_min": ("minutes", 0),
           "current_a": ("hold A", 2), "mah_per_km": ("mAh/km", 1), "wh_per_km": ("Wh/km", 2), "power_w": ("W", 1),
           "throttle_pct": ("throttle %", 0), "elevon_deg": ("elevon deg", 1),
           "elevon_mm": ("elevon mm", 1)}
STEP_KMH = 4.0


@partial(shared.asks_for_a_design, leave_out=("cruise_speed",))
def cruise(
    study: StudyPath,
    as_json: AsJson = False,
    out: OutFolder = None,
    asked: Any = None,
) -> None:
    """Show how far, how long and at what current at each speed, stock and stretched."""
    from tradestudy.search import runs

    with shared.progress() as tell:
        result = runs.assess(shared.open_work(study, f"tradestudy cruise {study.name}", tell, out, keep=False), asked)
        if out:
            shared.write_results(result, out)
    designs = [design for design in (result.stock, result.best) if design]
    if as_json:
        print_json(shared.document(result, cards=[
            {"label": design.label, "best_speed_kmh": design.numbers["cruise_speed_kmh"],
             "stall_speed_kmh": design.numbers["stall_speed_kmh"], "top_speed_kmh": design.numbers["top_speed_kmh"],
             "drag_breakdown": design.drag_breakdown, "rows": speed_rows(design.curves), "flags": design.flags}
            for design in designs]))
        return
    from tradestudy.report.purpose import measure
    from tradestudy.report.words import gain_figure

    known = measure(result)
    for design in designs:
        numbers = design.numbers
        print(f"{design.label}: span {numbers['span_mm']:.0f} mm, {numbers['auw_g']:.0f} g; stalls at "
              f"{numbers['stall_speed_kmh']:.0f} km/h, top speed {numbers['top_speed_kmh']:.0f} km/h")
        print(f"  {known.best} at {numbers['cruise_speed_kmh']:.0f} km/h: hold about "
              f"{numbers['cruise_current_a']:.1f} A for {gain_figure(numbers[known.key])} {known.unit}")
        rows = [tuple(f"{row[name]:.{places}f}" for name, (_, places) in COLUMNS.items())
                for row in speed_rows(design.curves)]
        print_table([head for head, _ in COLUMNS.values()], rows)
        for line in design.flags:
            print(f"Note: {line}.")
        print()
    shared.print_drag(result)
    print()
    purposes, farthest = result.purposes, result.purposes["farthest_out_km"]
    cap = "" if farthest is None else f" ({farthest:g} km at most)"
    print(f"Range in still air, out and home in wind of {purposes['wind_ms']:g} m/s{cap}, a usual flight with "
          f"{purposes['full_throttle_share_pct']:g} % at full throttle; all down to the reserve. Throttle as it stands "
          "at the end of the flight.")
    print(CAUTION)


def speed_rows(curves: dict[str, list[float]]) -> list[dict[str, float]]:
    """Return the speed card at round speeds, linear between the points of the curves."""
    import numpy as np

    speed = np.asarray(curves["speed_kmh"])
    wanted = np.arange(np.ceil(speed[0] / STEP_KMH) * STEP_KMH, speed[-1] + 1e-9, STEP_KMH)
    columns = {name: np.interp(wanted, speed, curves[name]) for name in COLUMNS}
    return [{name: round(float(values[index]), 4) for name, values in columns.items()} for index in range(len(wanted))]
