"""``tradestudy front``: the most range, radius or time at each flying weight."""

from __future__ import annotations

from tradestudy.cli import work as shared
from tradestudy.cli.app import CAUTION, AsJson, OutFolder, StudyPath, print_json, print_table
from tradestudy.cli.optimise import raise_exit


def front(study: StudyPath, as_json: AsJson = False, out: OutFolder = None, workers: shared.Workers = None,
          cluster: shared.ClusterAddress = None) -> None:
    """Show the best wing at each flying weight: what every extra gram buys."""
    from tradestudy.search import runs

    with (shared.progress() as tell,
          shared.many_designs(study, f"tradestudy front {study.name}", tell, out, workers, cluster) as work):
        result = runs.weight_range(work)
        if out:
            shared.write_results(result, out)
    if as_json:
        print_json(shared.document(result, points=[design.summary() for design in result.front],
                                   steps=[design.summary() for design in result.steps], conflict=result.conflict))
        raise_exit(result.success)
        return
    from tradestudy.report.purpose import measure
    from tradestudy.report.words import listed, stops, told

    if result.conflict:
        print(result.message)
    rows = [("stock wing", result.stock), *((d.label, d) for d in result.steps), *(("", d) for d in result.front)]
    known = measure(result)
    print_table(["", "weight g", f"{known.axis} {known.unit}", "span mm", "what is bought", "what stops it"],
                [(label, told(d, "auw_g"), told(d, known.key, 1), told(d, "span_mm"), d.choices["words"],
                  listed(stops(d, result))) for label, d in rows])
    print(f"\n{CAUTION}")
    raise_exit(result.success)
