"""Run the notebook of the studies and store its outputs: ``python tests/bench/notebook.py``. Look at its plots then."""

import json
import os
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from helpers.readers.notebook_cells import read_notebook, run_cells

if __name__ == "__main__":
    path = Path(__file__).parents[2] / "studies" / "trade.ipynb"
    os.chdir(path.parent)
    notebook = read_notebook(path)
    code = [cell for cell in notebook["cells"] if cell["cell_type"] == "code"]
    for number, (cell, outputs) in enumerate(zip(code, run_cells(notebook), strict=True), start=1):
        cell["outputs"], cell["execution_count"] = outputs, number
    path.write_text(json.dumps(notebook, indent=1, ensure_ascii=False) + "\n", encoding="utf-8", newline="\n")
