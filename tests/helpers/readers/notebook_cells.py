"""The code cells of a notebook, run in order with plain ``exec``, with their outputs in the form of a notebook file."""

import ast
import base64
import contextlib
import io
import json

from matplotlib.figure import Figure

_DOTS_PER_INCH = 72  # of stored plots, so that the file stays small


def run_cells(notebook):
    """Run the code cells of a notebook (a dict) in one name space, and return a list of outputs for each of them."""
    names = {"__name__": "notebook"}
    return [_outputs("".join(cell["source"]), names) for cell in notebook["cells"] if cell["cell_type"] == "code"]


def _outputs(source, names):
    tree, printed = ast.parse(source), io.StringIO()
    last = tree.body.pop() if tree.body and isinstance(tree.body[-1], ast.Expr) else None
    with contextlib.redirect_stdout(printed):
        exec(compile(tree, "cell", "exec"), names)
        value = None if last is None else eval(compile(ast.Expression(last.value), "cell", "eval"), names)
    outputs = []
    if text := printed.getvalue():
        outputs.append({"output_type": "stream", "name": "stdout", "text": text.splitlines(keepends=True)})
    if value is not None:
        data = {"text/plain": repr(value).splitlines(keepends=True)}
        if isinstance(value, Figure):
            content = io.BytesIO()
            value.savefig(content, format="png", dpi=_DOTS_PER_INCH, metadata={"Software": None})
            data |= {"image/png": base64.b64encode(content.getvalue()).decode(), "text/plain": ["a figure"]}
        outputs.append({"output_type": "display_data", "metadata": {}, "data": data})
    return outputs


def read_notebook(path):
    """Return a notebook file as a dict."""
    return json.loads(path.read_text(encoding="utf-8"))
