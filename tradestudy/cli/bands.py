"""``tradestudy bands``: what each open input is worth, and which to measure first."""

from __future__ import annotations

from tradestudy.cli import work as shared
from tradestudy.cli.app import CAUTION, AsJson, OutFolder, StudyPath, print_json, print_table


def bands(
    study: StudyPath,
    as_json: AsJson = False,
    out: OutFolder = None,
    span: shared.Span = None,
    sweep: shared.Sweep = None,
    washout: shared.Washout = None,
    static_margin: shared.Margin = None,
    parallel: shared.Parallel = None,
    rod_diameter: shared.RodDiameter = None,
    rod_pairs: shared.RodPairs = None,
    propeller: shared.Propeller = None,
) -> None:
    """Tell what each open input is worth and which to measure first, on one stretched wing asked for as in assess."""
    from tradestudy.search import runs

    asked = shared.wanted(
        span=span, sweep=sweep, washout=washout, static_margin=static_margin, parallel=parallel,
        rod_diameter=rod_diameter, rod_pairs=rod_pairs, propeller=propeller)
    with shared.progress() as tell:
        work = shared.open_work(study, f"tradestudy bands {study.name}", tell, out, keep=False)
        result = runs.worth(work, asked)
        if out:
            shared.write_results(result, out)
    design = result.best
    if as_json:
        print_json(shared.document(result, design=design.summary() if design else None, worth=result.worth,
                                   uncertainty=result.uncertainty))
        return
    from tradestudy.report.worth import WORTH_HEADS, looked_at, summary, worth_rows

    print(f"{looked_at(result)}\n")
    print_table(list(WORTH_HEADS), worth_rows(result))
    print()
    for line in summary(result):
        print(line)
    print(f"\n{CAUTION}")
