"""``tradestudy run``: all of it, into a folder."""

from __future__ import annotations

from tradestudy.cli import work as shared
from tradestudy.cli.app import CAUTION, AsJson, OutFolder, StudyPath, print_json
from tradestudy.cli.optimise import raise_exit


def run(study: StudyPath, as_json: AsJson = False, out: OutFolder = None) -> None:
    """Run the whole study: best design, span trade, weight-range line; tables, figures and one page are written."""
    from tradestudy.search import runs
    from tradestudy.study.reader import read_study

    folder = out or shared.results_folder(read_study(study).study.name)
    with shared.progress() as tell:
        work = shared.open_work(study, f"tradestudy run {study.name}", tell, folder)
        result = runs.everything(work)
        work.record.close()
        tell("drawing the figures and the page")
        written = shared.write_results(result, folder)
    if as_json:
        print_json(shared.document(
            result, best=(result.recommended or result.best).summary() if result.best else None,
            conflict=result.conflict, files=[str(path) for path in written]))
        raise_exit(result.success)
        return
    shared.print_first_screen(result)
    print(f"\nThe page: {folder / 'report.html'}  (tables, figures and summary.json beside it)")
    print(f"\n{CAUTION}")
    raise_exit(result.success)
