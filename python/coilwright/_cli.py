"""The ``coilwright`` command of the wheel: the same code as the stand-alone program."""

from __future__ import annotations

import signal
import sys

from ._core import run_command


def main() -> int:
    """Run the command with the process's arguments and return its exit code."""
    # The command does not return to the interpreter until it is done, so Ctrl-C must end the process itself.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    return run_command(["coilwright", *sys.argv[1:]])


if __name__ == "__main__":
    sys.exit(main())
