"""Execute every notebook of this folder and say for each whether it passed.

Prints one line a notebook, ``passed NAME …`` or ``failed NAME …``; the exit status is 1 when one failed.
With ``--write`` the executed notebooks, outputs included, replace the files.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError, DeadKernelError

TIMEOUT_S = 120
FOLDER = Path(__file__).resolve().parent


def execute(path: Path) -> nbformat.NotebookNode:
    """Return the notebook after its cells ran in order in a fresh kernel."""
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(
        notebook,
        timeout=TIMEOUT_S,
        kernel_name="python3",
        extra_arguments=["--log-level=ERROR"],
        resources={"metadata": {"path": str(FOLDER)}},
    )
    client.execute()
    return notebook


def main(arguments: list[str]) -> int:
    """Execute all notebooks and return the exit status."""
    failures = 0
    for path in sorted(FOLDER.glob("[0-9][0-9]-*.ipynb")):
        start = time.perf_counter()
        try:
            notebook = execute(path)
        except (CellExecutionError, DeadKernelError, RuntimeError) as error:
            failures += 1
            print(error)
            print(f"failed {path.name}")
            continue
        cells = sum(cell.cell_type == "code" for cell in notebook.cells)
        print(f"passed {path.name}: {cells} code cells in {time.perf_counter() - start:.1f} s")
        if "--write" in arguments:
            nbformat.write(notebook, path)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
